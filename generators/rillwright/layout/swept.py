"""Strokes of one cutter with a floor radius that run into each other: which they are, and the volume they take together.

Numbers only, by another path than the solid: layer by layer the cutter is as much narrower as its corner is round, so
the section at each height is the union in plan of strokes so much narrower. Lengths in mm.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations
from typing import Any

from . import paths
from .pockets import Pocket, Stroke

LAYERS = 16  # of Gauss and Legendre, from the floor to the top of the radius
_CHORD = 1e-5  # mm that chords may leave an arc by
_SEGMENTS = 512  # of a quarter turn of a round end: 1.6e-6 of its area
_TOUCH = 0.01  # mm: nearer than this strokes are cut as one


def trees(pockets: Sequence[Pocket]) -> list[tuple[Pocket, ...]]:
    """Strokes with a floor radius, those put together that have one face, depth and radius and touch each other."""
    rounded = [p for p in pockets if p.floor_radius > 0 and len(p.mouths) == 1 and isinstance(p.shape, Stroke)]
    group = list(range(len(rounded)))
    for i, j in combinations(range(len(rounded)), 2):
        if group[i] != group[j] and _touch(rounded[i], rounded[j]):
            old, new = max(group[i], group[j]), min(group[i], group[j])
            group = [new if g == old else g for g in group]
    return [tuple(p for p, g in zip(rounded, group, strict=True) if g == k) for k in dict.fromkeys(group)]


def _touch(a: Pocket, b: Pocket) -> bool:
    alike = a.face == b.face and math.isclose(a.depth, b.depth) and math.isclose(a.floor_radius, b.floor_radius)
    return alike and bool(_line(a).distance(_line(b)) < (_width(a) + _width(b)) / 2 + _TOUCH)


def tree_volume(tree: Sequence[Pocket]) -> float:
    """What the strokes of a tree take out of a plate that they lie in, mm³, to about 1e-6 of it."""
    import numpy as np

    r, depth = tree[0].floor_radius, tree[0].depth
    lines = [(_line(p), _width(p) / 2) for p in tree]
    total = _area(lines, 0.0) * (depth - r)
    nodes, weights = np.polynomial.legendre.leggauss(LAYERS)
    for at, weight in zip(nodes.tolist(), weights.tolist(), strict=True):
        t = (at + 1) * math.pi / 4  # round the corner, from the floor to the wall
        total += weight * math.pi / 4 * r * math.sin(t) * _area(lines, r - r * math.sin(t))
    return float(total)


def _area(lines: list[tuple[Any, float]], narrower: float) -> float:
    import shapely

    return float(shapely.union_all([line.buffer(half - narrower, quad_segs=_SEGMENTS) for line, half in lines]).area)


def _line(p: Pocket) -> Any:
    assert isinstance(p.shape, Stroke)
    return paths.line_string(p.shape.path, _CHORD)


def _width(p: Pocket) -> float:
    assert isinstance(p.shape, Stroke)
    return p.shape.width
