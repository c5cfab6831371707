"""Grooves of one cover: a ring round each wet area of a loop, as pockets, with cord and gland. Lengths in mm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from ...physics import seals
from ...spec.job import Job
from .. import paths
from ..features import Feature, Hardware, Outline, PlateLayout
from ..gland import Gland, pocket_gland
from ..hardware import cord_section, in_assembly
from ..joints import Ring as CordRing
from ..joints import joint_of
from ..pockets import Pocket, Point2, Stroke
from ..sealing.obstacles import Obstacle, shape_region
from ..sealing.ring import Ring, Wet, ring
from .decks import Deck

GROOVE_TOLERANCE = 0.05  # ± mm of its depth: a router holds it; our choice, no source


@dataclass(frozen=True, slots=True)
class Sealed:
    """One groove: its pocket in the body, its line, and the loop that it closes in."""

    name: str  # of the seal
    loop: str
    pocket: Pocket
    ring: Ring


def wet_areas(deck: Deck, pockets: Sequence[Pocket], bores: Sequence[Feature]) -> dict[str, list[list[Wet]]]:
    """Wet areas by loop; those of one loop that lie too near for a groove between them are one.

    bores: ports through the cover, whose mouths lie on the body.
    """
    out: dict[str, list[list[Wet]]] = {}
    need = 2 * deck.margin + deck.land
    for p in (p for p in pockets if p.role == "channel" and p.face == deck.face):
        out.setdefault(p.loop or "", []).append([p])
    for f in bores:
        out.setdefault(f.loop or "", []).append([(f.origin[:2], f.facts.get("bore_radius", f.radius))])
    return {loop: _joined(areas, need) for loop, areas in out.items()}


def _joined(areas: list[list[Wet]], need: float) -> list[list[Wet]]:
    groups = [(shape_region(a[0]), a) for a in areas]
    done: list[list[Wet]] = []
    while groups:
        region, group = groups.pop(0)
        while near := [g for g in groups if region.distance(g[0]) < need]:
            groups = [g for g in groups if g not in near]
            region = region.union(near[0][0].union(near[-1][0]))
            for r, more in near:
                region, group = region.union(r), group + more
        done.append(group)
    return done


def grooves(
    deck: Deck, shape: Outline, wet: dict[str, list[list[Wet]]], stand: Sequence[Obstacle]
) -> list[Sealed]:
    """A groove round every wet area. Raises InTheWay with what has no room."""
    out: list[Sealed] = []
    for loop, areas in wet.items():
        others = [(_name(w), w, deck.land) for o, some in wet.items() for a in some for w in a if o != loop]
        for area in areas:
            rest = [(_name(w), w, deck.land) for a in areas if a is not area for w in a]
            around = [(s.pocket.name, s.pocket, deck.land) for s in out]
            found = ring(area, shape, deck.cover.cord.diameter, deck.width, deck.land, deck.land, deck.corner,
                         [*stand, *others, *rest, *around])  # fmt: skip
            out.append(_sealed(deck, loop, area, found))
    return out


def _name(w: Wet) -> str:
    return w.name if isinstance(w, Pocket) else f"the port at x {w[0][0]:g}, y {w[0][1]:g}"


def _sealed(deck: Deck, loop: str, area: Sequence[Wet], found: Ring) -> Sealed:
    first = next((w.name.split(".")[0] for w in area if isinstance(w, Pocket)), loop)
    prefix = "" if deck.face == "seal" else "outer-"
    long = paths.length(found.path)
    pocket = Pocket(
        f"{prefix}{first}.groove", "groove", deck.face, Stroke(found.path, deck.width), deck.depth, (deck.face,), None,
        deck.floor_radius, GROOVE_TOLERANCE,
        f"groove {deck.width:g} wide × {deck.depth:g} deep, cord Ø{deck.cover.cord.diameter:g}, {long:.1f} long",
        (), {"width": deck.width, "depth": deck.depth, "length": long, "land": deck.land, "corner": deck.corner,
             "cord": deck.cover.cord.diameter},
    )  # fmt: skip
    return Sealed(f"{prefix}{first}.cord", loop, pocket, found)


def cord_of(deck: Deck, s: Sealed, body: PlateLayout, job: Job, screws: Sequence[tuple[str, Point2]]
            ) -> tuple[Hardware, CordRing, Gland]:  # fmt: skip
    """The cord in a groove: the part, the ring that is cut, and its gland."""
    floor = -deck.depth if deck.face == "seal" else deck.depth - body.thickness
    x, y, z = in_assembly(body, (*s.ring.path.start, floor))
    up = body.side if deck.face == "seal" else -body.side
    cord = deck.cover.cord
    name = f"{body.name}.{s.name}"
    d = cord.diameter
    part = Hardware(
        name, "cord", (x, y, z), (0.0, 0.0, up), cord_section(0.0, d, deck.depth), s.loop, cord.material, f"cord Ø{d:g}",
        s.ring.path, d,
    )  # fmt: skip
    at, way, beside = _joint(s, screws)
    cut = CordRing(s.name, body.name, cord, seals.ring_cut_length(paths.length(s.ring.path)), at, beside, way, name)
    read, at_key = deck.cover.measured, f"of {deck.plate!r}, covers.{deck.face}"
    gland = pocket_gland(s.name, s.pocket, body, cord, job, measured=read.cord, joint=joint_of(cut),
                         cord_key=f"measured.cord {at_key}", depth=read.groove_depth)  # fmt: skip
    return part, cut, replace(gland, loop=s.loop, depth_key=f"measured.groove_depth {at_key}")


def _joint(s: Sealed, screws: Sequence[tuple[str, Point2]]) -> tuple[Point2, Point2, str]:
    """Where the cord's ends meet: in the middle of a straight run, beside the screw that is nearest to such a place."""
    runs, at = [], 0.0
    for p in paths.pieces(s.ring.path):
        if isinstance(p, paths.Straight):
            runs.append((p.length, p.at(p.length / 2)))
        at += p.length
    long = max((n for n, _ in runs), default=0.0)
    places = [q for n, q in runs if n > long / 2] or [paths.place(s.ring.path, 0.0)]
    if not screws:
        return (*places[0], "")
    best = min(((_gap(q[0], xy), i, name) for i, q in enumerate(places) for name, xy in screws))
    return (*places[best[1]], best[2])


def _gap(a: Point2, b: Point2) -> float:
    return float(((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2) ** 0.5)
