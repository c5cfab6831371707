"""Outlines and paths as chords, for shapely inside the router. Lengths mm, angles rad."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import shapely

from ..features import Arc, Line, Outline
from ..outline import arc_centre
from ..pockets import Path
from .problem import Point2

FINE = 1e-4  # mm that a chord may leave its arc


def flattened(start: Point2, pieces: tuple[Line | Arc, ...], sagitta: float = FINE) -> Iterator[Point2]:
    """Points along lines and arcs, chords within `sagitta` of the arc, the ends exact."""
    yield start
    at = start
    for p in pieces:
        if isinstance(p, Arc):
            (cx, cy), r = arc_centre(at, p.middle, p.end)
            a0, am, a1 = (math.atan2(q[1] - cy, q[0] - cx) for q in (at, p.middle, p.end))
            left = (am - a0) % math.tau < (a1 - a0) % math.tau
            sweep = (a1 - a0) % math.tau if left else -((a0 - a1) % math.tau)
            step = 2 * math.acos(max(0.0, 1 - sagitta / r))
            n = max(2, math.ceil(abs(sweep) / step))
            for i in range(1, n):
                a = a0 + sweep * i / n
                yield (cx + r * math.cos(a), cy + r * math.sin(a))
        yield p.end
        at = p.end


def outline_polygon(o: Outline, sagitta: float = 5e-4) -> Any:
    """The plate's outline as a polygon; chords of convex arcs lie inside the plate."""
    return shapely.Polygon(list(flattened(o.start, o.pieces, sagitta)))


def parted(shape: Any, places: tuple[Point2, ...], reach: float) -> Any:
    """A shape without what lies within `reach` of some places."""
    for at in places:
        shape = shape.difference(shapely.Point(at).buffer(reach, quad_segs=64))
    return shape


def path_line(path: Path, sagitta: float = FINE) -> Any:
    return shapely.LineString(list(flattened(path.start, path.pieces, sagitta)))
