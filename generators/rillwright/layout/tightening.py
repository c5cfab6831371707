"""Order in which screws that stand anywhere on a face are tightened."""

from __future__ import annotations

import math
from collections.abc import Sequence

GROUP = 4  # screws about as far from the middle, taken one across from the other; our choice, no source


def outwards(places: Sequence[tuple[float, float]]) -> list[int]:
    """Numbers (from 0) of screws from the middle outwards and crosswise, so that a cover is drawn flat as it goes.

    places: mm. Groups of a few, by their distance from the middle of all; in a group each screw is the one farthest
    from the screw before. Common practice for covers, no source.
    """
    if not places:
        return []
    middle = (sum(x for x, _ in places) / len(places), sum(y for _, y in places) / len(places))
    sorted_out = sorted(range(len(places)), key=lambda i: (round(math.dist(places[i], middle), 6), i))
    order: list[int] = []
    for start in range(0, len(sorted_out), GROUP):
        left = sorted_out[start : start + GROUP]
        while left:
            last = places[order[-1]] if order else middle
            taken = max(left, key=lambda i: (round(math.dist(places[i], last), 6), -i)) if order else left[0]
            left.remove(taken)
            order.append(taken)
    return order
