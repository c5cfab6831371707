"""Volume of what is milled, by closed forms: section times length (Pappus), ends, corners and floor radius."""

from __future__ import annotations

import math

from ...layout.features import Arc, Outline
from ...layout.paths import Bow, area, length, pieces
from ...layout.pockets import Pocket, Stroke
from ...layout.strokes import smooth, turns

CORNER = 1 - math.pi / 4  # of a square of the radius' side: what a floor radius leaves standing
CENTROID = (10 - 3 * math.pi) / (12 - 3 * math.pi)  # of that piece from each of its straight sides, times the radius


def pocket_volume(pocket: Pocket, thickness: float) -> float | None:
    """Volume (mm³) that a pocket takes from a plate; None where no closed form is known.

    That is a stroke with corners that are not between straight legs, or with a floor radius in its corners, and an
    area with a floor radius and corners. A line that runs over itself is counted twice.
    """
    depth, r = (thickness, 0.0) if len(pocket.mouths) > 1 else (pocket.depth, pocket.floor_radius)
    if isinstance(pocket.shape, Stroke):
        return _stroke(pocket.shape, depth, r)
    edges = [(pocket.shape.outside, 1.0), *((i, -1.0) for i in pocket.shape.islands)]
    whole = depth * sum(sign * abs(area(o)) for o, sign in edges)
    if r == 0:
        return whole
    left = [_rim(o, sign, r) for o, sign in edges]
    return None if any(x is None for x in left) else whole - sum(x for x in left if x is not None)


def _stroke(shape: Stroke, depth: float, r: float) -> float | None:
    half, long = shape.width / 2, length(shape.path)
    ends = 0.0 if shape.path.closed else _ends(half, depth, r)
    if smooth(shape):
        return (shape.width * depth - 2 * CORNER * r * r) * long + ends
    if r > 0 or any(isinstance(p, Arc) for p in shape.path.pieces):
        return None
    # outside each corner a sector is added, inside it two kites overlap
    bends = sum(half * half * (abs(t) / 2 - math.tan(abs(t) / 2)) for t in turns(shape.path))
    return depth * (shape.width * long + bends) + ends


def _ends(half: float, depth: float, r: float) -> float:
    """Both round ends: the half section once round."""
    return math.pi * half * half * depth - math.tau * (half - CENTROID * r) * CORNER * r * r


def _rim(outline: Outline, sign: float, r: float) -> float | None:
    """What the floor radius leaves along an edge of an area; None for an edge with corners."""
    if turns(outline):
        return None
    total = 0.0
    for p in pieces(outline):
        inwards = math.copysign(1.0, p.sweep) * sign if isinstance(p, Bow) else 0.0
        total += abs(p.sweep) * (p.radius - inwards * CENTROID * r) if isinstance(p, Bow) else p.length
    return CORNER * r * r * total
