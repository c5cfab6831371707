"""A closed mesh as a grid of cells, by where vertical lines through the cells' middles enter and leave it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

Grid = npt.NDArray[np.bool_]
OFF = (3.7e-4, 5.3e-4)  # share of a cell by which lines stand off its middle, so that none runs through an edge
WIDER = 1e-6  # share of a cell: lines that a triangle just misses are asked too
BATCH = 4_000_000  # pairs of triangle and line looked at together


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """`full[i, j, k]`: the middle of cell (i, j, k), which is at origin + (i, j, k + ½) · pitch, lies in the solid.

    Frame: the turned one, z up. Lengths mm.
    """

    full: Grid
    origin: npt.NDArray[np.float64]  # of the first line and the floor of the first layer
    pitch: float

    def middles(self, where: Grid) -> npt.NDArray[np.float64]:
        """Middles of the chosen cells, (n, 3), mm."""
        found: npt.NDArray[np.float64] = self.origin + self.pitch * (np.argwhere(where) + np.array([0.0, 0.0, 0.5]))
        return found

    @property
    def volume(self) -> float:
        """mm³."""
        return float(self.full.sum()) * self.pitch**3


def cells(vertices: npt.NDArray[np.float64], triangles: npt.NDArray[Any], pitch: float) -> Cells:
    """The cells of a closed mesh. vertices: (n, 3), mm. triangles: (m, 3). pitch: mm."""
    low, high = vertices.min(axis=0), vertices.max(axis=0)
    origin = np.array([low[0] + (0.5 + OFF[0]) * pitch, low[1] + (0.5 + OFF[1]) * pitch, low[2]])
    size = np.maximum(1, np.ceil((high - low) / pitch).astype(int))
    line, height = _crossings(vertices[triangles], origin, pitch, size)
    order = np.lexsort((height, line))
    line, layer = line[order], np.rint((height[order] - low[2]) / pitch).astype(int).clip(0, size[2])
    # From crossing to crossing a line is inside and outside by turns.
    first = np.r_[True, line[1:] != line[:-1]]
    nth = np.arange(len(line)) - np.maximum.accumulate(np.where(first, np.arange(len(line)), 0))
    steps = np.zeros((size[0] * size[1], size[2] + 1), np.int8)
    np.add.at(steps, (line, layer), np.where(nth % 2 == 0, 1, -1).astype(np.int8))
    full = (np.cumsum(steps[:, :-1], axis=1, dtype=np.int8) > 0).reshape(tuple(size))
    return Cells(full, origin, pitch)


def _crossings(
    corners: npt.NDArray[np.float64], origin: npt.NDArray[np.float64], pitch: float, size: Any
) -> tuple[npt.NDArray[Any], npt.NDArray[np.float64]]:
    """Number of the line, and height (mm), of every crossing of a triangle by a vertical line."""
    flat = corners[:, :, :2]
    a, b, c = flat[:, 0], flat[:, 1], flat[:, 2]
    double = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (c[:, 0] - a[:, 0]) * (b[:, 1] - a[:, 1])
    first = np.ceil((flat[:, :, 0].min(axis=1) - origin[0]) / pitch).astype(int).clip(0)
    last = np.floor((flat[:, :, 0].max(axis=1) - origin[0]) / pitch).astype(int).clip(None, size[0] - 1)
    row_of, i = _spread(np.flatnonzero(double != 0), first, last)
    low, high = _section(flat[row_of], origin[0] + pitch * i)
    start = np.ceil((low - origin[1]) / pitch - WIDER).astype(int).clip(0)
    stop = np.floor((high - origin[1]) / pitch + WIDER).astype(int).clip(None, size[1] - 1)
    lines, heights = [np.zeros(0, int)], [np.zeros(0)]
    for some in _batches(np.flatnonzero(stop >= start), (stop - start + 1).clip(0)):
        row, j = _spread(some, start, stop)
        t = row_of[row]
        p = origin[:2] + pitch * np.column_stack([i[row], j])
        u = _cross(p - a[t], c[t] - a[t]) / double[t]
        v = _cross(b[t] - a[t], p - a[t]) / double[t]
        inside = (u >= 0) & (v >= 0) & (u + v <= 1)
        t, u, v = t[inside], u[inside], v[inside]
        z = corners[:, :, 2]
        lines.append((i[row] * size[1] + j)[inside])
        heights.append(z[t, 0] + u * (z[t, 1] - z[t, 0]) + v * (z[t, 2] - z[t, 0]))
    return np.concatenate(lines), np.concatenate(heights)


def _spread(
    chosen: npt.NDArray[Any], first: npt.NDArray[Any], last: npt.NDArray[Any]
) -> tuple[npt.NDArray[Any], npt.NDArray[Any]]:
    """Each chosen number once for every whole number from its `first` to its `last`, and those."""
    count = (last[chosen] - first[chosen] + 1).clip(0)
    number = np.repeat(chosen, count)
    return number, first[number] + np.arange(len(number)) - np.repeat(np.cumsum(count) - count, count)


def _section(flat: npt.NDArray[np.float64], x: npt.NDArray[np.float64]) -> tuple[Any, Any]:
    """From and to which y the triangles (n, 3, 2) reach at x (n,), mm: far less than their boxes, where they lie askew."""
    low, high = np.full(len(x), np.inf), np.full(len(x), -np.inf)
    for k in range(3):
        p, q = flat[:, k], flat[:, (k + 1) % 3]
        run = q[:, 0] - p[:, 0]
        part = (x - p[:, 0]) / np.where(run == 0, 1.0, run)
        y = p[:, 1] + part.clip(0, 1) * (q[:, 1] - p[:, 1])
        met = (run != 0) & (part >= -1e-9) & (part <= 1 + 1e-9)
        low, high = np.where(met, np.minimum(low, y), low), np.where(met, np.maximum(high, y), high)
    return np.where(low <= high, low, 0.0), np.where(low <= high, high, -1.0)


def _batches(chosen: npt.NDArray[Any], count: npt.NDArray[Any]) -> list[npt.NDArray[Any]]:
    total = np.cumsum(count[chosen])
    cuts = np.searchsorted(total, np.arange(BATCH, total[-1] if len(total) else 0, BATCH))
    return [b for b in np.split(chosen, np.unique(cuts)) if len(b)]


def _cross(p: npt.NDArray[np.float64], q: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    found: npt.NDArray[np.float64] = p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0]
    return found
