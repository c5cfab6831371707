"""Which trees are taken for all galleries of a plate together: an integer program. Lengths in mm.

One tree a gallery, none of two that come too near, least drilling and plugs (scipy's milp).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_matrix

from .bores import Bore, Tree
from .rods import Array, gaps, table
from .room import HAIR, Room
from .trees import plugs_crowd, trees
from .wanted import Wanted

FEW, MANY = 120, 600  # trees a gallery, the cheapest: first try, and last


class NoSet(Exception):
    """No set of the listed trees keeps all walls: `galleries` cannot be drilled, alone (one name) or together."""

    def __init__(self, galleries: tuple[str, ...], tried: int) -> None:
        self.galleries, self.tried = galleries, tried
        super().__init__(" and ".join(galleries))


def choose(room: Room, every: Sequence[Wanted]) -> tuple[Tree, ...]:
    """One tree for each gallery, the cheapest set of those listed that keeps all walls; raises NoSet."""
    listed = [trees(room, w, MANY) for w in every]
    for w, found in zip(every, listed, strict=True):
        if not found:
            raise NoSet((w.name,), 0)
    try:
        return _chosen(room, every, [found[:FEW] for found in listed])
    except NoSet:
        if all(len(found) <= FEW for found in listed):
            raise
    return _chosen(room, every, listed)


def _chosen(room: Room, every: Sequence[Wanted], listed: list[list[Tree]]) -> tuple[Tree, ...]:
    first = np.cumsum([0, *(len(t) for t in listed)])
    rows: list[int] = []
    cols: list[int] = []
    count = 0
    for k in range(len(listed)):
        for j in range(k):
            near = _near(room, every[k], listed[k], every[j], listed[j])
            if near.all():
                raise NoSet((every[j].name, every[k].name), near.size)
            for a in np.flatnonzero(near.any(axis=1)):
                others = np.flatnonzero(near[a])
                rows += [count] * (1 + len(others))
                cols += [int(first[k] + a), *(first[j] + others).tolist()]
                count += 1
    picked = _solved(listed, first, rows, cols, count)
    if picked is None:
        raise NoSet(tuple(w.name for w in every), int(first[-1]))
    return picked


def _solved(
    listed: list[list[Tree]], first: Array, rows: list[int], cols: list[int], count: int
) -> tuple[Tree, ...] | None:
    """Rows: a tree and all trees of one other gallery that it rules out; of all these one at the most is taken."""
    n = int(first[-1])
    cost = np.array([t.cost for found in listed for t in found])
    one = csr_matrix((np.ones(n), (np.repeat(np.arange(len(listed)), np.diff(first)), np.arange(n))), (len(listed), n))
    limits = [LinearConstraint(one, 1, 1)]
    if count:
        limits.append(LinearConstraint(csr_matrix((np.ones(len(rows)), (rows, cols)), (count, n)), -np.inf, 1))
    found = milp(cost, constraints=limits, integrality=np.ones(n), bounds=Bounds(0, 1))
    if found.x is None:
        return None
    return tuple(t[int(np.argmax(found.x[a : a + len(t)]))] for t, a in zip(listed, first, strict=False))


def _near(room: Room, v: Wanted, a: Sequence[Tree], w: Wanted, b: Sequence[Tree]) -> Array:
    """(trees of a, trees of b): which pairs come too near."""
    mine, theirs, lack = bores_short(room, v, a, w, b)
    left, right = _holds(a, mine), _holds(b, theirs)
    out: Array = (left @ (lack > HAIR).astype(float) @ right.T) > 0
    return out


def bores_short(
    room: Room, v: Wanted, a: Sequence[Tree], w: Wanted, b: Sequence[Tree]
) -> tuple[list[Bore], list[Bore], Array]:
    """Drillings of the trees of two galleries, and (n, m) mm that they come too near to each other; 0 or less: none."""
    wall = room.limits.wall_same if v.loop == w.loop else room.limits.wall_wet
    mine, theirs = _bores(a), _bores(b)
    return mine, theirs, np.maximum(_bores_lack(mine, theirs, wall), plugs_crowd(room, mine, theirs))


def _bores(found: Sequence[Tree]) -> list[Bore]:
    return list(dict.fromkeys(b for t in found for b in t.bores))


def _holds(found: Sequence[Tree], bores: Sequence[Bore]) -> Array:
    """(trees, bores): 1 where a tree has a bore."""
    number = {b: n for n, b in enumerate(bores)}
    out = np.zeros((len(found), len(bores)))
    for k, t in enumerate(found):
        out[k, [number[b] for b in t.bores]] = 1
    return out


def _bores_lack(a: Sequence[Bore], b: Sequence[Bore], wall: float) -> Array:
    """(n, m) mm that the surfaces of bores, plugs included, come nearer than the wall."""
    mine = [(k, r) for k, x in enumerate(a) for r in x.rods]
    theirs = [(k, r) for k, x in enumerate(b) for r in x.rods]
    lack = wall - gaps(table([r for _, r in mine]), table([r for _, r in theirs]))
    by_row = np.maximum.reduceat(lack, np.flatnonzero(np.diff([-1, *(k for k, _ in mine)])), axis=0)
    out: Array = np.maximum.reduceat(by_row, np.flatnonzero(np.diff([-1, *(k for k, _ in theirs)])), axis=1)
    return out
