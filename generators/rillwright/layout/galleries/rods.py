"""Distances of drillings from each other and from all else in a plate. Lengths in mm, frame of the plate.

What the chooser drills lies along x, y or z. A drilling is a rod: its axis is a box without extent across it, and its
cone lies inside a round end. What stands still, and the steps of a plug's hole, have flat ends. Of two rods with flat
ends one is taken as round at a time: a distance that is never too great, and exact beside their lengths.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from ..features import Feature, Vec3

Array = np.ndarray[Any, Any]
STRAIGHT = 1 - 1e-9
CHUNK = 500  # rods measured at once


@dataclass(frozen=True, slots=True)
class Rod:
    """A cylinder with flat ends along x, y or z; with `inner` a ring; `round` with ends like half a ball."""

    start: Vec3
    end: Vec3
    radius: float
    inner: float = 0.0
    round: bool = False

    @property
    def along(self) -> int:
        return max(range(3), key=lambda k: abs(self.end[k] - self.start[k]))


def rods_of(f: Feature) -> Iterator[Rod]:
    """A feature as rods that enclose it: one for each step of its profile; a slanted one as a chain of balls."""
    marks = sorted({max(0.0, z) for _, z in f.profile})
    straight = max(map(abs, f.axis)) > STRAIGHT
    for a, b in pairwise(marks):
        outer, inner = _radii(f, (a + b) / 2, a, b)
        if straight:
            yield Rod(f.at(a), f.at(b), outer, inner)
            continue
        n = max(1, math.ceil((b - a) / max(1.0, outer / 2)))
        step = (b - a) / n
        for i in range(n):
            at = f.at(a + (i + 0.5) * step)
            yield Rod(at, at, math.hypot(outer, step / 2), round=True)


def _radii(f: Feature, mid: float, a: float, b: float) -> tuple[float, float]:
    """Largest and smallest radius of a profile between two of its depths."""
    found: list[float] = []
    for (r0, z0), (r1, z1) in pairwise([*f.profile, f.profile[0]]):
        low, high = min(z0, z1), max(z0, z1)
        if high > low and low < mid < high:
            found += [r0 + (r1 - r0) * (z - z0) / (z1 - z0) for z in (a, b)]
    return max(found, default=0.0), min(found, default=0.0)


@dataclass(frozen=True, slots=True)
class Table:
    """Rods as arrays: (n, 3) corners, (n,) the rest."""

    low: Array
    high: Array
    along: Array
    radius: Array
    inner: Array
    round: Array

    def part(self, a: int, b: int) -> Table:
        return Table(*(getattr(self, k)[a:b] for k in Table.__slots__))


def table(rods: Sequence[Rod]) -> Table:
    ends = np.array([(r.start, r.end) for r in rods], dtype=float).reshape(-1, 2, 3)
    return Table(
        ends.min(axis=1), ends.max(axis=1), np.array([r.along for r in rods], dtype=int),
        np.array([r.radius for r in rods], dtype=float), np.array([r.inner for r in rods], dtype=float),
        np.array([r.round for r in rods], dtype=bool),
    )  # fmt: skip


def gaps(a: Table, b: Table) -> Array:
    """(n, m) least distances of rods of `a`, none a ring, from those of `b`; 0 or less where they may meet.

    Where the axis of one lies in the other: less the distance by which it has to go sideways.
    """
    out = np.empty((len(a.along), len(b.along)))
    for k in range(0, len(out), CHUNK):
        some = a.part(k, k + CHUNK)
        off = _from_axis(some, b)
        found, deep = off - some.radius[:, None], (off == 0) & (b.inner[None, :] == 0)
        if not some.round.all():
            off = _from_axis(b, some).T
            found = np.where(b.inner[None, :] > 0, found, np.maximum(found, off - b.radius[None, :]))
            deep &= off == 0
        if deep.any():
            apart = axes_apart(some, b) - some.radius[:, None] - b.radius[None, :]
            found = np.where(deep, np.minimum(found, apart), found)
        out[k : k + CHUNK] = found
    return out


def axes_apart(a: Table, b: Table) -> Array:
    """(n, m) distances of the axes, exact."""
    between = np.maximum(0, np.maximum(a.low[:, None] - b.high[None], b.low[None] - a.high[:, None]))
    out: Array = np.sqrt((between**2).sum(-1))
    return out


def _from_axis(axes: Table, solid: Table) -> Array:
    """(n, m) distances of axes from rods, exact."""
    between = np.maximum(0, np.maximum(axes.low[:, None] - solid.high[None], solid.low[None] - axes.high[:, None]))
    square = between**2
    whole = square.sum(-1)
    lengthwise = np.where(solid.round[None], 0.0, _lengthwise(square, solid))
    plane = np.sqrt(np.maximum(0, whole - lengthwise))
    centre = (solid.low + solid.high) / 2
    far = np.maximum(abs(axes.low[:, None] - centre[None]), abs(axes.high[:, None] - centre[None])) ** 2
    across = far.sum(-1) - _lengthwise(far, solid)
    inside = np.where(solid.inner[None] > 0, solid.inner[None] - np.sqrt(np.maximum(0, across)), 0.0)
    out: Array = np.sqrt(np.maximum(0, np.maximum(plane - solid.radius[None], inside)) ** 2 + lengthwise)
    return out


def _lengthwise(values: Array, solid: Table) -> Array:
    """(n, m) of (n, m, 3): the one along each solid's own axis."""
    which = np.broadcast_to(solid.along[None, :, None], (*values.shape[:2], 1))
    out: Array = np.take_along_axis(values, which, -1)[..., 0]
    return out
