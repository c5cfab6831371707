"""What the middle line of a net keeps off: as turns, as grown shapes, and as distances that are measured. Lengths mm."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from ..features import Arc
from ..outline import arc_centre
from ..pockets import Path
from .flat import FINE, flattened, parted, path_line
from .grid import keep_off
from .problem import Circle, Net, Point2, Polygon, Problem, Via

COARSE = 0.02  # mm that chords may leave an arc where a shape is grown


@dataclass(frozen=True, slots=True)
class Keep:
    """A shape and the distance that the middle line keeps from it. `turns` are the circles it may be bent round."""

    name: str
    shape: Any
    distance: float
    turns: tuple[tuple[float, float, float], ...]
    coarse: Any = None  # the same in fewer chords, for growing: they leave the true one by COARSE at most


@dataclass(frozen=True, slots=True)
class Lane:
    """A net's stretch that lies: its middle line on one level."""

    net: str
    level: int
    path: Path


class Limits:
    """Everything on a plate that stands still, by net and level."""

    def __init__(self, problem: Problem, region: Any) -> None:
        self.p, self.region = problem, region
        self._still: dict[tuple[str, int, float], list[Keep]] = {}
        self._free: dict[tuple[str, int, bool], Any] = {}

    def still(self, net: Net, level: int, extra: float = 0.0) -> list[Keep]:
        """Edge, obstacles and other nets' terminals; `extra` is what a via needs beyond the channel."""
        key = (net.name, level, extra)
        if key not in self._still:
            self._still[key] = [*self._fixed(net, level, extra), *self._ends(net, level, extra)]
        return self._still[key]

    def _fixed(self, net: Net, level: int, extra: float) -> Iterator[Keep]:
        off = self.p.edge + net.half + extra
        yield Keep("edge", self.region.exterior, off, tuple((x, y, off) for x, y in self._corners()))
        for o in self.p.obstacles:
            off = o.clearance + net.half + extra
            if o.on(level) and isinstance(o.shape, Circle):
                (x, y), r = o.shape.centre, o.shape.radius
                yield Keep(o.name, shapely.Point(x, y), off + r, ((x, y, off + r),))
            elif o.on(level) and isinstance(o.shape, Polygon):
                corners = tuple((x, y, off) for x, y in o.shape.points)
                yield Keep(o.name, shapely.Polygon(o.shape.points), off, corners)

    def _ends(self, net: Net, level: int, extra: float) -> Iterator[Keep]:
        for other in self.p.nets:
            if other.name != net.name:
                places, reach = self.p.junctions(net, other)
                for t in other.terminals:
                    if t.level in (None, level) and all(math.dist(t.at, q) > reach for q in places):
                        off = keep_off(self.p, net, other, t) + extra
                        yield Keep(other.name, shapely.Point(t.at), off, ((*t.at, off),))

    def _corners(self) -> list[Point2]:
        """Corners of the outline that a line may be bent round: those that point into the plate."""
        c = shapely.get_coordinates(shapely.geometry.polygon.orient(self.region).exterior)[:-1]
        a, b = c - np.roll(c, 1, 0), np.roll(c, -1, 0) - c
        return [(float(x), float(y)) for x, y in c[a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0] < -1e-9]]

    def free(self, net: Net, level: int, safe: bool) -> Any:
        """Where the middle line keeps off all that stands still; see `rooms.grown`."""
        from .rooms import grown

        key = (net.name, level, safe)
        if key not in self._free:
            keeps = self.still(net, level)
            blocks = grown(np.array([k.shape for k in keeps], dtype=object), [k.distance for k in keeps], safe)
            self._free[key] = self.region.difference(shapely.union_all(blocks))
        return self._free[key]

    def lanes(self, net: Net, level: int, lanes: list[Lane], vias: list[Via], extra: float = 0.0) -> Iterator[Keep]:
        """What other nets' channels and vias demand."""
        for lane in lanes:
            if lane.net != net.name and lane.level == level:
                other = self.p.net(lane.net)
                off = net.half + other.half + self.p.wall_between(net, other) + extra
                turns = tuple(round_turns(lane.path, off))
                places, reach = self.p.junctions(net, other)
                line, coarse = (parted(path_line(lane.path, c), places, reach) for c in (FINE, COARSE))
                if places:
                    turns += tuple((x, y, off) for x, y in shapely.get_coordinates(line).tolist())
                if not line.is_empty:
                    yield Keep(lane.net, line, off, turns, coarse)
        for via in vias:
            if via.net != net.name:
                other = self.p.net(via.net)
                off = via.diameter / 2 + other.margin + self.p.wall_between(net, other) + net.half + extra
                yield Keep(via.net, shapely.Point(via.at), off, ((*via.at, off),))


def round_turns(path: Path, off: float) -> Iterator[tuple[float, float, float]]:
    """Circles round a lane: of its ends and corners, and those with the centres of its arcs."""
    yield (*path.start, off)
    at = path.start
    for p in path.pieces:
        if isinstance(p, Arc):
            centre, r = arc_centre(at, p.middle, p.end)
            yield (*centre, r + off)
        yield (*p.end, off)
        at = p.end


def spare(line: Any, keeps: list[Keep]) -> tuple[float, str, Point2]:
    """Smallest distance of a line from what it keeps off, less the limit; from whom, and where."""
    shapes = np.array([k.shape for k in keeps], dtype=object)
    left = shapely.distance(line, shapes) - np.array([k.distance for k in keeps])
    worst = int(np.argmin(left))
    a = shapely.get_coordinates(shapely.shortest_line(line, shapes[worst]))[0]
    return float(left[worst]), keeps[worst].name, (float(a[0]), float(a[1]))


def points_of(path: Path) -> Any:
    return np.array(list(flattened(path.start, path.pieces, COARSE)))
