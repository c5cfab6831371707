"""Shortest trees on the grid: two ends, three or four by dynamic programming, more by growth. Lengths mm."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra

from .grid import FAR, Array, Steps, shortest, traced

Group = tuple[int, ...]  # nodes of one end: one a level that it can be reached on
EXACT = 4  # ends up to which trees are shortest ones


@dataclass(frozen=True, slots=True)
class Asked:
    """Ends of one net on the grid: `chain` is walked in order (way points between its first and last end), `rest`
    joins it anywhere."""

    chain: tuple[Group, ...]
    rest: tuple[Group, ...]


def grown(steps: Steps, weight: Array, asked: Asked) -> list[list[int]] | None:
    """Ways that join all ends as a tree, each from the tree so far to a new end; None where there is none."""
    if not asked.rest or len(asked.chain) > 1:
        ways = _chained(steps, weight, asked.chain)
        return None if ways is None else _joined(steps, weight, ways, list(asked.rest))
    groups = [*asked.chain, *asked.rest]
    if 3 <= len(groups) <= EXACT:
        return _dynamic(steps, weight, groups)
    return _joined(steps, weight, [[n] for n in groups[0]], groups[1:])


def _chained(steps: Steps, weight: Array, chain: tuple[Group, ...]) -> list[list[int]] | None:
    ways = []
    begin: Iterable[int] = chain[0]
    for a, group in enumerate(chain[1:], 1):
        cost, before = shortest(steps, weight, list(begin))
        end = min(group, key=lambda n: cost[n])
        if not cost[end] < FAR:
            return None
        ways.append(traced(before, end))
        begin = (end,) if a < len(chain) - 1 else group
    return ways


def _joined(steps: Steps, weight: Array, ways: list[list[int]], todo: list[Group]) -> list[list[int]] | None:
    cells = {n for w in ways for n in w}
    out = [w for w in ways if len(w) > 1]
    while todo:
        cost, before = shortest(steps, weight, sorted(cells))
        best = min(todo, key=lambda g: min(cost[n] for n in g))
        end = min(best, key=lambda n: cost[n])
        if not cost[end] < FAR:
            return None
        way = traced(before, end)
        out.append(way)
        cells.update(way)
        cells.update(best)
        todo.remove(best)
    return out


Table = dict[int, tuple[Array, Array, Array]]  # subset -> cost, node before, other half of the subset at a merge


def _tables(steps: Steps, weight: Array, groups: list[Group]) -> tuple[Table, int]:
    """Dreyfus and Wagner: cost of the shortest tree of each subset of all groups but the last, to every node.

    The entry of the full set is that of the whole tree, forking at the node.
    """
    k, n = len(groups) - 1, len(steps.begin) - 1
    table: Table = {}
    for i in range(k):
        cost, before = shortest(steps, weight, list(groups[i]))
        table[1 << i] = (np.where(cost < FAR, cost, FAR), before, np.zeros(n, np.int16))
    full = (1 << k) - 1
    for s in sorted(range(1, full + 1), key=lambda v: v.bit_count()):
        if s.bit_count() < 2:
            continue
        best, half = np.full(n, FAR), np.zeros(n, np.int16)
        a = (s - 1) & s
        while a:
            if a > s ^ a:
                both = table[a][0] + table[s ^ a][0]
                better = both < best
                best[better], half[better] = both[better], a
            a = (a - 1) & s
        if s == full:  # the last end comes to the rest of the tree, from every node at once
            cost, before = shortest(steps, weight, list(groups[-1]))
            table[s] = (best + np.where(cost < FAR, cost, FAR), before, half)
        else:
            table[s] = (*_spread(steps, weight, best), half)
    return table, full


def _spread(steps: Steps, weight: Array, start: Array) -> tuple[Array, Array]:
    """Cost of every node when each may be started from at its own cost; before is negative where it was."""
    n = len(start)
    origin = np.flatnonzero(start < FAR)
    if not len(origin):
        return np.full(n, FAR), np.full(n, -1)
    graph = csr_matrix(
        (np.concatenate([weight, start[origin] + 1e-9]), np.concatenate([steps.cols, origin]),
         np.concatenate([steps.begin, [len(steps.cols) + len(origin)]])), (n + 1, n + 1),
    )  # fmt: skip
    cost, before = dijkstra(graph, indices=n, return_predecessors=True, limit=FAR)
    before = np.where(before == n, -1, before)
    return np.where(cost < FAR, cost, FAR)[:n], before[:n]


def _dynamic(steps: Steps, weight: Array, groups: list[Group]) -> list[list[int]] | None:
    table, full = _tables(steps, weight, groups)
    fork = int(np.argmin(table[full][0]))
    if not table[full][0][fork] < FAR:
        return None
    a = int(table[full][2][fork])
    ways, todo = [traced(table[full][1], fork)], [(a, fork), (full ^ a, fork)]
    while todo:
        s, node = todo.pop()
        _, before, half = table[s]
        way = traced(before, node)
        if len(way) > 1:
            ways.append(way)
        if s.bit_count() > 1:
            a = int(half[way[0]])
            todo += [(a, way[0]), (s ^ a, way[0])]
    return ways


def branches(ways: list[list[int]], ends: set[int]) -> list[list[int]]:
    """A tree of ways as stretches between ends and forks; loops are cut and stubs that lead to no end dropped."""
    near: dict[int, list[int]] = {}
    root: dict[int, int] = {}

    def top(v: int) -> int:
        while root.setdefault(v, v) != v:
            root[v] = root[root[v]]
            v = root[v]
        return v

    for a, b in (e for w in ways for e in pairwise(w)):
        if top(a) != top(b):
            root[top(a)] = top(b)
            near.setdefault(a, []).append(b)
            near.setdefault(b, []).append(a)
    loose = [v for v in near if len(near[v]) == 1 and v not in ends]
    while loose:
        v = loose.pop()
        if not near.get(v):
            continue
        (u,) = near.pop(v)
        near[u].remove(v)
        if len(near[u]) == 1 and u not in ends:
            loose.append(u)
    return _stretches(near, ends)


def _stretches(near: dict[int, list[int]], ends: set[int]) -> list[list[int]]:
    keys = [v for v in near if len(near[v]) != 2 or v in ends]
    known, seen, out = set(keys), set(), []
    for v in keys:
        for w in near[v]:
            if (v, w) in seen:
                continue
            way = [v, w]
            while way[-1] not in known:
                a, b = near[way[-1]]
                way.append(b if a == way[-2] else a)
            seen |= {(way[0], way[1]), (way[-1], way[-2])}
            out.append(way)
    return out
