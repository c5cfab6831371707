"""From ways on the grid to taut strings: each pulled tight where it lies, forks moved to where the tree is shortest.

One net after another is pulled in the room that the others leave it, a few rounds long. Lengths mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

import numpy as np
import shapely

from .board import Board
from .flat import path_line
from .forks import Knots, Strand, settle
from .grid import Array, Grid
from .limits import COARSE, Keep, Lane, Limits, points_of, spare
from .problem import Closest, Net, Point2, Problem, Via
from .rooms import Room, grown
from .strings import Turn, tightened

AJAR = 5e-3  # mm by which what others demand is lessened, so that a gap as wide as the line stays open
CLOSE = 5e-4  # mm that a measured distance may fall short: half of what the independent check allows


def knots(board: Board, grid: Grid, name: str) -> Knots:
    """A net as it lies on the grid: its stretches split where they change level."""
    net = board.nets[name]
    ends: dict[int, str] = {}
    pins: set[str] = set()
    at: dict[str, Point2] = {}
    for t in net.terminals:
        at[t.name] = t.at
        for level in range(grid.levels) if t.level is None else (t.level,):
            ends[grid.node(t.at, level)] = t.name
    for i, p in enumerate(net.pins, 1):
        at[f"pin-{i}"] = p
        pins.add(f"pin-{i}")
        ends.update({grid.node(p, level): f"pin-{i}" for level in range(grid.levels)})
    out = Knots(net, at, [], pins=pins)
    ways = board.stretches(name)
    up = {a % grid.plane for w in ways for a, b in pairwise(w) if (a - b) % grid.plane == 0}
    known: dict[int, str] = {}
    for node, end in ends.items():
        if node % grid.plane in up:  # a passage at an end is there, and not beside it
            out.vias.add(end)
            known[node % grid.plane] = end
    for way in ways:
        _cut(out, grid, way, _Names(ends, known, up))
    return out


@dataclass(frozen=True, slots=True)
class _Names:
    """Names of knots: of ends by node, of what else was named by place (vias) or by node below zero (forks)."""

    ends: dict[int, str]
    known: dict[int, str]
    up: set[int]


def _cut(k: Knots, grid: Grid, way: list[int], names: _Names) -> None:
    start = 0
    for i in range(1, len(way) + 1):
        if i < len(way) and (way[i] - way[i - 1]) % grid.plane:
            continue
        part = way[start:i]
        a, b = (_knot(k, grid, n, names) for n in (part[0], part[-1]))
        if a != b:
            line = np.array([k.at[a], *(grid.place(n) for n in part[1:-1]), k.at[b]])
            k.strands.append(Strand(a, b, part[0] // grid.plane, _sparse(line)))
        start = i


def _knot(k: Knots, grid: Grid, node: int, names: _Names) -> str:
    place = node % grid.plane
    via = place in names.up
    key = place if via else -1 - node
    if not via and node in names.ends:
        return names.ends[node]
    if key not in names.known:
        group = k.vias if via else k.loose
        name = f"{'via' if via else 'tee'}-{len(group) + 1}"
        group.add(name)
        names.known[key] = name
        k.at[name] = grid.place(node)
    return names.known[key]


def _sparse(line: Array) -> Array:
    """Without the points on straight runs."""
    if len(line) < 3:
        return line
    d = np.diff(line, axis=0)
    turned = np.abs(d[:-1, 0] * d[1:, 1] - d[:-1, 1] * d[1:, 0]) > 1e-9
    out: Array = line[np.concatenate([[True], turned, [True]])]
    return out


class Loom:
    """All nets of a plate as strands, and the pulling of them."""

    def __init__(self, problem: Problem, limits: Limits, nets: dict[str, Knots]) -> None:
        self.p, self.limits, self.nets = problem, limits, nets

    def lanes(self, but: str) -> list[Lane]:
        """Where all other nets lie."""
        out = [Lane(n, s.level, s.path) for n, k in self.nets.items() if n != but for s in k.strands]
        return out + [Lane(n, g.level, g.path) for n, legs in self.p.given.items() if n != but for g in legs]

    def vias(self, but: str = "") -> list[Via]:
        return [
            Via(n, k.at[v], self.via_diameter(k.net), f"{n}-{v}")
            for n, k in self.nets.items() if n != but for v in sorted(k.vias)
        ]  # fmt: skip

    def via_diameter(self, net: Net) -> float:
        return self.p.via_diameter or net.width

    def keeps(self, net: Net, level: int) -> list[Keep]:
        """All that the net keeps off on a level, as things lie now."""
        return [*self.limits.still(net, level), *self.limits.lanes(net, level, self.lanes(net.name), self.vias(net.name))]

    def tightest_via(self) -> Closest:
        """The via that stands nearest to its limits."""
        least = Closest(math.inf, ("", ""), (0.0, 0.0))
        for n, k in self.nets.items():
            for v in sorted(k.vias):
                extra = max(self.via_diameter(k.net) / 2 + k.net.margin - k.net.half, 0.0)
                for level in range(self.p.levels):
                    keeps = [*self.limits.still(k.net, level, extra),
                             *self.limits.lanes(k.net, level, self.lanes(n), self.vias(n), extra)]  # fmt: skip
                    left, other, _ = spare(shapely.Point(k.at[v]), keeps)
                    least = min(least, Closest(left, (n, other), k.at[v]), key=lambda c: c.spare)
        return least

    def pull(self, name: str) -> None:
        """Pulls one net tight in the room that the others leave it."""
        k = self.nets[name]
        for level in sorted({s.level for s in k.strands}):
            keeps = self.keeps(k.net, level)
            turns = np.array([t for m in keeps for t in m.turns])
            room = self.room(k, level, keeps, safe=False)
            before = dict(k.at), set(k.loose), [replace(s) for s in k.strands]
            moved = settle(k, level, room.region)
            if not self._pull_all(k, level, room, turns, keeps) and moved:
                k.at, k.loose, k.strands = before
                self._pull_all(k, level, room, turns, keeps)
            if any(s.tight is None for s in k.strands if s.level == level):
                self._pull_all(k, level, self.room(k, level, keeps, safe=True), turns, keeps)

    def room(self, k: Knots, level: int, keeps: list[Keep], safe: bool) -> Room:
        moving = keeps[len(self.limits.still(k.net, level)) :]
        region = self.limits.free(k.net, level, safe)
        if moving:
            off = [m.distance + (COARSE if safe else -COARSE - AJAR) for m in moving]
            shapes = grown(np.array([m.coarse or m.shape for m in moving], dtype=object), off, safe)
            region = region.difference(shapely.union_all(shapes))
        return Room(_near(region, [q for s in k.strands if s.level == level for q in s.line]))

    def _pull_all(self, k: Knots, level: int, room: Room, turns: Array, keeps: list[Keep]) -> bool:
        strands = [s for s in k.strands if s.level == level]
        return sum(self.pull_one(s, room, turns, keeps) for s in strands) == len(strands)

    def pull_one(self, s: Strand, room: Room, turns: Array, keeps: list[Keep]) -> bool:
        """Whether the strand lies taut and clear now; otherwise it is left as it was."""
        a, b = tuple(s.line[0].tolist()), tuple(s.line[-1].tolist())
        corners = room.pulled(s.line)
        if corners is None:
            return s.tight is not None and (s.tight.start, s.tight.end) == (a, b)
        for bent in (_turns(corners, a, b, turns), [Turn(c, 0.0, side) for c, side in corners]):
            tight = tightened(a, bent, b)
            if tight is not None:
                same = s.tight is not None and (s.tight.start, s.tight.end) == (a, b)
                if same and s.tight and tight.length > 1.02 * s.tight.length + 1:
                    continue  # another way round
                path = tight.path()
                if spare(path_line(path), keeps)[0] >= -CLOSE:
                    s.tight, s.line = tight, points_of(path)
                    return True
        return s.tight is not None and (s.tight.start, s.tight.end) == (a, b)


def _near(region: Any, points: list[Any]) -> Any:
    """The part of a region that holds points."""
    if region.geom_type == "Polygon":
        return region
    parts = [g for g in region.geoms if g.geom_type == "Polygon"]
    cloud = shapely.MultiPoint(points)
    return shapely.MultiPolygon([g for g in parts if g.distance(cloud) < 1e-6] or parts)


def _turns(corners: list[tuple[Point2, int]], start: Point2, end: Point2, circles: Array) -> list[Turn]:
    """Corners on the polygons round circles become bends round the circles themselves."""
    line = [start, *(c for c, _ in corners), end]
    out: list[Turn] = []
    for i, (c, side) in enumerate(corners, 1):
        centre, radius = _circle(c, side, line[i - 1], line[i + 1], circles)
        turned = abs(_angle(line[i - 1], c, line[i + 1]))
        last = out[-1] if out else None
        if last and last.side == side and math.dist((*last.centre, last.radius), (*centre, radius)) < 1e-6:
            out[-1] = Turn(centre, radius, side, out[-1].hint + turned)
        else:
            out.append(Turn(centre, radius, side, turned))
    return out


def _circle(c: Point2, side: int, before: Point2, after: Point2, circles: Array) -> tuple[Point2, float]:
    d = np.hypot(circles[:, 0] - c[0], circles[:, 1] - c[1]) - circles[:, 2]
    inner = side * ((after[0] - before[0]) * (circles[:, 1] - c[1]) - (after[1] - before[1]) * (circles[:, 0] - c[0])) > 0
    fits = np.flatnonzero((d > -0.06) & (d < 0.012 * circles[:, 2] + 0.03) & inner)
    if not len(fits):
        return c, 0.0
    best = circles[fits[np.argmin(np.abs(d[fits]))]]
    return (float(best[0]), float(best[1])), float(best[2])


def _angle(a: Point2, b: Point2, c: Point2) -> float:
    u, v = (b[0] - a[0], b[1] - a[1]), (c[0] - b[0], c[1] - b[1])
    return math.atan2(u[0] * v[1] - u[1] * v[0], u[0] * v[0] + u[1] * v[1])
