"""Trees that lack least to be drilled: of one gallery by level, and of two galleries together. Lengths in mm."""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from .bores import Bore, Tree
from .pick import bores_short
from .room import HAIR, Room
from .trees import PER_TRUNK, amiss, joined, listed, ways_kept
from .wanted import Wanted


@dataclass(frozen=True)
class Nearly:
    """Of all trees on one level the one that lacks least: how much, to what ("": to a drilling of its own), and which of
    its drillings."""

    z: float
    lack: float
    who: str
    bore: Bore


@dataclass(frozen=True)
class Crossing:
    """Two drillings of two galleries that come too near to each other in the pair of trees that lacks least."""

    lack: float
    first: Bore
    second: Bore


Short = dict[Bore, tuple[float, str]]


def nearly(room: Room, w: Wanted) -> list[Nearly]:
    """By level the tree that lacks least, the least of them first; none for a level that no tree reaches."""
    every, trunk, order = listed(room, w)
    if not order:
        return []
    lack, who = room.short(w, order)
    short: Short = {b: (float(v), o) for b, v, o in zip(order, lack, who, strict=True)}
    fits = dict.fromkeys(order, True)
    best: dict[float, Nearly] = {}
    for t, per in every:
        kept = [heapq.nsmallest(ways_kept(len(per)), options, key=lambda o: (_worst(short, o.bores), o.cost))
                for options in per]  # fmt: skip
        trees = joined(w, t, kept, trunk, fits)
        for tree in heapq.nsmallest(PER_TRUNK, trees, key=lambda x: (_worst(short, x.bores), x.cost)):
            had = best.get(t.z)
            if tree.bores and (had is None or _worst(short, tree.bores) < had.lack - HAIR):
                new = _least(room, tree, short, t.z)
                best[t.z] = new if had is None or new.lack < had.lack else had
    return sorted(best.values(), key=lambda n: (n.lack, -n.z))


def _worst(short: Short, bores: Iterable[Bore]) -> float:
    return max((short[b][0] for b in bores), default=0.0)


def _least(room: Room, tree: Tree, short: Short, z: float) -> Nearly:
    """What a tree lacks most, be it among its own drillings."""
    bore = max(tree.bores, key=lambda b: short[b][0])
    lack, who = short[bore]
    own = amiss(room, tree.bores).max(axis=1)
    k = int(own.argmax())
    return Nearly(z, float(own[k]), "", tree.bores[k]) if own[k] > max(lack, HAIR) else Nearly(z, lack, who, bore)


def crossing(room: Room, v: Wanted, a: Sequence[Tree], w: Wanted, b: Sequence[Tree]) -> Crossing:
    """What stands between two galleries that can each be drilled alone."""
    mine, theirs, lack = bores_short(room, v, a, w, b)
    of_a, of_b = _numbers(a, mine), _numbers(b, theirs)
    best = (np.inf, 0, 0)
    for i, row in enumerate(of_a):
        short = lack[row].max(axis=0)[of_b].max(axis=1)
        k = int(short.argmin())
        best = min(best, (float(short[k]), i, k))
    found, i, k = best
    rows, cols = of_a[i], of_b[k]
    x, y = np.unravel_index(int(lack[np.ix_(rows, cols)].argmax()), (len(rows), len(cols)))
    return Crossing(found, mine[int(rows[x])], theirs[int(cols[y])])


def _numbers(trees: Sequence[Tree], bores: Sequence[Bore]) -> np.ndarray[tuple[int, int], np.dtype[np.intp]]:
    """(trees, most bores of one) numbers of each tree's bores, its first repeated where it has fewer."""
    number = {b: n for n, b in enumerate(bores)}
    wide = max(len(t.bores) for t in trees)
    return np.array([[number[x] for x in (*t.bores, *(t.bores[:1] * (wide - len(t.bores))))] for t in trees])
