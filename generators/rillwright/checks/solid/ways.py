"""Where a loop leaks or runs into another: named from the placed features, asked only once a void has shown it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from OCP.BRepExtrema import BRepExtrema_DistShapeShape

from ...layout import profiles
from ...layout.features import Cut, Feature, Hardware, PlateLayout, Profile
from ...layout.nets import Assembly
from ...layout.pockets import Pocket
from ...solids.build import blank, tool
from ...solids.pockets import prism
from ..finding import Point
from .closing import land

TOUCH = 1e-6  # mm: tools this near touch


@dataclass(frozen=True, slots=True)
class Way:
    """One opening: what meets what, and what to do. `at` in the frame of the plate (or of the assembly), mm."""

    plate: str
    features: tuple[str, ...]
    what: str
    remedy: str
    at: tuple[Point, ...] = ()


@dataclass(frozen=True, slots=True)
class Piece:
    """Space that one feature takes from a plate, or the inside of a tube on it."""

    name: str
    feature: Cut
    shape: Any


def leak_ways(a: Assembly, loop: str) -> list[Way]:
    """Every opening between a loop and the outside that can be named."""
    ways = [*_seals(a, loop)]
    for plate in a.plates:
        wet = [p for p in wet_pieces(plate) if p.feature.loop == loop]
        ways += _plugs(a, plate, loop)
        ways += _bare(plate, wet)
        for dry in _dry_pieces(a, plate):
            for w in wet:
                at = None if w.feature is dry.feature else meeting(w, dry, plate)
                if at is not None:
                    ways.append(_past(plate, dry, w, at))
                    break
    return ways


def short_ways(a: Assembly, one: str, other: str) -> list[Way]:
    """Every pair of passages by which two loops meet."""
    ways = []
    for plate in a.plates:
        pieces = wet_pieces(plate)
        for p in (p for p in pieces if p.feature.loop == one):
            for q in (q for q in pieces if q.feature.loop == other):
                at = meeting(p, q, plate)
                if at is not None:
                    what = f"{p.name} of loop {one} runs into {q.name} of loop {other}"
                    ways.append(Way(plate.name, (p.name, q.name), what, "move or shorten one of them", at))
    return ways


def meeting(a: Piece, b: Piece, plate: PlateLayout) -> tuple[Point, ...] | None:
    """Where two pieces touch or cross, in the plate's frame, or None."""
    p, q = a.shape.BoundingBox(), b.shape.BoundingBox()
    if any(getattr(p, f"{k}max") < getattr(q, f"{k}min") - TOUCH or getattr(q, f"{k}max") < getattr(p, f"{k}min") - TOUCH
           for k in "xyz"):  # fmt: skip
        return None
    distance = BRepExtrema_DistShapeShape(a.shape.wrapped, b.shape.wrapped)
    if distance.Value() > TOUCH:
        return None
    u = distance.PointOnShape1(1)
    return (_rounded((u.X(), u.Y(), plate.side * u.Z())),)


def _rounded(p: Point) -> Point:
    x, y, z = (round(c, 4) + 0.0 for c in p)  # no negative zero
    return (x, y, z)


def wet_pieces(plate: PlateLayout) -> list[Piece]:
    """Every passage of a plate; of a tube channel the part inside the tube, with the tube's first millimetre."""
    made = []
    for f in plate.features:
        if f.loop is None:
            continue
        if f.role == "tube-channel":
            middle, inner, deep = _middle(f), f.facts["inner_radius"], f.facts["depth"]
            within = ((0.0, -1.0), (middle, -1.0), (middle, deep), (inner, deep), (inner, 0.0), (0.0, 0.0))
            made.append(Piece(f"{f.name.removesuffix('.tube-channel')}.tube", f, _shape(plate, f, within)))
        else:
            bore = f.facts.get("bore_radius", f.radius)
            profile = tuple((min(r, bore), z) for r, z in f.profile)
            made.append(Piece(f.name, f, _shape(plate, f, profiles.clipped(profile, _reach(plate, f)))))
    return [*made, *_channels(plate)]


def _channels(plate: PlateLayout) -> Iterator[Piece]:
    """Milled channels, up to their face."""
    for c in plate.pockets:
        if c.role == "channel":
            low, high = sorted(plate.side * z for z in _heights(c, plate))
            yield Piece(c.name, c, prism(c.shape, low, high))


def _heights(c: Pocket, plate: PlateLayout) -> tuple[float, float]:
    """Floor and face of a pocket in the plate's frame, mm."""
    return (-c.depth, 0.0) if c.face == "seal" else (c.depth - plate.thickness, -plate.thickness)


def _dry_pieces(a: Assembly, plate: PlateLayout) -> Iterator[Piece]:
    """What is open to the outside: dry holes, unsealed seats, and the outer half of each tube channel."""
    end = ".cord-lower" if plate.seal_up else ".cord-upper"
    sealed = {h.name.removesuffix(end) for h in a.hardware if h.name.endswith(end) and land(h.profile) > 0}
    for f in plate.features:
        if f.role == "tube-channel":
            middle, outer, deep = _middle(f), f.facts["outer_radius"], f.facts["depth"]
            without = ((middle, 0.0), (outer, 0.0), (outer, deep), (middle, deep))
            yield Piece(f.name, f, _shape(plate, f, without))
        elif f.loop is None and f.role != "strut-groove" and f.name.rsplit(".", 1)[0] not in sealed:
            yield Piece(f.name, f, _shape(plate, f, profiles.clipped(f.profile, _reach(plate, f))))


