"""The least number of screws for grooves that share some of them: a covering problem, its rows added as they are needed.

Every stretch of groove as long as the pitch needs a screw; two screws may not stand nearer than their spacing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

from .places import Candidates

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]

ROUNDS = 3  # of rows added
SPARSE, DENSE = 12, 40  # stretches a pitch to begin with: for a choice, for the bound
NODES = 50  # of the tree that one covering problem may grow: the same on every machine, unlike a time


class Covering:
    """Which candidates to take so that no stretch of `pitch` mm of any ring is without one."""

    def __init__(self, found: Candidates, lengths: Sequence[float], pitch: float, given: int,
                 rows: int = SPARSE) -> None:  # fmt: skip
        self.found, self.lengths, self.pitch, self.given = found, lengths, pitch, given
        self.needs: list[Ints] = []  # candidates of which one at least is taken
        self.apart: list[Ints] = []  # candidates of which one at most is taken
        for k, total in enumerate(lengths):
            n = math.ceil(total / pitch * rows)
            for i in range(n):
                self._need(k, total * i / n)

    def _need(self, k: int, start: float) -> None:
        along = (self.found.s[k] - start) % self.lengths[k]
        self.needs.append(self.found.who[k][along <= self.pitch])

    def linear(self) -> tuple[int, list[int]]:
        """A number below which no choice can stay, the linear problem's rounded up, and the candidates that it leans to."""
        answer = self._solved(whole=False)
        return (0, []) if answer is None else (math.ceil(answer[0] - 1e-6), [int(i) for i in answer[1]])

    def proposals(self, spacing: float) -> Iterator[list[int]]:
        """Choices that come nearer and nearer to one that keeps the pitch everywhere and `spacing` mm between screws."""
        for _ in range(ROUNDS):
            answer = self._solved(whole=True)
            if answer is None:
                return
            taken = answer[1]
            yield [int(i) for i in taken]
            if not (self._crowded(taken, spacing) | self._bare(taken)):
                return

    def _solved(self, whole: bool) -> tuple[float, Ints] | None:
        """Least number and the candidates taken, or most likely to be; None where no answer was found."""
        import numpy as np
        from scipy.optimize import Bounds, LinearConstraint, milp

        matrix, names = self._matrix()
        low = np.r_[np.ones(len(self.needs)), np.zeros(len(self.apart))]
        high = np.r_[np.full(len(self.needs), np.inf), np.ones(len(self.apart))]
        answer = milp(np.ones(len(names)), constraints=[LinearConstraint(matrix, low, high)],
                      bounds=Bounds((names < self.given).astype(float), 1.0),
                      integrality=np.full(len(names), int(whole)), options={"node_limit": NODES})  # fmt: skip
        return None if answer.x is None else (float(answer.fun), names[answer.x > 0.5])

    def _matrix(self) -> tuple[Any, Ints]:
        """Rows by candidates, of candidates that are in the same rows only the middle one; and which ones these are."""
        import numpy as np
        from scipy.sparse import csr_matrix

        rows = [np.unique(r) for r in (*self.needs, *self.apart)]
        starts = np.cumsum([0, *map(len, rows)])
        whole = csr_matrix((np.ones(starts[-1]), np.concatenate(rows), starts), (len(rows), len(self.found.at))).tocsc()
        alike: dict[bytes, list[int]] = {}
        for c in range(whole.shape[1]):
            mine = whole.indices[whole.indptr[c] : whole.indptr[c + 1]]
            key = c.to_bytes(8, "little") if c < self.given else mine.tobytes() if len(mine) else b""
            alike.setdefault(key, []).append(c)
        names = np.array([c[len(c) // 2] for k, c in alike.items() if k], dtype=np.int64)
        return whole[:, names].tocsr(), names

    def _bare(self, taken: Ints) -> bool:
        """Rows for the stretches that the choice leaves without a screw; whether there were any."""
        import numpy as np

        before = len(self.needs)
        for k, total in enumerate(self.lengths):
            s = self.found.s[k][np.isin(self.found.who[k], taken)]
            ends = [*s[1:].tolist(), float(s[0]) + total]
            for a, b in zip(s.tolist(), ends, strict=True):
                if b - a > self.pitch + 1e-6:
                    for start in (a + 1e-6, b - self.pitch - 1e-6, (a + b - self.pitch) / 2):
                        self._need(k, start)
        return len(self.needs) > before

    def _crowded(self, taken: Ints, spacing: float) -> bool:
        """Rows for pairs that stand too near: of all places that are as near to their middle one at most is taken."""
        import numpy as np

        at, before = self.found.at, len(self.apart)
        for n, i in enumerate(taken):
            for j in taken[:n]:
                if np.hypot(*(at[i] - at[j])) < spacing - 1e-6 and i >= self.given:
                    near = np.hypot(*(at - (at[i] + at[j]) / 2).T) < spacing / 2
                    near[[i, j]] = True
                    self.apart.append(np.nonzero(near)[0])
        return len(self.apart) > before
