"""Two dowels that locate a plate when it is turned over, and how many ways of laying it down they allow."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from ..spec.machine import Machine
from .features import PlateLayout
from .outline import sampled

Way = Literal["as it was", "turned half round", "flipped about x", "flipped about y"]
WAYS: dict[Way, tuple[int, int]] = {
    "as it was": (1, 1), "turned half round": (-1, -1), "flipped about x": (1, -1), "flipped about y": (-1, 1),
}  # fmt: skip  # what becomes of x and y
FIT = 0.5  # mm: pins this near to their holes, or this near in diameter, go in with a push; our choice
OUT = 12.0  # mm from the plate's side to the pin; common practice, no source
SIZES = (6.0, 8.0)  # mm; two diameters, so that the plate cannot be turned half round; our choice


@dataclass(frozen=True, slots=True)
class Pin:
    """A dowel: place in the plate's frame before the flip, and diameter, mm."""

    at: tuple[float, float]
    diameter: float


@dataclass(frozen=True, slots=True)
class Dowels:
    """Two dowels and the flip that they are meant for."""

    pins: tuple[Pin, Pin]
    flip: Way

    @property
    def apart(self) -> float:
        """Distance of the pins, mm."""
        return math.dist(self.pins[0].at, self.pins[1].at)

    @property
    def ways(self) -> tuple[Way, ...]:
        """Every way of laying the plate on the two pins, the one it was cut in first included.

        The plate may shift: a builder lays it where the pins let it, not where the program thinks it is.
        """
        return tuple(w for w in WAYS if fits(self.pins, w))


def fits(pins: tuple[Pin, Pin], way: Way) -> bool:
    """Whether the plate's two holes go over the two pins when it is laid down this way, shifted as need be."""
    sx, sy = WAYS[way]
    (x0, y0), (x1, y1) = pins[0].at, pins[1].at
    apart, laid = (x1 - x0, y1 - y0), (sx * (x1 - x0), sy * (y1 - y0))
    straight = math.dist(apart, laid) < FIT
    same_size = abs(pins[0].diameter - pins[1].diameter) < FIT
    crosswise = math.dist(apart, (-laid[0], -laid[1])) < FIT  # each hole over the other pin
    return straight or (same_size and crosswise)


def extent(plate: PlateLayout) -> tuple[float, float, float]:
    """Length, width and thickness of a plate, mm."""
    xs, ys = zip(plate.outline.start, *sampled(plate.outline), strict=True)
    return max(xs) - min(xs), max(ys) - min(ys), plate.thickness


def dowels(plate: PlateLayout, machine: Machine) -> Dowels:
    """The job's own two pins, or two in the waste at the ends of the longer middle line: far apart, on the flip axis."""
    x, y, _ = extent(plate)
    half = x / 2 + OUT, y / 2 + OUT
    along_x = half[0] >= half[1]
    flip: Way = "flipped about x" if along_x else "flipped about y"
    if machine.dowels is not None:
        a, b = (Pin(d.at, d.diameter) for d in machine.dowels)
        upright = abs(a.at[0] - b.at[0]) < abs(a.at[1] - b.at[1])
        return Dowels((a, b), "flipped about y" if upright else "flipped about x")
    ends = ((-half[0], 0.0), (half[0], 0.0)) if along_x else ((0.0, -half[1]), (0.0, half[1]))
    return Dowels((Pin(ends[0], SIZES[0]), Pin(ends[1], SIZES[1])), flip)
