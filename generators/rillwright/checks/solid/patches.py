"""The faces of a mesh as runs of points: each corner once, and the middles of the largest triangles. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
LOOKED_AT = 9  # triangles: one alone may stray further, on a cone near its point that something else cuts into


@dataclass(frozen=True, slots=True, eq=False)
class Patches:
    """points (p, 3): the corners of each face, one face after the other from starts[i] to starts[i + 1].

    middles (q, 3), from firsts[i] to firsts[i + 1]: of the largest triangles of each, the largest first.
    """

    points: Floats
    starts: Ints
    middles: Floats
    firsts: Ints

    def __len__(self) -> int:
        return len(self.starts) - 1

    def all_of(self, holds: npt.NDArray[np.bool_]) -> npt.NDArray[np.bool_]:
        """Of which faces every point holds, (n,)."""
        found: npt.NDArray[np.bool_] = np.logical_and.reduceat(holds, self.starts[:-1])
        return found

    @property
    def boxes(self) -> tuple[Floats, Floats]:
        """Lowest and highest corner of each face, (n, 3) both."""
        low, high = (f.reduceat(self.points, self.starts[:-1], axis=0) for f in (np.minimum, np.maximum))
        return low, high

    def few(self, at: Ints) -> Floats:
        """Four points of each chosen face, (n, 4, 3)."""
        first, last = self.starts[at], self.starts[at + 1] - 1
        return self.points[first[:, None] + (last - first)[:, None] * np.arange(4) // 3]

    def points_of(self, i: int) -> Floats:
        return self.points[self.starts[i] : self.starts[i + 1]]

    def middles_of(self, i: int) -> Floats:
        return self.middles[self.firsts[i] : self.firsts[i + 1]]

    def only(self, at: Ints) -> Patches:
        """The chosen faces alone, in that order."""
        (rows, starts), (middles, firsts) = _rows(self.starts, at), _rows(self.firsts, at)
        return Patches(self.points[rows], starts, self.middles[middles], firsts)


def patches(vertices: Floats, triangles: npt.NDArray[Any], faces: npt.NDArray[Any]) -> Patches:
    """vertices (n, 3), triangles (m, 3), faces (m,) face of each triangle; every face has one at least."""
    n, count = max(1, len(vertices)), int(faces.max()) + 1
    face = faces.astype(np.int64)
    own = np.unique(face[:, None] * n + triangles)
    corner = vertices[triangles]
    sizes = np.linalg.norm(np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]), axis=1)
    order = np.lexsort((-sizes, face))
    sorted_ = face[order]
    runs = np.searchsorted(sorted_, np.arange(count + 1))
    chosen = np.arange(len(order)) - runs[sorted_] < LOOKED_AT
    firsts = np.minimum(np.diff(runs), LOOKED_AT).cumsum()
    starts = np.searchsorted(own, np.arange(count + 1) * n)
    return Patches(vertices[own % n], starts, corner[order[chosen]].mean(axis=1), np.r_[0, firsts])


def _rows(starts: Ints, at: Ints) -> tuple[Ints, Ints]:
    """Rows of the chosen runs one after the other, and where each of them starts then."""
    sizes = starts[at + 1] - starts[at]
    ends = np.cumsum(sizes)
    return np.repeat(starts[at] - (ends - sizes), sizes) + np.arange(ends[-1] if len(ends) else 0), np.r_[0, ends]
