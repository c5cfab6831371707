"""The cheapest ways along a groove from screw to screw, several starts at once. Lengths in mm.

A way is a choice of places with no step longer than the pitch and no two neighbours nearer than their spacing. It costs
the prices of its screws, and a little for unevenness: (step/pitch − mean)² a step.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Flags = NDArray[np.bool_]
    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

EVEN = 1e-4  # weight of evenness against the number: (gap/pitch − mean)² per screw


@dataclass(frozen=True, slots=True)
class Steps:
    """What a step may be: its most along the groove; least distance of two screws, and a step along a groove that is as
    long as a whole ring: from a screw round to itself, which is not too near to itself."""

    pitch: float
    spacing: float
    round: float


def cheapest(nodes: Floats, at: Floats, price: Floats, steps: Steps) -> list[tuple[float, list[int]] | None]:
    """For each row the cheapest way from its first place to its last: (cost, numbers of the places between), or None.

    nodes: distance along the groove (rows, n), rising from 0; at: (rows, n, 2); price: (rows, n), 0 at both ends.
    """
    import numpy as np

    rows, n = nodes.shape
    low = np.stack([np.searchsorted(r, r - steps.pitch - 1e-9) for r in nodes])
    wide = int((np.arange(n) - low).max())
    uneven = _uneven(nodes, at, low, wide, steps)
    cost = np.full((rows, wide + n), np.inf)
    cost[:, wide] = 0.0
    before = np.lib.stride_tricks.sliding_window_view(cost, wide, axis=1)
    back = np.zeros((rows, n), dtype=np.int64)
    for i, j in _blocks(uneven):
        total = before[:, i:j] + price[:, i:j, None]
        total += uneven[:, i:j]
        back[:, i:j] = total.argmin(axis=2)
        cost[:, wide + i : wide + j] = total.min(axis=2)
    back += np.arange(n) - wide
    return [_way(float(c), b) for c, b in zip(cost[:, -1], back.tolist(), strict=True)]


def _blocks(uneven: Floats) -> list[tuple[int, int]]:
    """Runs of places of which no step leads from one to another, as two of them would stand too near: the cost of all of
    a run follows at once from those before it."""
    import numpy as np

    n = uneven.shape[1]
    steps: Flags = np.logical_or.reduce(np.isfinite(uneven))
    nearest = (np.arange(n) - 1 - steps[:, ::-1].argmax(axis=1)).tolist()  # the last place that a step leads from
    some: list[bool] = np.logical_or.reduce(steps, axis=1).tolist()
    starts = [1]
    for i in range(2, n):
        if some[i] and nearest[i] >= starts[-1]:
            starts.append(i)
    return list(zip(starts, [*starts[1:], n], strict=True))


def _uneven(nodes: Floats, at: Floats, low: Ints, wide: int, steps: Steps) -> Floats:
    """Cost of the step to each place from each of the `wide` before it: (rows, n, wide), infinite where it may not be."""
    import numpy as np

    def before(of: Floats) -> Floats:
        """The `wide` values before each one; in front of the first there are zeros, which `low` rules out."""
        padded = np.concatenate([np.zeros((len(of), wide)), of], axis=1)
        return np.lib.stride_tricks.sliding_window_view(padded, wide, axis=1)[:, : of.shape[1]]

    x, y = at[:, :, 0], at[:, :, 1]
    step = nodes[:, :, None] - before(nodes)
    far = (before(x) - x[:, :, None]) ** 2 + (before(y) - y[:, :, None]) ** 2 >= (steps.spacing - 1e-9) ** 2
    length = nodes[:, -1:, None]
    mean = length / np.ceil(length / steps.pitch - 1e-9)
    may = np.arange(wide) >= (low + wide - np.arange(low.shape[1]))[:, :, None]
    may &= far | (step >= steps.round)
    return np.where(may, EVEN * ((step - mean) / steps.pitch) ** 2, np.inf)


def _way(cost: float, back: list[int]) -> tuple[float, list[int]] | None:
    if not math.isfinite(cost):
        return None
    out, i = [], back[-1]
    while i > 0:
        out.append(i)
        i = back[i]
    return cost, out[::-1]
