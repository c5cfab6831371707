"""How few screws could do at best: stretches of groove that each need one of their own."""

from __future__ import annotations

import math
from collections.abc import Sequence

from .places import STEP, Candidates

STARTS = 8  # where the first stretch may begin


def least_number(found: Candidates, lengths: Sequence[float], pitch: float, given: int) -> int:
    """The largest of three: the given screws; the least numbers of rings that share no place, added up (of those where
    no place serves one ring twice); and the number of stretches, as long as the pitch, of which no place serves two.

    Screws between the places looked at are covered: each is half a step from one of them at most, so every gap is
    allowed a step more than the pitch here.
    """
    import numpy as np

    from .choice import least_round

    taken: set[int] = set()
    apart = 0
    for k in sorted(range(len(lengths)), key=lambda k: -lengths[k]):
        mine = set(found.who[k].tolist())
        if len(mine) == len(found.who[k]) and not taken & mine:
            taken |= mine
            apart += max(math.ceil(lengths[k] / pitch - 1e-9), least_round(found.s[k], lengths[k], pitch + STEP)[1])
    packed = max(_packed(found, lengths, pitch + STEP, start) for start in np.linspace(0, pitch, STARTS, endpoint=False))
    return max(apart, packed, given)


def _packed(found: Candidates, lengths: Sequence[float], size: float, start: float) -> int:
    """Number of stretches of `size` mm that share no place."""
    import numpy as np

    used = np.zeros(len(found.at), dtype=bool)
    n = 0
    for k in sorted(range(len(lengths)), key=lambda k: -lengths[k]):
        s, who, at = found.s[k], found.who[k], start
        while at + size < start + lengths[k]:
            along = (s - at) % lengths[k]
            within = along <= size
            taken = used[who] & within
            if taken.any():
                at += STEP * (math.floor(along[taken].max() / STEP) + 1)  # behind the last of them
                continue
            used[who[within]] = True
            n += 1
            at += size
    return n
