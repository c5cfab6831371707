"""Where air stays when a space is filled, and coolant when it is drained, slowly and with gravity alone.

A bubble leaves only by a way on which it never has to go down: what lies above the highest such way's lowest point keeps
its air. Upside down the same holds for coolant. On a grid: cells of one layer that join each other are one place; the
places and which of them lie on each other make a small graph, and the best way through it is found exactly.
"""

from __future__ import annotations

import heapq
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from .voxels import Grid

NEVER = 1_000_000  # layers away: what has no way out at all


@dataclass(frozen=True, slots=True, eq=False)
class Places:
    """Joined cells of one layer each: number by cell (from 1, 0 outside), layer of each, and which lie on each other."""

    number: npt.NDArray[np.int32]
    layer: npt.NDArray[np.int64]
    beside: list[list[int]]


def places(wet: Grid) -> Places:
    """The places of a grid whose last axis points up."""
    from scipy import ndimage

    flat = np.zeros((3, 3, 3), bool)
    flat[1, :, 1] = flat[:, 1, 1] = True
    number, count = ndimage.label(wet, structure=flat)
    layer = np.zeros(count + 1, int)
    where = np.nonzero(number)
    layer[number[where]] = where[2]
    under, over = number[:, :, :-1], number[:, :, 1:]
    both = (under > 0) & (over > 0)
    pairs = np.unique(under[both].astype(np.int64) * (count + 1) + over[both])
    beside: list[list[int]] = [[] for _ in range(count + 1)]
    for low, high in zip((pairs // (count + 1)).tolist(), (pairs % (count + 1)).tolist(), strict=True):
        beside[low].append(high)
        beside[high].append(low)
    return Places(number, layer, beside)


def way_out(p: Places, mouths: Grid, up: bool = True) -> npt.NDArray[np.int64]:
    """For each place the lowest layer on its best way to a mouth (for `up`), or the highest on its best way down.

    What has no way at all gets a layer that nothing reaches.
    """
    sign = 1 if up else -1
    best = np.full(len(p.layer), -NEVER if up else NEVER)
    queue = []
    for n in np.unique(p.number[mouths & (p.number > 0)]).tolist():
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


def kept(p: Places, mouths: Grid, up: bool = True) -> Grid:
    """Cells that keep air (`up`), or coolant when everything runs out of the mouths.

    Pockets no deeper than one layer are left out: a grid cannot tell them from a flat ceiling.
    """
    from scipy import ndimage

    best = way_out(p, mouths, up)
    depth = (p.layer - best) if up else (best - p.layer)
    depth[0] = 0
    held = (depth > 0)[p.number] & (p.number > 0)
    label, count = ndimage.label(held)
    if count == 0:
        return held
    deepest = np.zeros(count + 1, depth.dtype)
    np.maximum.at(deepest, label[held], depth[p.number[held]])  # ndimage.maximum sorts the whole grid for this
    deep: Grid = deepest > 1
    deep[0] = False
    found: Grid = deep[label]
    return found
