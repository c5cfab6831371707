"""What tolerances make of a result: nominal, worst case and root-sum-square of one function of several dimensions."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

Function = Callable[[Mapping[str, float]], float]
Shape = Literal["normal", "uniform"]
MOST_CORNERS = 16  # dimensions: 65,536 evaluations


@dataclass(frozen=True, slots=True)
class Dimension:
    """One length with its tolerance, in one unit (mm here).

    `minus` and `plus` are both 0 or more. `shape` is how it scatters inside them: normal with the half-range as three
    standard deviations (cut off there), or uniform, which is right for a reading whose gauge is all that is known.
    """

    name: str
    nominal: float
    minus: float
    plus: float
    shape: Shape = "normal"

    def __post_init__(self) -> None:
        if not (math.isfinite(self.nominal) and self.minus >= 0 and self.plus >= 0):
            raise ValueError(
                f"{self.name}: the tolerance must be 0 or more each way (got −{self.minus:g} +{self.plus:g}); "
                "give both as amounts"
            )

    @property
    def low(self) -> float:
        return self.nominal - self.minus

    @property
    def high(self) -> float:
        return self.nominal + self.plus

    @property
    def middle(self) -> float:
        return (self.low + self.high) / 2

    @property
    def half(self) -> float:
        """Half the range."""
        return (self.plus + self.minus) / 2

    def exact(self) -> Dimension:
        """The same dimension without tolerance."""
        return replace(self, minus=0.0, plus=0.0)


@dataclass(frozen=True, slots=True)
class Spread:
    """A result with what the tolerances make of it, in the unit of the function."""

    nominal: float
    worst_low: float
    worst_high: float
    rss_low: float
    rss_high: float
    contributions: dict[str, float]  # share of the root-sum-square's variance by dimension, sums to 1

    @property
    def dominant(self) -> str:
        """Dimension that contributes most; empty where nothing has a tolerance."""
        return max(self.contributions, key=lambda n: self.contributions[n], default="")


def nominal(function: Function, dimensions: Sequence[Dimension]) -> float:
    """The function at the nominal dimensions."""
    return function({d.name: d.nominal for d in dimensions})


def worst_case(function: Function, dimensions: Sequence[Dimension]) -> tuple[float, float]:
    """Least and largest value at the corners of all ranges.

    Source: interval analysis. Exact where the function is monotone in each dimension while the others stand still.

    Raises ValueError for more than 16 dimensions with a tolerance.
    """
    free = [d for d in dimensions if d.half > 0]
    if len(free) > MOST_CORNERS:
        raise ValueError(f"{len(free)} dimensions with a tolerance make too many corners; give at most {MOST_CORNERS}")
    fixed = {d.name: d.nominal for d in dimensions if d.half == 0}
    corners = itertools.product(*((d.low, d.high) for d in free))
    values = [function({**fixed, **{d.name: v for d, v in zip(free, c, strict=True)}}) for c in corners]
    return min(values), max(values)


def root_sum_square(
    function: Function, dimensions: Sequence[Dimension]
) -> tuple[float, float, dict[str, float]]:
    """Least and largest value by root-sum-square about the middle of the ranges, and each dimension's share.

    Source: linear propagation of independent scatter (ISO/IEC Guide 98-3, 5.1.2), by central differences over
    each whole range; with three standard deviations in each half-range the result is three too.
    """
    middle = {d.name: d.middle for d in dimensions}
    effects = {
        d.name: (function({**middle, d.name: d.high}) - function({**middle, d.name: d.low})) / 2
        for d in dimensions if d.half > 0
    }  # fmt: skip
    variance = sum(e * e for e in effects.values())
    centre, reach = function(middle), math.sqrt(variance)
    shares = {name: e * e / variance for name, e in effects.items()} if variance else {}
    return centre - reach, centre + reach, shares


def spread(function: Function, dimensions: Sequence[Dimension]) -> Spread:
    """Nominal, worst case and root-sum-square of one function of the dimensions."""
    low, high = worst_case(function, dimensions)
    rss_low, rss_high, shares = root_sum_square(function, dimensions)
    return Spread(nominal(function, dimensions), low, high, rss_low, rss_high, shares)


def best_measurement(
    function: Function, dimensions: Sequence[Dimension], gauges: Mapping[str, float]
) -> tuple[str, float]:
    """Dimension whose measuring shrinks the worst-case range most, and the share of the range left then.

    gauges: ± that a measurement of each dimension would leave, by name; those without one, or not better, are left out.
    Returns ("", 1.0) where no measurement helps.
    """
    low, high = worst_case(function, dimensions)
    best, left = "", 1.0
    for d in dimensions:
        gauge = gauges.get(d.name, math.inf)
        if gauge >= d.half or high == low:
            continue
        tried = [replace(d, minus=gauge, plus=gauge) if o is d else o for o in dimensions]
        a, b = worst_case(function, tried)
        if (b - a) / (high - low) < left:
            best, left = d.name, (b - a) / (high - low)
    return best, left
