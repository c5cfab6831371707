"""What stands in the way of grooves and screws: circles, outlines and shapely regions, each with its clearance in mm."""

from __future__ import annotations

import math
from typing import Any

from .. import paths
from ..features import Outline
from ..pockets import Area, Path, Pocket, Point2, Stroke

Circle = tuple[Point2, float]  # centre, radius
Shape = Any  # Circle | Outline | closed Path | Pocket | Stroke | Area | shapely geometry
Obstacle = tuple[str, Shape, float]  # name, shape, clearance


def shape_region(shape: Shape) -> Any:
    """The shapely region of an obstacle; a circle's has 64 chords a quarter, outside its true line by 0.0002 r at most."""
    import shapely

    if isinstance(shape, Pocket | Stroke | Area):
        return paths.region(shape)
    if isinstance(shape, Outline | Path):
        return paths.polygon(shape)
    if isinstance(shape, tuple):
        (x, y), r = shape
        return shapely.Point(x, y).buffer(r / math.cos(math.pi / 256), quad_segs=64) if r > 0 else shapely.Point(x, y)
    return shape


def distance_between(a: Any, b: Any) -> tuple[float, Point2, Point2]:
    """Smallest distance of two shapely geometries, mm, and the point on each."""
    import shapely

    p, q = shapely.get_coordinates(shapely.shortest_line(a, b)).tolist()
    return math.dist(p, q), (p[0], p[1]), (q[0], q[1])
