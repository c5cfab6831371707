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
    back = np.zeros((rows, n), dtype=np.int64)
    each = np.arange(rows)
    for i in range(1, n):
        total = cost[:, i : i + wide] + price[:, i : i + 1]
        total += uneven[i]
        best = total.argmin(axis=1)
        cost[:, wide + i] = total[each, best]
        back[:, i] = best
    back += np.arange(n) - wide
    return [_way(float(c), b) for c, b in zip(cost[:, -1], back.tolist(), strict=True)]


def _uneven(nodes: Floats, at: Floats, low: Ints, wide: int, steps: Steps) -> Floats:
    """Cost of the step to each place from each of the `wide` before it: (n, rows, wide), infinite where it may not be."""
    import numpy as np

    n = nodes.shape[1]
    before = np.arange(n)[:, None] - wide + np.arange(wide)
    j = np.maximum(before, 0)
    step = nodes[:, :, None] - nodes[:, j]
    far = (at[:, j, 0] - at[:, :, None, 0]) ** 2 + (at[:, j, 1] - at[:, :, None, 1]) ** 2 >= (steps.spacing - 1e-9) ** 2
    length = nodes[:, -1:, None]
    mean = length / np.ceil(length / steps.pitch - 1e-9)
    may = (before >= low[:, :, None]) & (far | (step >= steps.round))
    return np.ascontiguousarray(np.where(may, EVEN * ((step - mean) / steps.pitch) ** 2, np.inf).transpose(1, 0, 2))


def _way(cost: float, back: list[int]) -> tuple[float, list[int]] | None:
    if not math.isfinite(cost):
        return None
    out, i = [], back[-1]
    while i > 0:
        out.append(i)
        i = back[i]
    return cost, out[::-1]
