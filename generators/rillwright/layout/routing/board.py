"""Nets on the grid: where each may go, what it costs there, and who stands in whose way. Lengths mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.ndimage import distance_transform_edt

from .grid import FAR, Array, Grid, Steps, keep_off
from .problem import Net, Point2, Problem
from .trees import Asked, Group, branches, grown

VIA_PRICE = 14.0  # mm of channel that a vertical passage is worth
SLACK = 1 / 4  # of the pitch: more room between two nets on the grid, so that what is found can be pulled tight
ROOM = 1 / 8  # of the pitch: the same to what stands still


@dataclass
class Laid:
    """A net on the grid: its stretches, distance of every node to it by level, and to its vias (infinite: none)."""

    ways: list[list[int]]
    off: Array
    off_via: Array | None
    length: float


@dataclass(frozen=True, slots=True)
class Ground:
    """The nodes of the grid that one net may use: their steps, their numbers on the grid and the other way round."""

    steps: Steps
    nodes: Array
    number: Array
    half: Array  # half the length of each step; 1/2 for a vertical one
    up: Array  # which steps are vertical


class Board:
    """Nets on the grid and what stands between them.

    A `loose` one lets nets come nearer than they may by about what the grid's steps are coarser than a line: it opens gaps
    that a line just fits through, and what is found there may turn out too tight when it is pulled.
    """

    def __init__(self, problem: Problem, grid: Grid, loose: bool = False) -> None:
        self.p, self.g, self.loose = problem, grid, loose
        sign = -1 if loose else 1
        self.slack, self.room = sign * SLACK * grid.pitch, sign * ROOM * grid.pitch
        self.names = [n.name for n in problem.nets if n.name not in problem.given]
        self.nets = {n: problem.net(n) for n in self.names}
        self.free = {n: self._free(self.nets[n]) for n in self.names}
        self.via_free = {n: self._via_free(self.nets[n]) for n in self.names} if grid.levels > 1 else {}
        self.via_price = {n: self._via_price(n) for n in self.names} if grid.levels > 1 else {}
        self.ground = {n: self._ground(n) for n in self.names}
        self.asked = {n: self._asked(self.nets[n]) for n in self.names}
        self.laid: dict[str, Laid] = {}
        self.searches = 0
        self.alone_ways: dict[str, list[list[int]]] = {}
        self.alone = {n: self._alone(n) for n in self.names}

    def _static(self, net: Net, need: float) -> Array:
        """Where a disc of a net keeps clear of edge, obstacles, other nets' terminals and given nets."""
        g = self.g
        room = g.room - need
        for other in self.p.nets:
            if other.name == net.name:
                continue
            extra = need - net.half
            places, reach = self.p.junctions(net, other)
            for t in (t for t in other.terminals if all(math.dist(t.at, q) > reach for q in places)):
                apart = net.half + other.half + self.p.wall_between(net, other) + self.slack
                lane = g.off(g.place(g.node(t.at, 0))) - apart
                d = np.minimum(g.off(t.at) - keep_off(self.p, net, other, t), lane) - extra
                for level in range(g.levels) if t.level is None else (t.level,):
                    np.minimum(room[level], d, out=room[level])
        for name, legs in self.p.given.items():
            if name != net.name:
                self._keep_given(room, net, self.p.net(name), legs, need)
        return room

    def spare(self, net: Net) -> Array:
        """(levels, plane): room beyond what the net needs from all that stands still, mm; negative: too little."""
        return self._static(net, net.half)

    def _keep_given(self, room: Array, net: Net, other: Net, legs: object, need: float) -> None:
        import shapely

        from .flat import parted, path_line

        places, reach = self.p.junctions(net, other)
        points = shapely.points(self.g.x, self.g.y)
        for leg in legs:  # type: ignore[attr-defined]
            line = parted(path_line(leg.path), places, reach)
            if line.is_empty:
                continue
            shapely.prepare(line)
            d = shapely.distance(line, points) - other.half - self.p.wall_between(net, other) - need
            np.minimum(room[leg.level], d, out=room[leg.level])

    def _free(self, net: Net) -> Array:
        free: Array = (self._static(net, net.half) >= self.room).ravel()
        for t in net.terminals:
            for level in range(self.g.levels) if t.level is None else (t.level,):
                free[self.g.around(t.at, level)] = True
        for at in net.pins:
            for level in range(self.g.levels):
                free[self.g.around(at, level)] = True
        return free

    def via_half(self, net: Net) -> float:
        return max((self.p.via_diameter or net.width) / 2 + net.margin, net.half)

    def _via_free(self, net: Net) -> Array:
        least: Array = self._static(net, self.via_half(net)).min(axis=0)
        return np.greater_equal(least, self.room)

    def _asked(self, net: Net) -> Asked:
        number = self.ground[net.name].number
        ends: list[Group] = [tuple(int(number[n]) for n in self.end_nodes(t.at, t.level)) for t in net.terminals]
        pins: list[Group] = [tuple(int(number[n]) for n in self.end_nodes(p, None)) for p in net.pins]
        if pins:
            return Asked((ends[0], *pins, ends[1]), tuple(ends[2:]))
        return Asked(tuple(ends), ()) if len(ends) == 2 else Asked((ends[0],), tuple(ends[1:]))

    def end_nodes(self, at: Point2, level: int | None) -> list[int]:
        """Nodes of the grid at an end, one a level that it can be reached on."""
        return [self.g.node(at, v) for v in (range(self.g.levels) if level is None else (level,))]

    def _alone(self, name: str) -> float:
        """Grid length of the net when it is alone; FAR where even then there is no way."""
        ways = self.try_lay(name, {})
        if ways is None:
            return FAR
        self.alone_ways[name] = ways
        length = self.lay(name, ways).length
        self.laid.clear()
        return length

    def _ground(self, name: str) -> Ground:
        """The part of the grid that the net may use, numbered anew."""
        s, free = self.g.steps, self.free[name]
        number = np.cumsum(free) - 1
        kept = free[s.rows] & free[s.cols]
        up = s.length == 0
        if self.g.levels > 1:
            kept &= ~up | self.via_free[name][s.rows % self.g.plane]
        nodes = np.flatnonzero(free)
        rows, cols = number[s.rows[kept]], number[s.cols[kept]]
        begin = np.searchsorted(rows, np.arange(len(nodes) + 1))
        steps = Steps(rows.astype(np.int32), cols.astype(np.int32), s.length[kept], begin.astype(np.int32))
        return Ground(steps, nodes, number, np.where(up[kept], 1.0, s.length[kept]) / 2, np.flatnonzero(up[kept]))

    def weight(self, name: str, cost: Array, via: Array | None = None) -> Array:
        """Price of every step of the net's ground, mm; infinite where it is barred."""
        ground = self.ground[name]
        node = cost[ground.nodes]
        w: Array = ground.half * (node[ground.steps.rows] + node[ground.steps.cols])
        if len(ground.up):
            place = ground.nodes[ground.steps.rows[ground.up]] % self.g.plane
            price = self.via_price[name][place] * (1 if via is None else via[place])
            w[ground.up] = np.where(np.isfinite(w[ground.up]), price, np.inf)
        return w

    def _via_price(self, name: str) -> Array:
        """mm; less at the net's own terminals, which are passages anyway, and none beside them."""
        price = np.full(self.g.plane, VIA_PRICE)
        for t in self.nets[name].terminals:
            price[self.g.off(t.at) < t.radius + self.via_half(self.nets[name])] = 20 * VIA_PRICE
            price[self.g.node(t.at, 0)] = VIA_PRICE / 2
        return price

    def need(self, a: str, b: str) -> float:
        na, nb = self.nets[a], self.nets[b]
        return na.half + nb.half + self.p.wall_between(na, nb) + self.slack

    def crowd(self, name: str, price: dict[str, float]) -> tuple[Array, Array]:
        """Sum of the prices of laid nets too near at every node, and the same for vias of this net."""
        net, g = self.nets[name], self.g
        out, via = np.zeros((g.levels, g.plane)), np.zeros(g.plane)
        wide = self.via_half(net) - net.half
        for other, laid in self.laid.items():
            if other == name:
                continue
            need = self.need(name, other)
            near: Array = laid.off < need
            if laid.off_via is not None:
                wider = self.via_half(self.nets[other]) - self.nets[other].half
                near = near | (laid.off_via < need + wider)
            out[near] += price[other]
            if g.levels > 1:
                close = (laid.off < need + wide).any(axis=0)
                if laid.off_via is not None:
                    close |= laid.off_via < need + wide + self.via_half(self.nets[other]) - self.nets[other].half
                via[close] += price[other]
        return out.ravel(), via

    def try_lay(self, name: str, price: dict[str, float], history: Array | float = 0.0) -> list[list[int]] | None:
        """Ways of a net at the given prices of the others; does not change the board."""
        crowd, via = self.crowd(name, price)
        self.searches += 1
        ground = self.ground[name]
        ways = grown(ground.steps, self.weight(name, 1 + history + crowd, 1 + via), self.asked[name])
        return None if ways is None else [ground.nodes[w].tolist() for w in ways]

    def lay(self, name: str, ways: list[list[int]]) -> Laid:
        """Puts a net on the board."""
        g, plane = self.g, self.g.plane
        mask = np.ones((g.levels, plane), bool)
        vias = np.ones(plane, bool)
        length = 0.0
        for w in ways:
            for a, b in pairwise(w):
                if abs(a - b) % plane == 0:
                    vias[a % plane] = False
                    length += self.via_price[name][a % plane]
                else:
                    length += g.pitch * (1.0 if abs(a - b) in (1, g.ny) else 2**0.5)
            n = np.array(w)
            mask[n // plane, n % plane] = False
        off = np.stack([self._distance(m) for m in mask])
        via = None if vias.all() else self._distance(vias)
        self.laid[name] = Laid(ways, off, via, length)
        return self.laid[name]

    def _distance(self, mask: Array) -> Array:
        if mask.all():
            return np.full(self.g.plane, FAR)
        d: Array = distance_transform_edt(mask.reshape(self.g.nx, self.g.ny)).ravel() * self.g.pitch
        return d

    def in_the_way(self, name: str) -> list[str]:
        """Laid nets that a laid net is too near to."""
        mine = self.laid[name]
        nodes = np.unique([n for w in mine.ways for n in w])
        level, place = nodes // self.g.plane, nodes % self.g.plane
        out = []
        wide = self.via_half(self.nets[name]) - self.nets[name].half
        for other, laid in self.laid.items():
            if other == name:
                continue
            need = self.need(name, other)
            wider = self.via_half(self.nets[other]) - self.nets[other].half
            hit = bool((laid.off[level, place] < need).any())
            if laid.off_via is not None:
                hit |= bool((laid.off_via[place] < need + wider).any())
            if mine.off_via is not None:
                hit |= bool((laid.off[:, mine.off_via == 0] < need + wide).any())
                if laid.off_via is not None:
                    hit |= bool((laid.off_via[mine.off_via == 0] < need + wide + wider).any())
            if hit:
                out.append(other)
        return out

    @property
    def length(self) -> float:
        return sum(v.length for v in self.laid.values())

    def stretches(self, name: str) -> list[list[int]]:
        net = self.nets[name]
        ends = [(t.at, t.level) for t in net.terminals] + [(p, None) for p in net.pins]
        return branches(self.laid[name].ways, {n for at, level in ends for n in self.end_nodes(at, level)})
