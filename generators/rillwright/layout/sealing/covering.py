"""The least number of screws for grooves that share some of them, as a covering problem in whole numbers.

Every stretch of groove as long as the pitch needs a screw. That two of them may stand too near each other is left out, so
no choice of screws can stay below the answer.
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

PATIENCE = 30.0  # s of the solver; what it has proved by then is a bound as well. wall-panel takes 3
HAIR = 1e-6  # mm that a gap may be longer than the pitch, by rounding


class Covering:
    """Choices of candidates that leave no stretch of `pitch` mm of any ring without a screw."""

    def __init__(self, found: Candidates, lengths: Sequence[float], pitch: float, given: int) -> None:
        import numpy as np

        self.found, self.lengths, self.pitch, self.given = found, lengths, pitch, given
        # just behind a place begins every stretch that no other one makes needless
        self.starts: list[Floats] = [np.unique((s + HAIR) % t) for s, t in zip(found.s, lengths, strict=True)]

    def least(self) -> int:
        """A number below which no choice among the candidates can stay; 0 where the solver finds none in its time."""
        import numpy as np
        from scipy.optimize import Bounds, LinearConstraint, milp

        matrix, names = self._matrix()
        answer = milp(np.ones(len(names)), constraints=LinearConstraint(matrix, 1.0, np.inf), integrality=1,
                      bounds=Bounds((names < self.given).astype(float), 1.0), options={"time_limit": PATIENCE})  # fmt: skip
        proved = answer.mip_dual_bound
        return 0 if proved is None else math.ceil(proved - 1e-6)

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
