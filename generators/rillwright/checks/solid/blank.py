"""How much an uncut plate holds, by its own geometry and not the kernel's. Lengths in mm."""

from __future__ import annotations

import math

import numpy as np

from ...layout import paths
from ...layout.features import Outline
from ...layout.parallels import meetings
from ...layout.paths import Bow, Piece
from ...layout.pockets import Point2

PLACES, WEIGHTS = np.polynomial.legendre.leggauss(6)  # of an integral from -1 to 1


def blank_volume(outline: Outline, thickness: float) -> float:
    """Volume (mm³) of the plate: its area, and over the depth of an edge chamfer the area that is left there."""
    c = outline.chamfer
    left = sum(float(w) * area_within(outline, c * float(1 + x) / 2) for x, w in zip(PLACES, WEIGHTS, strict=True)) / 2
    return area_within(outline, 0.0) * (thickness - 2 * c) + 2 * c * left


def area_within(outline: Outline, distance: float) -> float:
    """Area (mm²) inside the parallel of an outline, its corners sharp like those of the outline."""
    own = paths.pieces(outline)
    moved = [p.parallel(distance) for p in own]
    if any(m is None for m in moved):
        return math.nan  # a round corner is used up; layout refuses such a chamfer
    whole = [m for m in moved if m is not None]
    corners = [_corner(whole[i - 1], whole[i], own[i].start) for i in range(len(own))]
    return sum(_under(p, a, b) for p, a, b in zip(whole, corners, [*corners[1:], corners[0]], strict=True))


def _corner(before: Piece, after: Piece, old: Point2) -> Point2:
    a, b = before.end, after.start
    if math.dist(a, b) < 1e-9:
        return a
    return min(meetings(before, after), key=lambda p: math.dist(p, old), default=((a[0] + b[0]) / 2, (a[1] + b[1]) / 2))


def _under(p: Piece, a: Point2, b: Point2) -> float:
    """Share of a piece from `a` to `b` in the area: its chord by Green's theorem, and its bow."""
    chord = (a[0] * b[1] - b[0] * a[1]) / 2
    if not isinstance(p, Bow):
        return chord
    first, last = (math.atan2(q[1] - p.centre[1], q[0] - p.centre[0]) for q in (a, b))
    sweep = p.sweep + (last - first - p.sweep + math.pi) % math.tau - math.pi
    return chord + p.radius**2 * (sweep - math.sin(sweep)) / 2
