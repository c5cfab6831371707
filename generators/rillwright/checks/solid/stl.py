"""An exported STL file read back: corners, what they enclose, and whether it is one closed surface. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
SAME = 1e5  # corners are one where they agree to 1e-5 mm
HEAD = 80  # bytes of the binary form (3D Systems, 1989) before the number of triangles
FACET = 50  # bytes of one triangle: normal, three corners, two bytes that mean nothing here


class StlError(ValueError):
    """A file that is no whole binary STL."""


@dataclass(frozen=True, slots=True, eq=False)
class StlMesh:
    """vertices: (n, 3) mm, each once. faces: (m, 3) numbers of their corners, counter-clockwise seen from outside."""

    vertices: Floats
    faces: Ints

    @property
    def triangles(self) -> Floats:
        """Corners of every triangle, (m, 3, 3), mm."""
        return self.vertices[self.faces]

    @property
    def volume(self) -> float:
        """What it encloses, mm³, by the divergence theorem; negative where it is inside out."""
        a, b, c = self.triangles.transpose(1, 0, 2)
        return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6)

    @property
    def areas(self) -> Floats:
        """Area of every triangle, (m,), mm²."""
        a, b, c = self.triangles.transpose(1, 0, 2)
        found: Floats = np.linalg.norm(np.cross(b - a, c - a), axis=1) / 2
        return found

    @property
    def bodies(self) -> int:
        """How many parts have no corner in common."""
        ends, n = self._ends(), len(self.vertices)
        joined = coo_array((np.ones(len(ends), bool), (ends[:, 0], ends[:, 1])), (n, n))
        return int(connected_components(joined, directed=False, return_labels=False))

    def closed(self) -> tuple[bool, bool]:
        """Whether every edge belongs to two triangles, and whether those that do are run through both ways."""
        ends = self._ends()
        back = ends[:, 0] > ends[:, 1]
        edge = np.sort(ends, axis=1) @ np.array([len(self.vertices), 1])
        order = np.argsort(edge, kind="stable")
        starts = np.flatnonzero(np.r_[True, np.diff(edge[order]) != 0, True])
        pairs = starts[:-1][np.diff(starts) == 2]
        first, second = order[pairs], order[pairs + 1]
        return 2 * len(pairs) == len(ends), bool((back[first] != back[second]).all())

    def _ends(self) -> Ints:
        """Both ends of every side of every triangle, (3 m, 2)."""
        return self.faces[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)


def read_stl(path: Path) -> StlMesh:
    """The mesh of an exported file, corners merged where they are the same. Raises StlError."""
    data = Path(path).read_bytes()
    count = int.from_bytes(data[HEAD : HEAD + 4], "little")
    if len(data) != HEAD + 4 + FACET * count or not count:
        raise StlError(f"{path}: {len(data)} bytes are no binary STL of {count} triangles")
    facets = np.frombuffer(data, np.uint8, FACET * count, HEAD + 4).reshape(count, FACET)
    corners = np.ascontiguousarray(facets[:, 12:48]).view("<f4").reshape(-1, 3).astype(np.float64)
    first, number = _merged(np.rint(corners * SAME).astype(np.int64))
    return StlMesh(corners[first], number.reshape(-1, 3))


def _merged(places: Ints) -> tuple[Ints, Ints]:
    """Where each different row (n, 3) stands first, in that order, and the number of every row among them, (n,)."""
    order = np.lexsort(places.T)
    new = np.r_[True, (np.diff(places[order], axis=0) != 0).any(axis=1)]
    own = np.empty(len(places), np.int64)
    own[order] = np.cumsum(new) - 1
    first = order[new]  # the sort keeps the order of the file among those that are the same
    sequence = np.argsort(first, kind="stable")
    rank = np.empty(len(first), np.int64)
    rank[sequence] = np.arange(len(first))
    return first[sequence], rank[own]
