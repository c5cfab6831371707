"""Links between wet areas of one loop that do not touch, so that one groove can go round all of them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ..pockets import Point2
from .obstacles import Obstacle, distance_between, shape_region

TOUCHING = 1e-3  # mm
PLACES = 5.0  # mm between the places that a link may start from


def bridges(regions: Sequence[Any], half: float, obstacles: Sequence[Obstacle]) -> list[tuple[Point2, Point2]]:
    """The shortest links, of `half` mm on either side, that make one of the regions; those that clear all obstacles
    come first, and where there is none the shortest is taken all the same: the ring will say what it meets."""
    import shapely

    merged = shapely.union_all([r.buffer(TOUCHING) for r in regions])
    groups = list(merged.geoms) if merged.geom_type == "MultiPolygon" else [merged]
    solid = shapely.union_all([shape_region(s).buffer(c) for _, s, c in obstacles])
    out: list[tuple[Point2, Point2]] = []
    while len(groups) > 1:
        pairs = [(i, j) for i in range(len(groups)) for j in range(i)]
        tried = [(*_link(groups[i], groups[j], half, solid), i, j) for i, j in pairs]
        _, _, link, i, j = min(tried, key=lambda t: t[:2])
        out.append(link)
        joined = shapely.union_all([groups[i], groups[j], shapely.LineString(link).buffer(TOUCHING)])
        groups = [g for k, g in enumerate(groups) if k not in (i, j)] + [joined]
    return out


def _link(a: Any, b: Any, half: float, solid: Any) -> tuple[bool, float, tuple[Point2, Point2]]:
    """(blocked, length, ends) of the best link between two regions."""
    import numpy as np
    import shapely

    length, p, q = distance_between(a, b)
    if not shapely.LineString([p, q]).dwithin(solid, half):
        return False, length, (p, q)
    rim = [shapely.get_coordinates(shapely.segmentize(g.exterior, PLACES)) for g in (a, b)]
    near = [r[:: max(1, len(r) // 80)] for r in rim]
    lines = shapely.linestrings(np.stack([np.repeat(near[0], len(near[1]), 0), np.tile(near[1], (len(near[0]), 1))], 1))
    clear = lines[~shapely.dwithin(lines, solid, half)]
    if len(clear) == 0:
        return True, length, (p, q)
    (px, py), (qx, qy) = shapely.get_coordinates(min(clear, key=lambda g: g.length)).tolist()
    return False, shapely.Point(px, py).distance(shapely.Point(qx, qy)), ((px, py), (qx, qy))
