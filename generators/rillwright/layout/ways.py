"""Wet passages of one loop as middle lines in the assembly, and where they run into each other. Lengths in mm.

This is read from the placed features, whichever way they were meant to join: two passages meet where their spaces
overlap.
"""

from __future__ import annotations

import bisect
import math
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import Literal

from . import geometry
from .features import Feature, PlateLayout, Vec3
from .hardware import in_assembly
from .pockets import Pocket, Stroke

Shape = Literal["round", "rectangle"]
SAME = 1e-6  # mm
SHARP = math.radians(1)  # less of a corner than this is none
CHORD = math.radians(5)  # turn of one chord of an arc, for finding where passages meet


@dataclass(frozen=True, slots=True)
class Way:
    """One passage: its middle line as points, the distance from its start to each, and its section."""

    name: str  # plate.feature
    kind: Literal["port", "drilling", "channel", "tube"]
    points: tuple[Vec3, ...]
    at: tuple[float, ...]  # distance of each point from the start along the true line, mm
    shape: Shape
    size: tuple[float, float]  # diameter twice, or width and depth, mm
    bends: tuple[tuple[float, float, float], ...] = ()  # middle of each turn (distance), its angle (rad), radius; 0 sharp

    @property
    def length(self) -> float:
        return self.at[-1]

    @property
    def plate(self) -> str:
        return self.name.partition(".")[0]

    @property
    def half(self) -> tuple[float, float]:
        """Half of its extent in plan and in height; for a bore its radius."""
        return self.size[0] / 2, self.size[1] / 2

    def place(self, s: float) -> Vec3:
        """Point at a distance s from the start."""
        i = min(max(bisect.bisect_right(self.at, s) - 1, 0), len(self.points) - 2)
        part = (s - self.at[i]) / max(self.at[i + 1] - self.at[i], SAME)
        a, b = self.points[i], self.points[i + 1]
        return geometry.add(a, geometry.sub(b, a), part)

    def direction(self, s: float, forward: bool) -> Vec3:
        """Unit vector from the point at s along the line, onward or back; the end's own where there is nothing left."""
        step = 0.5 if forward else -0.5
        other = min(max(s + step, 0.0), self.length)
        if abs(other - s) < SAME:
            other, step = s - step, -step
            return geometry.unit(geometry.sub(self.place(s), self.place(other)))
        return geometry.unit(geometry.sub(self.place(other), self.place(s)))


def plate_ways(plate: PlateLayout, loop: str) -> list[Way]:
    """Every passage of a loop in one plate that flow can go along: ports, drillings and milled channels."""
    found = [_bore(plate, f) for f in plate.features if f.loop == loop and f.role in ("port", "drilling")]
    milled = [_channel(plate, p) for p in plate.pockets if p.loop == loop and isinstance(p.shape, Stroke)]
    return [w for w in (*found, *milled) if w is not None]


def _bore(plate: PlateLayout, f: Feature) -> Way | None:
    """A port or drilling from where it starts to where its full diameter ends, inside the plate."""
    if f.role == "port":
        first, last, diameter = 0.0, f.facts["bore_depth"], 2 * f.facts["bore_radius"]
    else:
        first, last, diameter = f.facts["start"], f.facts["length"], f.facts["diameter"]
    low, high = sorted(_inside(plate, f))
    first, last = max(first, low), min(last, high)
    if last - first < SAME:
        return None
    ends = tuple(in_assembly(plate, f.at(s)) for s in (first, last))
    kind: Literal["port", "drilling"] = "port" if f.role == "port" else "drilling"
    return Way(f"{plate.name}.{f.name}", kind, ends, (0.0, last - first), "round", (diameter, diameter))


def _inside(plate: PlateLayout, f: Feature) -> tuple[float, float]:
    """Distances along the axis at which it crosses the two plane faces; infinite for an axis along them."""
    if abs(f.axis[2]) < 1e-9:
        return -math.inf, math.inf
    return (0.0 - f.origin[2]) / f.axis[2], (-plate.thickness - f.origin[2]) / f.axis[2]


def _channel(plate: PlateLayout, p: Pocket) -> Way | None:
    from . import paths

    assert isinstance(p.shape, Stroke)
    z = -p.depth / 2 if p.face == "seal" else p.depth / 2 - plate.thickness
    points, at, bends, s = [(*p.shape.path.start, z)], [0.0], [], 0.0
    onward: tuple[float, float] | None = None
    for piece in paths.pieces(p.shape.path):
        leaves = piece.at(0.0)[1]
        if onward and (corner := _corner(onward, leaves)) > SHARP:
            bends.append((s, corner, 0.0))
        onward = piece.at(piece.length)[1]
        count = math.ceil(abs(piece.sweep) / CHORD) if isinstance(piece, paths.Bow) else 1
        along = [piece.length * (i + 1) / count for i in range(count)]
        points += [(*piece.at(d)[0], z) for d in along]
        at += [s + d for d in along]
        if isinstance(piece, paths.Bow):
            bends.append((s + piece.length / 2, abs(piece.sweep), piece.radius))
        s += piece.length
    if len(points) < 2:
        return None
    there = tuple(in_assembly(plate, q) for q in points)
    size = (p.shape.width, p.depth)
    return Way(f"{plate.name}.{p.name}", "channel", there, tuple(at), "rectangle", size, tuple(bends))


