"""What is asked of the candidates again and again, each worked out once. Lengths in mm."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from .places import Candidates

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Flags = NDArray[np.bool_]


class Known:
    """Candidates with who stands too near to whom, and which rings each of them serves."""

    def __init__(self, found: Candidates, lengths: Sequence[float], spacing: float) -> None:
        self.found, self.lengths, self.spacing = found, lengths, spacing
        self._near: dict[int, Flags] = {}
        self.stations: list[list[tuple[int, int]]] = [[] for _ in found.at]  # of each candidate: ring, place in its list
        for k, who in enumerate(found.who):
            for i, c in enumerate(who.tolist()):
                self.stations[c].append((k, i))

    def near(self, c: int) -> Flags:
        """Candidates that stand too near to `c` for both to be taken, itself with them."""
        import numpy as np

        if c not in self._near:
            at = self.found.at
            self._near[c] = np.hypot(*(at - at[c]).T) < self.spacing - 1e-9
        return self._near[c]

    def clear_of(self, kept: Sequence[int]) -> Flags:
        """Candidates that stand far enough from all that are kept."""
        import numpy as np

        crowded = np.zeros(len(self.found.at), dtype=bool)
        for c in kept:
            crowded |= self.near(c)
        return ~crowded

    def flags(self, chosen: Sequence[int]) -> Flags:
        """Which candidates are chosen."""
        import numpy as np

        out = np.zeros(len(self.found.at), dtype=bool)
        out[list(chosen)] = True
        return out

    def gaps(self, k: int, taken: Flags) -> list[float]:
        """Distances along ring `k` from each taken screw to the next; the whole ring where there is none."""
        s = self.found.s[k][taken[self.found.who[k]]]
        if len(s) == 0:
            return [self.lengths[k]]
        return [*(s[1:] - s[:-1]).tolist(), float(s[0] + self.lengths[k] - s[-1])]
