"""Straight drillings for all nets of a plate together: trunk, level, edges that they enter by, plugs.

A net's tree is one trunk drilled from an edge along x or y, with a branch from another edge to every port that is not
on the trunk; every drilling is plugged at its edge. Such trees are listed for each net; which of them are taken is an
integer program: one tree a net, none of two that stand too near, least length and plugs. Lengths mm, in the frame of
the plate: z = 0 on the seal face, negative inside.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from typing import Any, Literal

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_matrix

from .problem import Point2

Array = np.ndarray[Any, Any]
Edge = Literal["left", "right", "front", "back"]
PLUG = 40.0  # mm of drilling that a plug is worth
EDGES: tuple[tuple[Edge, Edge], tuple[Edge, Edge]] = (("left", "right"), ("front", "back"))


@dataclass(frozen=True, slots=True)
class Ports:
    """Ports on the seal face that one net joins by drillings of `diameter`; each is bored down to the net's level."""

    name: str
    loop: str
    diameter: float
    at: tuple[Point2, ...]


@dataclass(frozen=True, slots=True)
class Hole:
    """A dry hole through the plate that everything wet keeps the wall from."""

    name: str
    at: Point2
    radius: float


@dataclass(frozen=True, slots=True)
class Block:
    """A rectangular plate about the origin, and what is to be drilled into it."""

    length: float
    width: float
    thickness: float
    nets: tuple[Ports, ...]
    holes: tuple[Hole, ...]
    wall: float  # between loops, to dry holes, and to all faces
    wall_same: float
    step: float = 10.0  # of the places that a trunk is tried at beside those of the ports


@dataclass(frozen=True, slots=True)
class Run:
    """One drilling: from its edge at `along` (x or y of the plate) and z, straight to `to`. It is plugged at the edge."""

    edge: Edge
    along: float
    z: float
    to: tuple[float, float, float]
    length: float


@dataclass(frozen=True, slots=True)
class Tree:
    """The drillings of one net, the trunk first."""

    net: str
    z: float
    runs: tuple[Run, ...]

    @property
    def cost(self) -> float:
        return sum(r.length for r in self.runs) + PLUG * len(self.runs)


class NoSet(Exception):
    """No set of trees keeps all walls: `nets` cannot be drilled, alone (one name) or together."""

    def __init__(self, nets: tuple[str, ...], why: str) -> None:
        self.nets = nets
        super().__init__(f"{' and '.join(nets)}: {why}")


def choose(block: Block) -> tuple[Tree, ...]:
    """One tree for each net, the cheapest set that keeps all walls; raises NoSet where there is none."""
    listed = [[t for t in _trees(block, n) if _clear(block, n, t)] for n in block.nets]
    for n, trees in zip(block.nets, listed, strict=True):
        if not trees:
            raise NoSet((n.name,), "every tree of straight drillings comes too near to a hole, a port or a face")
    first = np.cumsum([0, *(len(t) for t in listed)])
    rows, cols, count = [], [], 0
    for k in range(len(listed)):
        for j in range(k):
            near = _near(block, k, j, listed)
            if near.all():
                raise NoSet((block.nets[j].name, block.nets[k].name), "no tree of one keeps its wall from one of the other")
            for a in np.flatnonzero(near.any(axis=1)):
                others = np.flatnonzero(near[a])
                rows += [count] * (1 + len(others))
                cols += [int(first[k] + a), *(first[j] + others).tolist()]
                count += 1
    picked = _solved(listed, first, rows, cols, count)
    if picked is None:
        raise NoSet(tuple(n.name for n in block.nets), "any two can be drilled, but not all together")
    return picked


def _solved(
    listed: list[list[Tree]], first: Array, rows: list[int], cols: list[int], count: int
) -> tuple[Tree, ...] | None:
    """Rows: a tree and all trees of one other net that it rules out; of all these one at the most is taken."""
    n = int(first[-1])
    cost = np.array([t.cost for trees in listed for t in trees])
    one = csr_matrix((np.ones(n), (np.repeat(np.arange(len(listed)), np.diff(first)), np.arange(n))), (len(listed), n))
    limits = [LinearConstraint(one, 1, 1)]
    if count:
        limits.append(LinearConstraint(csr_matrix((np.ones(len(rows)), (rows, cols)), (count, n)), -np.inf, 1))
    found = milp(cost, constraints=limits, integrality=np.ones(n), bounds=Bounds(0, 1))
    if found.x is None:
        return None
    return tuple(t[int(np.argmax(found.x[a : a + len(t)]))] for t, a in zip(listed, first, strict=False))


