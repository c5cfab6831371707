"""Where the middle line of one net may lie on one level, in triangles, and the shortest way through them.

The corners of the shortest way lie on circles round what the line keeps off. `strings` bends the line round the true
circles; what comes of it is measured before it is taken. Lengths mm.
"""

from __future__ import annotations

import math
from collections import deque
from itertools import pairwise
from typing import Any

import numpy as np
import shapely

from .grid import Array
from .problem import Point2

QUARTER = 8  # sides of a circle's polygon a quarter turn
GROWN = 1 / math.cos(math.pi / (4 * QUARTER))  # from a circle to the corners of the polygon round it
STRAY = 24  # triangles that two neighbouring points of a line may be apart
SAMPLE = 0.4  # mm between points by which a line is followed through the triangles


def grown(shape: Any, by: float | list[float], safe: bool) -> Any:
    """A shape, or an array of them, and what lies within `by` mm: with round corners drawn round the true circles
    where `safe`, else by chords of them, which leave a way open that is as wide as the line just needs."""
    return shapely.buffer(shape, np.asarray(by) * (GROWN if safe else 1.0), quad_segs=QUARTER)


class Room:
    """A region with holes, triangulated."""

    def __init__(self, region: Any) -> None:
        self.region = region
        shapely.prepare(region)
        triangles = np.array(shapely.get_parts(shapely.constrained_delaunay_triangles(region)))
        corners = shapely.get_coordinates(triangles).reshape(-1, 4, 2)[:, :3]
        turned = _cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        corners[turned < 0] = corners[turned < 0][:, ::-1]
        self.points, ids = np.unique(corners.reshape(-1, 2), axis=0, return_inverse=True)
        self.corners = ids.reshape(-1, 3)
        self.tree = shapely.STRtree(triangles)
        self.doors: list[dict[int, tuple[int, int]]] = [{} for _ in self.corners]
        self._join()

    def _join(self) -> None:
        """Doors between triangles: for each neighbour the left and right post as one walks through."""
        side: dict[tuple[int, int], int] = {}
        for t, (a, b, c) in enumerate(self.corners.tolist()):
            for u, v in ((a, b), (b, c), (c, a)):
                other = side.pop((v, u), None)
                if other is None:
                    side[(u, v)] = t
                else:  # leaving t over its own edge u→v, v is on the left
                    self.doors[t][other] = (v, u)
                    self.doors[other][t] = (u, v)

    def sleeve(self, line: Array) -> list[int] | None:
        """Triangles that a line runs through, without the turning back; None where it leaves the region."""
        points = _sampled(line)
        hit, found = self.tree.query(shapely.points(points), predicate="intersects")
        first = np.full(len(points), -1)
        first[hit[::-1]] = found[::-1]
        missing = np.flatnonzero(first < 0)
        if len(missing):
            near, far = self.tree.query_nearest(
                shapely.points(points[missing]), max_distance=1.0, all_matches=False, return_distance=False
            )
            first[missing[near]] = far
        steps = [int(t) for t in first if t >= 0]
        if first[0] < 0 or first[-1] < 0:
            return None
        out = [steps[0]]
        for t in steps[1:]:
            if t != out[-1]:
                between = self._walk(out[-1], t)
                if between is None or len(between) > STRAY:
                    return None
                for s in between:
                    if len(out) > 1 and out[-2] == s:
                        out.pop()
                    else:
                        out.append(s)
        return out

    def _walk(self, a: int, b: int) -> list[int] | None:
        """Fewest triangles from a (left out) to b."""
        before = {a: a}
        queue = deque([a])
        while queue:
            t = queue.popleft()
            if t == b:
                way = [b]
                while before[way[-1]] != a:
                    way.append(before[way[-1]])
                return way[::-1]
            for s in self.doors[t]:
                if s not in before:
                    before[s] = t
                    queue.append(s)
        return None

    def pulled(self, line: Array) -> list[tuple[Point2, int]] | None:
        """Corners of the shortest line that can be reached from a line by pulling, with the side that each turns
        to (+1 left)."""
        way = self.sleeve(line)
        if way is None:
            return None
        posts = [self.doors[a][b] for a, b in pairwise(way)]
        left = [tuple(self.points[p[0]].tolist()) for p in posts]
        right = [tuple(self.points[p[1]].tolist()) for p in posts]
        end = (float(line[-1][0]), float(line[-1][1]))
        return _funnel((float(line[0][0]), float(line[0][1])), end, [*left, end], [*right, end])


def _cross(a: Array, b: Array) -> Array:
    out: Array = a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]
    return out


def _sampled(line: Array) -> Array:
    """Points along a polyline, its corners included."""
    d = np.hypot(*(line[1:] - line[:-1]).T)
    n = np.maximum(1, np.ceil(d / SAMPLE).astype(int))
    parts = [a + (b - a) * (np.arange(k) / k)[:, None] for a, b, k in zip(line[:-1], line[1:], n, strict=True)]
    return np.vstack([*parts, line[-1:]])


def _area(a: Point2, b: Point2, c: Point2) -> float:
    """Positive where c lies left of a→b."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _funnel(start: Point2, end: Point2, lefts: list[Any], rights: list[Any]) -> list[tuple[Point2, int]]:
    """Shortest way through doors (Lee and Preparata's funnel): its corners and the side that they turn to."""
    out: list[tuple[Point2, int]] = []
    apex = left = right = start
    at_left = at_right = i = 0
    while i < len(lefts):
        new_left, new_right = lefts[i], rights[i]
        if _area(apex, right, new_right) >= 0:
            if apex == right or _area(apex, left, new_right) < 0:
                right, at_right = new_right, i
            else:
                out.append((left, 1))
                apex = right = left
                i = at_right = at_left
                i += 1
                continue
        if _area(apex, left, new_left) <= 0:
            if apex == left or _area(apex, right, new_left) > 0:
                left, at_left = new_left, i
            else:
                out.append((right, -1))
                apex = left = right
                i = at_left = at_right
        i += 1
    merged: list[tuple[Point2, int]] = []
    for point, side in out:
        if point not in (start, end) and (not merged or merged[-1][0] != point):
            merged.append((point, side))
    return merged
