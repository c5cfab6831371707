"""The grid that ways are searched on: its nodes, its steps, and how much room stands round each node. Lengths mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra

from .flat import outline_polygon
from .problem import Circle, Net, Obstacle, Point2, Problem, Terminal

Array = np.ndarray[Any, Any]
PITCH = 2.0
NODES = 45_000  # on one level at most: the pitch grows beyond
FAR = 1e7


@dataclass(frozen=True, slots=True)
class Steps:
    """Neighbours of every node in compressed rows: 8 on its level, and the same place one level up and down."""

    rows: Array
    cols: Array
    length: Array  # mm; 0 for a vertical step
    begin: Array


class Grid:
    """Nodes at a pitch over the outline's box; a node's number is (level · nx + i) · ny + j."""

    def __init__(self, problem: Problem, pitch: float = PITCH) -> None:
        self.problem, self.levels = problem, problem.levels
        self.region = outline_polygon(problem.outline)
        x0, y0, x1, y1 = self.region.bounds
        self.pitch = max(pitch, math.sqrt((x1 - x0) * (y1 - y0) / NODES))
        self.nx, self.ny = (math.ceil((b - a) / self.pitch) + 1 for a, b in ((x0, x1), (y0, y1)))
        self.origin = ((x0 + x1 - (self.nx - 1) * self.pitch) / 2, (y0 + y1 - (self.ny - 1) * self.pitch) / 2)
        self.plane = self.nx * self.ny
        i, j = np.divmod(np.arange(self.plane), self.ny)
        self.x, self.y = self.origin[0] + i * self.pitch, self.origin[1] + j * self.pitch
        self.steps = self._steps()
        self.room = self._room()

    @property
    def nodes(self) -> int:
        return int(self.plane) * self.levels

    def node(self, at: Point2, level: int) -> int:
        """The node nearest to a point."""
        i = min(self.nx - 1, max(0, round((at[0] - self.origin[0]) / self.pitch)))
        j = min(self.ny - 1, max(0, round((at[1] - self.origin[1]) / self.pitch)))
        return int((level * self.nx + i) * self.ny + j)

    def place(self, node: int) -> Point2:
        n = node % self.plane
        return (float(self.x[n]), float(self.y[n]))

    def around(self, at: Point2, level: int) -> Array:
        """The 3 × 3 nodes at a point."""
        i, j = divmod(self.node(at, level) % self.plane, self.ny)
        ii = np.arange(max(0, i - 1), min(self.nx, i + 2))
        jj = np.arange(max(0, j - 1), min(self.ny, j + 2))
        out: Array = ((level * self.nx + ii[:, None]) * self.ny + jj[None, :]).ravel()
        return out

    def off(self, at: Point2) -> Array:
        """Distance of every node of one level to a point, mm."""
        out: Array = np.hypot(self.x - at[0], self.y - at[1])
        return out

    def _steps(self) -> Steps:
        idx = np.arange(self.plane).reshape(self.nx, self.ny)
        flat_r, flat_c, flat_w = [], [], []
        for dx, dy in ((a, b) for a in (-1, 0, 1) for b in (-1, 0, 1) if (a, b) != (0, 0)):
            a = idx[max(0, -dx) : self.nx - max(0, dx), max(0, -dy) : self.ny - max(0, dy)]
            b = idx[max(0, dx) : self.nx + min(0, dx), max(0, dy) : self.ny + min(0, dy)]
            flat_r.append(a.ravel())
            flat_c.append(b.ravel())
            flat_w.append(np.full(a.size, self.pitch * math.hypot(dx, dy)))
        r, c, w = (np.concatenate(v) for v in (flat_r, flat_c, flat_w))
        all_r = [r + level * self.plane for level in range(self.levels)]
        all_c = [c + level * self.plane for level in range(self.levels)]
        all_w = [w] * self.levels
        for level in range(self.levels - 1):
            low = np.arange(self.plane) + level * self.plane
            all_r += [low, low + self.plane]
            all_c += [low + self.plane, low]
            all_w += [np.zeros(self.plane)] * 2
        r, c, w = (np.concatenate(v) for v in (all_r, all_c, all_w))
        order = np.lexsort((c, r))
        r, c, w = r[order], c[order], w[order]
        return Steps(r, c, w, np.searchsorted(r, np.arange(self.nodes + 1)))

    def _room(self) -> Array:
        """(levels, plane): the largest half width whose disc at the node keeps clear of obstacles and edge, mm."""
        p = self.problem
        points = shapely.points(self.x, self.y)
        shapely.prepare(self.region)
        inside = np.where(shapely.covers(self.region, points), 1.0, -1.0)
        edge = inside * shapely.distance(self.region.exterior, points) - p.edge
        room = np.repeat(edge[None, :], self.levels, axis=0)
        for o in p.obstacles:
            d = obstacle_distance(o, self.x, self.y, points) - o.clearance
            for level in range(self.levels):
                if o.on(level):
                    np.minimum(room[level], d, out=room[level])
        return room


def obstacle_distance(o: Obstacle, x: Array, y: Array, points: Any) -> Array:
    """Distance of points to an obstacle, mm; 0 within a polygon, negative within a circle."""
    if isinstance(o.shape, Circle):
        out: Array = np.hypot(x - o.shape.centre[0], y - o.shape.centre[1]) - o.shape.radius
        return out
    shape = shapely.Polygon(o.shape.points)
    shapely.prepare(shape)
    out = shapely.distance(shape, points)
    return np.where(out > 0, out, -1e3)


def keep_off(p: Problem, net: Net, other: Net, terminal: Terminal) -> float:
    """Distance of a net's middle line from the centre of another net's terminal, mm."""
    return terminal.radius + other.margin + p.wall_between(net, other) + net.half


def shortest(
    steps: Steps, weight: Array, sources: list[int], limit: float = FAR
) -> tuple[Array, Array]:
    """Cost to every node from the nearest source, and the node before it (negative at a source)."""
    n = len(steps.begin) - 1
    graph = csr_matrix((weight, steps.cols, steps.begin), (n, n))
    cost, before, _ = dijkstra(graph, indices=sources, min_only=True, return_predecessors=True, limit=limit)
    return cost, before


def traced(before: Array, node: int) -> list[int]:
    """Nodes from a source to `node`."""
    out = [node]
    while before[out[-1]] >= 0:
        out.append(int(before[out[-1]]))
    return out[::-1]