def _levels(block: Block, diameter: float) -> list[float]:
    """z of the levels: as many as fit with their walls between the faces', spread evenly."""
    off = block.wall + diameter / 2
    if block.thickness < 2 * off:
        return []
    low, high = -block.thickness + off, -off
    count = int((high - low) / (diameter + block.wall) + 1e-9) + 1
    return [float(z) for z in np.linspace(high, low, count)]


def _trees(block: Block, net: Ports) -> Iterator[Tree]:
    half = (block.length / 2, block.width / 2)
    off = block.wall + net.diameter / 2
    for z, axis in product(_levels(block, net.diameter), (0, 1)):
        u, v = [p[axis] for p in net.at], [p[1 - axis] for p in net.at]
        tried = np.arange(min(v) - 2 * block.step, max(v) + 2 * block.step + 1, block.step)
        for at in sorted({*v, *(float(t) for t in tried)}):
            if abs(at) > half[1 - axis] - off:
                continue
            beside = [i for i in range(len(v)) if abs(v[i] - at) > 1e-9]
            for end, sides in product((0, 1), product((0, 1), repeat=len(beside))):
                reach = max(u) if end == 0 else min(u)
                runs = [_run(axis, end, at, reach, z, half)]
                for i, side in zip(beside, sides, strict=True):
                    reach = max(v[i], at) if side == 0 else min(v[i], at)
                    runs.append(_run(1 - axis, side, u[i], reach, z, half))
                yield Tree(net.name, z, tuple(runs))


def _run(axis: int, end: int, along: float, reach: float, z: float, half: tuple[float, float]) -> Run:
    length = reach + half[axis] if end == 0 else half[axis] - reach
    to = (reach, along, z) if axis == 0 else (along, reach, z)
    return Run(EDGES[axis][end], along, z, to, length)


def _boxes(block: Block, net: Ports, tree: Tree) -> Array:
    """(n, 2, 3): lowest and highest corner of the axes of the drillings, which lie along x, y and z."""
    out = []
    x, y = block.length / 2, block.width / 2
    start = {"left": (-x, None), "right": (x, None), "front": (None, -y), "back": (None, y)}
    for r in tree.runs:
        sx, sy = start[r.edge]
        a = (r.to[0] if sx is None else sx, r.to[1] if sy is None else sy, r.z)
        out.append((a, r.to))
    out += [((px, py, 0.0), (px, py, tree.z)) for px, py in net.at]
    ends = np.array(out)
    return np.stack([ends.min(axis=1), ends.max(axis=1)], axis=1)


def _distance(a: Array, b: Array) -> Array:
    """(n, m) distances of axes that lie along x, y or z, exact."""
    gap = np.maximum(0, np.maximum(a[:, None, 0] - b[None, :, 1], b[None, :, 0] - a[:, None, 1]))
    out: Array = np.sqrt((gap**2).sum(-1))
    return out


def _clear(block: Block, net: Ports, tree: Tree) -> bool:
    """Whether a tree's drillings keep their wall from dry holes and from what the ports of other nets surely take."""
    boxes = _boxes(block, net, tree)
    t = block.thickness
    if block.holes:
        holes = np.array([[(*h.at, -t), (*h.at, 0.0)] for h in block.holes])
        need = np.array([h.radius for h in block.holes]) + net.diameter / 2 + block.wall
        if (_distance(boxes, holes) < need - 1e-9).any():
            return False
    for other in block.nets:
        if other.name != net.name:
            top = max(_levels(block, other.diameter), default=0.0)
            ports = np.array([[(*p, top), (*p, 0.0)] for p in other.at])
            if (_distance(boxes, ports) < _apart(block, net, other) - 1e-9).any():
                return False
    return True


def _apart(block: Block, a: Ports, b: Ports) -> float:
    return (a.diameter + b.diameter) / 2 + (block.wall_same if a.loop == b.loop else block.wall)


def _near(block: Block, k: int, j: int, listed: list[list[Tree]]) -> Array:
    """(trees of k, trees of j): which pairs come too near."""
    a, b = block.nets[k], block.nets[j]
    mine = [_boxes(block, a, t) for t in listed[k]]
    theirs = [_boxes(block, b, t) for t in listed[j]]
    begin = np.cumsum([0, *(len(t) for t in theirs)])[:-1]
    every, need = np.concatenate(theirs), _apart(block, a, b) - 1e-9
    return np.stack([np.logical_or.reduceat((_distance(m, every) < need).any(axis=0), begin) for m in mine])
