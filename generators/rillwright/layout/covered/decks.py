"""One covered face of a body: its cover, and every figure that cord, lands and screws ask for. Lengths in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ...spec.covered import Channel, Cover, CoverScrews, Level
from ...spec.job import Job
from ...spec.plate import Plate
from ...standards import fixings, glands, screws, threads
from ...standards._table import UnknownSize
from ..outline import Impossible, Loc
from .joint import CoverJoint

LEVELS: tuple[Level, ...] = ("seal", "outer")
SURFACE = {"seal": "cover", "outer": "outer-cover"}  # what a port on the cover of a face is `on`, and its plate's suffix
LAND = 2.0  # mm at least beside a groove; common practice, no source
CORNER = 3.0  # cord diameters, inside radius of a groove in plan: seal handbooks
BESIDE = 6.0  # mm further from the groove than it must be that a screw may stand; our choice, no source


@dataclass(frozen=True, slots=True)
class Deck:
    """A covered face. `land` is also the bonded flat where there is no groove."""

    plate: str
    face: Level
    cover: Cover
    loc: Loc
    depth: float  # of the groove, 0 where bonded
    width: float
    floor_radius: float
    land: float
    corner: float  # inside radius in plan
    hole: float  # radius of a screw's hole in the cover
    head: float  # largest radius of its head
    edge_distance: float  # hole's centre to the plate's edge, at least
    wall: float  # between coolant and a dry hole

    @property
    def name(self) -> str:
        """Name of the cover's plate."""
        return f"{self.plate}-{SURFACE[self.face]}"

    @property
    def screwed(self) -> bool:
        return self.cover.join == "screwed"

    @property
    def owner(self) -> str:
        """First part of the names of what belongs to the cover."""
        return SURFACE[self.face]

    @property
    def margin(self) -> float:
        """Room beside anything wet that its groove takes."""
        return self.land + self.width if self.screwed else 0.0

    def margin_of(self, width: float) -> float:
        """The same beside a channel: the groove goes round its ends, and may not bend tighter than its corner."""
        return max(self.margin, self.corner - width / 2 + self.width) if self.screwed else 0.0

    @property
    def keep_out(self) -> float:
        """Radius of a screw's hole with its land."""
        return self.hole + self.land

    @property
    def reach(self) -> tuple[float, float]:
        """Least and most distance of a screw from the groove's middle line."""
        least = self.width / 2 + self.land + self.hole
        return least, least + BESIDE

    @property
    def rim(self) -> float:
        """Screw's centre to the plate's edge, at least."""
        return max(self.edge_distance, self.hole + self.land)

    @property
    def edge(self) -> float:
        """Room between a net with its groove and the plate's edge: a screw stands there."""
        return self.land + self.hole + self.rim if self.screwed else self.land

    @property
    def between(self) -> float:
        """Room between the grooves of two nets: a screw stands there."""
        return 2 * self.keep_out if self.screwed else self.land

    @property
    def tight(self) -> float:
        """The least room between the grooves of two nets, where no screw has to stand."""
        return self.land

    @property
    def joint(self) -> CoverJoint:
        """What the checks ask of it."""
        screwed = self.screwed
        return CoverJoint(
            self.plate, self.name, self.face, self.land if screwed else 0.0,
            self.cover.screws.pitch if screwed else math.inf, self.reach[1] if screwed else 0.0,
            None if screwed else self.land,
        )  # fmt: skip


def decks(job: Job, name: str, plate: Plate, loc: Loc) -> list[Deck]:
    """Covered faces of a plate, seal face first. Raises Impossible for a cord without a row, nuts under a
    cover, and a groove through the body."""
    found = [_deck(job, name, face, c, (*loc, "covers", face)) for face in LEVELS if (c := plate.covers.of(face))]
    nuts = [d for d in found if d.screwed and d.cover.screws.into == "nut"]
    if nuts and len(found) > 1:
        what = "nuts behind the body would lie under the cover of its other face"
        raise Impossible((*nuts[0].loc, "screws", "into"), what, "give into: thread or insert")
    for d in (d for d in found if d.depth > plate.stock.thickness - 1):
        what = f"a groove {d.depth:g} mm deep goes through a body of {plate.stock.thickness:g} mm"
        raise Impossible((*d.loc, "groove", "depth"), what, "make it less deep than its cord is thick, or leave it out")
    return found


def _deck(job: Job, name: str, face: Level, cover: Cover, loc: Loc) -> Deck:
    limits = job.limits
    if cover.join == "bonded":
        flat = max(cover.bond, limits.wall_wet)
        return Deck(name, face, cover, loc, 0.0, 0.0, 0.0, flat, 0.0, 0.0, 0.0, 0.0, limits.wall_wet)
    g, s, d = cover.groove, cover.screws, cover.cord.diameter
    depth, width, floor = _section(cover, loc)
    hole = screws.clearance_hole(s.thread, s.fit) / 2
    heads = {"countersunk": lambda: screws.countersunk(s.thread).head_diameter_theoretical_max / 2,
             "counterbored": lambda: screws.cap(s.thread).counterbore_diameter / 2,
             "on-top": lambda: (fixings.washer(s.thread).outside if s.washer else
                                screws.cap(s.thread).head_diameter_knurled_max) / 2}  # fmt: skip
    bore = {"thread": threads.metric(s.thread).tap_drill / 2, "nut": hole}
    body = fixings.insert(s.thread).hole / 2 if s.into == "insert" else bore[s.into]
    beside = (2 * limits.edge_distance - 1) * hole  # from the rim of the hole or head to the edge
    hole = max(hole, body)
    far = max(limits.edge_distance * 2 * hole, heads[s.head]() + max(beside, limits.lip))
    land = g.land or max(LAND, d)
    corner = g.corner or CORNER * d
    return Deck(name, face, cover, loc, depth, width, floor, land, corner, hole, heads[s.head](), far, limits.wall_wet)


def with_screws(job: Job, deck: Deck, screws_: CoverScrews) -> Deck:
    """The same face with other screws."""
    return _deck(job, deck.plate, deck.face, deck.cover.model_copy(update={"screws": screws_}), deck.loc)


def _section(cover: Cover, loc: Loc) -> tuple[float, float, float]:
    """Depth, width and floor radius of the groove: as given, else by the cord's table."""
    g, d = cover.groove, cover.cord.diameter
    try:
        row = glands.face_groove(d)
    except UnknownSize as e:
        if g.depth is None or g.width is None:
            raise Impossible((*loc, "cord", "diameter"), str(e).split(";")[0], "give groove.depth and groove.width") from e
        return g.depth, g.width, 0.0
    return g.depth or row.depth, g.width or row.width, 0.0


def deck_of(every: list[Deck], face: str) -> Deck | None:
    """The deck of a face."""
    return next((d for d in every if d.face == face), None)


def faces_of(channel: Channel) -> tuple[Level, ...]:
    """The faces that a channel may be cut from."""
    return LEVELS if channel.face == "both" else (channel.face,)
