"""The least number of screws for grooves that share some of them: the linear covering problem, its rows added as needed.

Every stretch of groove as long as the pitch needs a screw. Where shares of a screw may be taken too, the least sum of
shares is soon found, and no choice of whole screws can stay below it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from .places import Candidates

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Ints = NDArray[np.int64]

ROWS = 40  # stretches a pitch to begin with
ROUNDS = 3  # of rows added
HAIR = 1e-6  # mm that a gap may be longer than the pitch, by rounding


class Covering:
    """Shares of the candidates so that no stretch of `pitch` mm of any ring has less than one screw."""

    def __init__(self, found: Candidates, lengths: Sequence[float], pitch: float, given: int) -> None:
        import numpy as np

        self.found, self.lengths, self.pitch, self.given = found, lengths, pitch, given
        self.starts: list[Floats] = [np.linspace(0, t, math.ceil(t / pitch * ROWS), endpoint=False) for t in lengths]

    def least(self) -> int:
        """A number below which no choice can stay; 0 where the solver finds no answer."""
        best = 0.0
        for _ in range(ROUNDS):
            found = self._solved()
            if found is None:
                break
            best = max(best, found[0])
            if not self._more(found[1]):
                break
        return math.ceil(best - 1e-6)

    def _solved(self) -> tuple[float, Floats] | None:
        """Least sum for the rows there are, and the share of each candidate."""
        import numpy as np
        from scipy.optimize import Bounds, LinearConstraint, milp

        matrix, names = self._matrix()
        answer = milp(np.ones(len(names)), constraints=LinearConstraint(matrix, 1.0, np.inf),
                      bounds=Bounds((names < self.given).astype(float), 1.0))  # fmt: skip
        if answer.x is None:
            return None
        shares = np.zeros(len(self.found.at))
        shares[names] = answer.x
        return float(answer.fun), shares

    def _matrix(self) -> tuple[Any, Ints]:
        """Stretches by candidates, of candidates that are in the same stretches only one; and which ones these are."""
        import numpy as np
        from scipy.sparse import csc_matrix

        every = self._runs()
        alike = {(c,) if c < self.given else tuple(runs): c for c, runs in enumerate(every) if runs}
        first = np.cumsum([0, *map(len, self.starts)])
        columns = [
            np.unique(np.concatenate([first[k] + np.arange(a, a + n) % len(self.starts[k]) for k, a, n in every[c]]))
            for c in alike.values()
        ]
        ends = np.cumsum([0, *map(len, columns)])
        matrix = csc_matrix((np.ones(ends[-1]), np.concatenate(columns), ends), (int(first[-1]), len(columns)))
        return matrix, np.array(list(alike.values()), dtype=np.int64)

    def _runs(self) -> list[list[tuple[int, int, int]]]:
        """The stretches that each candidate lies in: ring, number of the first one, how many follow each other."""
        import numpy as np

        out: list[list[tuple[int, int, int]]] = [[] for _ in self.found.at]
        for k, (start, total) in enumerate(zip(self.starts, self.lengths, strict=True)):
            twice, s = np.r_[start - total, start], self.found.s[k]
            low = np.searchsorted(twice, s - self.pitch - 2 * HAIR)
            high = np.searchsorted(twice, s, side="right")
            for c, a, b in zip(self.found.who[k].tolist(), low.tolist(), high.tolist(), strict=True):
                if b > a:
                    out[c].append((k, a % len(start), min(b - a, len(start))))
        return out

    def _more(self, shares: Floats) -> bool:
        """Adds the stretches that have less than one screw; whether there were any."""
        import numpy as np

        before = sum(map(len, self.starts))
        for k, total in enumerate(self.lengths):
            some = shares[self.found.who[k]] > 1e-9
            s, share = self.found.s[k][some], shares[self.found.who[k]][some]
            at = np.r_[s + HAIR, s - self.pitch - HAIR] % total  # just behind a screw, and up to just before one
            both, sums = np.r_[s, s + total], np.r_[0.0, np.cumsum(np.r_[share, share])]
            held = sums[np.searchsorted(both, at + self.pitch, side="right")] - sums[np.searchsorted(both, at)]
            self.starts[k] = np.unique(np.r_[self.starts[k], at[held < 1 - 1e-6]])
        return sum(map(len, self.starts)) > before