def _past(plate: PlateLayout, dry: Piece, wet: Piece, at: tuple[Point, ...]) -> Way:
    if dry.feature.role == "strut-seat":
        strut = dry.name.removesuffix(".seat")
        what = f"coolant in {wet.name} passes under the end of {strut} and out along its screw, past no seal"
        return Way(plate.name, (f"{strut}.screw", dry.name, wet.name), what,
                   "give the struts a seal (struts.seal), or stand them outside the tube", at)  # fmt: skip
    what = f"{dry.name} opens into {wet.name}, past no seal"
    return Way(plate.name, (dry.name, wet.name), what, f"move {dry.name} away from {wet.name}, or make it shorter", at)


def _seals(a: Assembly, loop: str) -> Iterator[Way]:
    """Cords of this loop that are missing or loose."""
    cords = {h.name: h for h in a.hardware if h.kind == "cord"}
    yield from _cover_seals(a, loop, cords)
    for tube in (h for h in a.hardware if h.kind == "tube" and h.loop == loop):
        reservoir = tube.name.removesuffix(".tube")
        for end in ("lower", "upper"):
            name = f"{reservoir}.cord-{end}"
            cord = cords.get(name)
            if cord is not None and land(cord.profile) > 0:
                continue
            state = "there is no cord under" if cord is None else "the cord lies loose under"
            x, y, z = tube.origin if cord is None else cord.origin
            yield Way(a.name, (name, tube.name), f"{state} the {end} end of {tube.name}",
                      "make the tube longer or the struts shorter, until the cord is squeezed", ((x, y, z),))  # fmt: skip


def _cover_seals(a: Assembly, loop: str, cords: dict[str, Hardware]) -> Iterator[Way]:
    """Cords under covers that lie loose, and channels under a screwed cover with no cord round them."""
    for h in cords.values():
        if h.path is not None and h.loop == loop and land(h.profile) == 0:
            plate, _, seal = h.name.partition(".")
            yield Way(plate, (seal,), "the cord lies loose in its groove under the cover",
                      "make its groove shallower, or take a thicker cord", (h.origin,))  # fmt: skip
    screwed = {p.cover_of for p in a.plates if p.cover_of and not p.bonded}
    for p in (p for p in a.plates if p.name in screwed):
        mine = [h for h in cords.values() if h.path is not None and h.loop == loop and h.name.startswith(f"{p.name}.")]
        open_ = [c for c in p.pockets if c.role == "channel" and c.loop == loop]
        if open_ and not mine:
            yield Way(p.name, (open_[0].name,), "there is no cord round it under the cover", "give it a groove with a cord",
                      (open_[0].origin,))  # fmt: skip


def _plugs(a: Assembly, plate: PlateLayout, loop: str) -> Iterator[Way]:
    there = {h.name for h in a.hardware if h.kind == "plug"}
    for f in plate.features:
        if f.role == "plug" and f.loop == loop and f"{plate.name}.{f.name}" not in there:
            yield Way(plate.name, (f.name,), f"there is no plug in {f.name}", f"fit a {f.thread} plug", (f.origin,))


def _bare(plate: PlateLayout, wet: list[Piece]) -> Iterator[Way]:
    """Passages that leave the plate where they should not, or open where nothing closes them."""
    body = None
    tubes = [p for p in wet if p.feature.role == "tube-channel"]
    tubes += [p for p in wet if isinstance(p.feature, Pocket)]  # what opens inside a channel is closed with it
    for p in wet:
        f = p.feature
        if isinstance(f, Pocket) or f.role == "tube-channel":
            continue  # their open side is closed by a cover or a tube, and a cord
        body = body or blank(replace(plate.outline, chamfer=0.0), plate.thickness, plate.side)
        if len(f.mouths) < 2 and p.shape.cut(body).Volume() > 1e-9:
            yield Way(plate.name, (f.name,), f"{f.name} breaks through the plate", "make it shorter, or move it inwards",
                      (_rounded(f.at(f.depth)),))  # fmt: skip
        within = any(meeting(p, t, plate) for t in tubes)
        for face in [m for m in f.mouths if f.role == "drilling" and not (m in ("seal", "outer") and within)][:1]:
            yield Way(plate.name, (f.name,), f"{f.name} is open at the {face} face", "give it a plug or a port",
                      (f.origin,))  # fmt: skip


def _middle(channel: Feature) -> float:
    return (channel.facts["inner_radius"] + channel.facts["outer_radius"]) / 2


def _reach(plate: PlateLayout, f: Feature) -> float:
    """A hole through the plate ends at the other face."""
    return plate.thickness if len(f.mouths) == 2 and abs(f.axis[2]) > 0.999 else f.depth


def _shape(plate: PlateLayout, f: Feature, profile: Profile) -> Any:
    return tool(replace(f, profile=profile), plate.side)
