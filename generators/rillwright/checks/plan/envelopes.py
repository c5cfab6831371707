"""Distances between placed features from the cylinders they are made of. Lengths in mm, plate frame.

Exact for the cylinders of two features across the faces, and for one across against a level drilling; a lower bound
where two drillings end near each other (their flat ends are taken as round).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from ...layout.features import Feature, PlateLayout, Vec3
from ...layout.geometry import Segment, segment_distance


@dataclass(frozen=True, slots=True)
class Piece:
    """A cylinder (or ring, where `bore` is not 0) along a feature's axis, between two points of it."""

    start: Vec3
    end: Vec3
    radius: float
    bore: float = 0.0
    upright: bool = False


def pieces(f: Feature) -> list[Piece]:
    """Cylinders of a feature, cones as the cylinders round them; a spotface is left to the rule of lips."""
    upright = abs(f.axis[2]) > 1 - 1e-12
    bore = f.facts["inner_radius"] if f.role == "tube-channel" else 0.0
    shallow = f.facts.get("spotface_depth", 0.0) if f.role in ("port", "plug") else 0.0
    made = []
    for (r0, z0), (r1, z1) in zip(f.profile, [*f.profile[1:], f.profile[0]], strict=True):
        low, high, r = max(0.0, min(z0, z1)), max(z0, z1), max(r0, r1)
        if high - low < 1e-9 or r < 1e-9 or high <= shallow + 1e-9 or (bore and r <= bore + 1e-9):
            continue
        made.append(Piece(f.at(low), f.at(high), r, bore, upright))
    return made


def apart(a: Feature, b: Feature, shift: float = 0.0) -> float:
    """Smallest distance of two features, 0 where they meet; `shift` is how much nearer in plan one of them may lie."""
    return min((_apart(p, q, shift) for p, q in product(pieces(a), pieces(b))), default=math.inf)


def _apart(p: Piece, q: Piece, shift: float) -> float:
    if p.upright and q.upright:
        d = math.dist(p.start[:2], q.start[:2])
        return math.hypot(_plan(p, q, d, d, shift), _level(p, (q.start[2], q.end[2])))
    if not p.upright and not q.upright:
        return max(0.0, segment_distance((p.start, p.end), (q.start, q.end)) - p.radius - q.radius)
    stands, lies = (p, q) if p.upright else (q, p)
    d = _to_segment(stands.start, (lies.start, lies.end))
    far = max(math.dist(stands.start[:2], e[:2]) for e in (lies.start, lies.end))
    axis = Piece(lies.start, lies.end, 0.0)
    plan = _plan(stands, axis, d, far, shift)
    return max(0.0, math.hypot(plan, _level(stands, (lies.start[2], lies.end[2]))) - lies.radius)


def _plan(p: Piece, q: Piece, near: float, far: float, shift: float) -> float:
    """Gap in plan of two discs or rings whose axes lie `near` to `far` apart."""
    inside = max(p.bore - far - q.radius, q.bore - far - p.radius) if p.bore or q.bore else -math.inf
    return max(0.0, max(near - p.radius - q.radius, inside) - shift)


def _level(p: Piece, other: tuple[float, float]) -> float:
    low, high = sorted((p.start[2], p.end[2]))
    return max(0.0, min(other) - high, low - max(other))


def _to_segment(at: Vec3, s: Segment) -> float:
    flat: Segment = ((s[0][0], s[0][1], 0.0), (s[1][0], s[1][1], 0.0))
    here: Vec3 = (at[0], at[1], 0.0)
    return segment_distance((here, here), flat)


NEAR = 12.0  # mm: features whose boxes lie further apart are no pair for a rule about walls


def near_pairs(features: list[Feature]) -> Iterator[tuple[Feature, Feature]]:
    """Pairs whose boxes lie no further apart than `NEAR` in every direction, in the order of the features."""
    boxes = [_box(f) for f in features]
    by_x = sorted(range(len(boxes)), key=lambda i: boxes[i][0][0])
    pairs = []
    for n, i in enumerate(by_x):
        (_, y0, z0), (x1, y1, z1) = boxes[i]
        for j in by_x[n + 1 :]:
            low, high = boxes[j]
            if low[0] > x1 + NEAR:
                break  # and so do all that follow
            if low[1] <= y1 + NEAR and y0 <= high[1] + NEAR and low[2] <= z1 + NEAR and z0 <= high[2] + NEAR:
                pairs.append((i, j) if i < j else (j, i))
    return ((features[i], features[j]) for i, j in sorted(pairs))


def _box(f: Feature) -> tuple[Vec3, Vec3]:
    a, b = f.origin, f.at(f.depth)
    radius = f.radius
    rims = [radius * math.sqrt(max(0.0, 1 - c * c)) for c in f.axis]
    low = tuple(min(u, v) - r for u, v, r in zip(a, b, rims, strict=True))
    high = tuple(max(u, v) + r for u, v, r in zip(a, b, rims, strict=True))
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


def floor_left(f: Feature, plate: PlateLayout) -> float:
    """Material between a feature and the nearest face that it is not meant to open; infinite if it opens both."""
    left = math.inf
    for p in pieces(f):
        out = 0.0 if p.upright else p.radius
        low, high = min(p.start[2], p.end[2]) - out, max(p.start[2], p.end[2]) + out
        left = min(left, math.inf if "seal" in f.mouths else -high, math.inf if "outer" in f.mouths
                   else low + plate.thickness)  # fmt: skip
    return left
