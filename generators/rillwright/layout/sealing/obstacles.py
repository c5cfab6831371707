"""What stands in the way of grooves and screws: circles, outlines and shapely regions, each with its clearance in mm."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

from .. import paths
from ..features import Outline
from ..pockets import Area, Path, Pocket, Point2, Stroke

KEPT = 256  # regions: each is asked for again and again while one face is closed
Circle = tuple[Point2, float]  # centre, radius
Shape = Any  # Circle | Outline | closed Path | Pocket | Stroke | Area | shapely geometry
Obstacle = tuple[str, Shape, float]  # name, shape, clearance


def shape_region(shape: Shape) -> Any:
    """The shapely region of an obstacle; a circle's has 64 chords a quarter, outside its true line by 0.0002 r at most."""
    if isinstance(shape, Pocket):
        return _region(shape.shape)
    return _region(shape) if isinstance(shape, Stroke | Area | Outline | Path | tuple) else shape


@lru_cache(KEPT)
def _region(shape: Stroke | Area | Outline | Path | Circle) -> Any:
    import shapely

    if isinstance(shape, Stroke | Area):
        return paths.region(shape)
    if isinstance(shape, Outline | Path):
        return paths.polygon(shape)
    (x, y), r = shape
    return shapely.Point(x, y).buffer(r / math.cos(math.pi / 256), quad_segs=64) if r > 0 else shapely.Point(x, y)


def distance_between(a: Any, b: Any) -> tuple[float, Point2, Point2]:
    """Smallest distance of two shapely geometries, mm, and the point on each."""
    import shapely

    p, q = shapely.get_coordinates(shapely.shortest_line(a, b)).tolist()
    return math.dist(p, q), (p[0], p[1]), (q[0], q[1])