def _corner(a: tuple[float, float], b: tuple[float, float]) -> float:
    """Angle from one direction in plan to the next, rad, 0 to π."""
    return abs(math.atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1]))


@dataclass(frozen=True, slots=True)
class Touch:
    """Two passages run into each other: at a distance s along each, mm."""

    one: int
    two: int
    at_one: float
    at_two: float


def touches(ways: list[Way]) -> list[Touch]:
    """Every meeting of two passages: at the ends of one that lie in the other, and where they come nearest."""
    return [t for (i, a), (j, b) in combinations(enumerate(ways), 2) for t in _between(i, a, j, b)]


def _between(i: int, a: Way, j: int, b: Way) -> list[Touch]:
    found: list[Touch] = []
    for s in (0.0, a.length):
        t = _nearest(b, a.place(s))
        if _overlap(a, s, b, t):
            found.append(Touch(i, j, s, t))
    for t in (0.0, b.length):
        s = _nearest(a, b.place(t))
        if _overlap(a, s, b, t):
            found.append(Touch(i, j, s, t))
    s, t = _closest(a, b)
    if _overlap(a, s, b, t):
        found.append(Touch(i, j, s, t))
    return _distinct(found, max(*a.size, *b.size))


def _distinct(found: list[Touch], near: float) -> list[Touch]:
    """Touches that lie apart; ends that lie near each other tell of one meeting."""
    kept: list[Touch] = []
    for t in found:
        if all(abs(t.at_one - k.at_one) > near or abs(t.at_two - k.at_two) > near for k in kept):
            kept.append(t)
    return kept


def _overlap(a: Way, s: float, b: Way, t: float) -> bool:
    """Whether the spaces round two places of two middle lines overlap.

    Passages of two plates that lie on each other need only touch: both are open where the faces meet.
    """
    p, q = a.place(s), b.place(t)
    flat, high = math.dist(p[:2], q[:2]), abs(p[2] - q[2])
    (aw, ah), (bw, bh) = _reach(a, s, geometry.sub(q, p)), _reach(b, t, geometry.sub(p, q))
    if a.plate != b.plate and high < ah + bh + SAME:
        aw, bw = a.half[0], b.half[0]  # a flat end is a mouth there, as wide as its bore
        return flat < aw + bw - SAME
    return flat < max(aw + bw - SAME, SAME) and high < max(ah + bh - SAME, SAME)


def _reach(way: Way, s: float, towards: Vec3) -> tuple[float, float]:
    """How far a passage's space reaches from a place on its line, in plan and in height; a bore only square to its line."""
    if way.shape == "rectangle" or geometry.length(towards) < SAME:
        return way.half
    along = geometry.dot(way.direction(s, s < way.length - SAME), geometry.unit(towards))
    share = math.sqrt(max(0.0, 1 - along**2))
    return way.half[0] * share, way.half[1] * share


def _nearest(way: Way, p: Vec3) -> float:
    """Distance along a line at which it comes nearest to a point."""
    best = (math.inf, 0.0)
    for (a, sa), (b, sb) in pairwise(zip(way.points, way.at, strict=True)):
        v = geometry.sub(b, a)
        part = min(1.0, max(0.0, geometry.dot(geometry.sub(p, a), v) / max(geometry.dot(v, v), SAME**2)))
        best = min(best, (math.dist(p, geometry.add(a, v, part)), sa + part * (sb - sa)))
    return best[1]


def _closest(a: Way, b: Way) -> tuple[float, float]:
    """Distances along two lines at which they come nearest to each other: from crossing to crossing by turns."""
    best = (math.inf, 0.0, 0.0)
    for (p, sp), (q, sq) in pairwise(zip(a.points, a.at, strict=True)):
        for (u, su), (v, sv) in pairwise(zip(b.points, b.at, strict=True)):
            s, t = geometry.closest_parameters((p, q), (u, v))
            gap = math.dist(geometry.add(p, geometry.sub(q, p), s), geometry.add(u, geometry.sub(v, u), t))
            best = min(best, (gap, sp + s * (sq - sp), su + t * (sv - su)))
    return best[1], best[2]
