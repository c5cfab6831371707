"""Where air stays when a space is filled, and coolant when it is drained, slowly and with gravity alone.

A bubble leaves only by a way on which it never has to go down: what lies above the highest such way's lowest point keeps
its air. Upside down the same holds for coolant. On a grid: cells of one layer that join each other are one place; the
places and which of them lie on each other make a small graph, and the best way through it is found exactly.
"""

from __future__ import annotations

import heapq
from collections.abc import Collection
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from .voxels import Grid

NEVER = 1_000_000  # layers away: what has no way out at all


@dataclass(frozen=True, slots=True, eq=False)
class Places:
    """Joined cells of one layer each: number by cell (from 1, 0 outside), layer of each, and which lie on each other."""

    number: npt.NDArray[np.int32]
    layer: npt.NDArray[np.int64]
    cells: npt.NDArray[np.int64]  # how many cells each has
    pairs: npt.NDArray[np.int64]  # (n, 2), those that lie on each other
    beside: list[list[int]]

    def at(self, where: Grid) -> list[int]:
        """Places that the chosen cells belong to."""
        found: list[int] = np.unique(self.number[where & (self.number > 0)]).tolist()
        return found


def places(wet: Grid) -> Places:
    """The places of a grid whose last axis points up."""
    from scipy import ndimage

    level = np.zeros((3, 3, 3), bool)
    level[1, :, 1] = level[:, 1, 1] = True
    number, count = ndimage.label(wet, structure=level)
    size = count + 1
    # Most of the box is dry, so all else looks at the wet cells alone, by their place in the row of all cells.
    flat, cells = number.reshape(-1), np.flatnonzero(wet)
    of, high = flat[cells], cells % wet.shape[2]
    layer = np.zeros(size, np.int64)
    layer[of] = high
    below = cells[high < wet.shape[2] - 1]
    over = flat[below + 1]
    joined = np.unique((flat[below].astype(np.int64) * size + over)[over > 0])
    pairs = np.column_stack([joined // size, joined % size])
    beside: list[list[int]] = [[] for _ in range(size)]
    for low, high in pairs.tolist():
        beside[low].append(high)
        beside[high].append(low)
    return Places(number, layer, np.bincount(of, minlength=size), pairs, beside)


def way_out(p: Places, mouths: Collection[int], up: bool = True) -> npt.NDArray[np.int64]:
    """For each place the lowest layer on its best way to a mouth (for `up`), or the highest on its best way down.

    `mouths`: the places that the mouths lie in. What has no way at all gets a layer that nothing reaches.
    """
    sign = 1 if up else -1
    best = np.full(len(p.layer), -NEVER if up else NEVER)
    queue = []
    for n in mouths:
        best[n] = p.layer[n]
        queue.append((-sign * int(p.layer[n]), n))
    heapq.heapify(queue)
    done = np.zeros(len(p.layer), bool)
    while queue:
        level, n = heapq.heappop(queue)
        if done[n]:
            continue
        done[n] = True
        for m in p.beside[n]:
            through = min(-level, int(p.layer[m])) if up else max(level, int(p.layer[m]))
            if not done[m] and sign * through > sign * best[m]:
                best[m] = through
                heapq.heappush(queue, (-sign * through, m))
    return best


def pockets(p: Places, mouths: Collection[int], up: bool = True) -> npt.NDArray[np.int32]:
    """For each place the number of the pocket (from 1) that keeps air in it (`up`), or coolant; 0 for none.

    Pockets no deeper than one layer are left out: a grid cannot tell them from a flat ceiling.
    """
    deep, pocket = _deep(p, way_out(p, mouths, up), up)
    numbers = np.zeros(len(deep), np.int32)
    numbers[deep] = np.unique(pocket[deep], return_inverse=True)[1] + 1
    return numbers


def _deep(p: Places, best: npt.NDArray[np.int64], up: bool) -> tuple[npt.NDArray[np.bool_], npt.NDArray[np.int32]]:
    """Which places keep something, and some number of the pocket that each belongs to. best: of `way_out`."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    depth = (p.layer - best) if up else (best - p.layer)
    depth[0] = 0
    held = depth > 0
    if not (depth > 1).any():
        return np.zeros(len(depth), bool), np.zeros(len(depth), np.int32)
    low, high = p.pairs[held[p.pairs].all(axis=1)].T
    size = len(depth)
    count, pocket = connected_components(coo_matrix((np.ones(len(low), bool), (low, high)), (size, size)), directed=False)
    deepest = np.zeros(count, np.int64)
    np.maximum.at(deepest, pocket, depth)
    return held & (deepest[pocket] > 1), pocket


def reached(p: Places, mouths: Collection[int]) -> Places:
    """The same without the cells that no way on the grid joins to a mouth: slits thinner than a cell part them off."""
    best = way_out(p, mouths)
    cut_off = best == -NEVER
    if not mouths or not cut_off[1:].any():
        return p
    return replace(p, number=np.where(cut_off[p.number], 0, p.number), cells=np.where(cut_off, 0, p.cells))


def volume(p: Places, mouths: Collection[int], up: bool = True) -> int:
    """How many cells keep air (`up`), or coolant."""
    return int(p.cells[_deep(p, way_out(p, mouths, up), up)[0]].sum())


def trapped(p: Places, mouths: Collection[int]) -> int:
    """How many of the cells that a way on the grid joins to a mouth keep air: the `volume` of what is `reached`."""
    best = way_out(p, mouths)
    deep = _deep(p, best, up=True)[0]
    return int(p.cells[deep & (best > -NEVER) if mouths else deep].sum())


def kept(p: Places, mouths: Grid, up: bool = True) -> Grid:
    """Cells that keep air (`up`), or coolant when everything runs out of the mouths."""
    found: Grid = (pockets(p, p.at(mouths), up) > 0)[p.number]
    return found
