"""What tolerances and temperature make of a tube's cords: squeeze and fill as fractions, lengths in mm."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from ...layout.seal import REFERENCE, Toleranced, TubeSeal
from ...physics import seals, stack, tolerance
from ...physics.stack import Expansions
from ...physics.tolerance import Dimension, Function, Spread

if TYPE_CHECKING:
    from ...physics.monte_carlo import Scatter

# What a careful measurement in the workshop leaves, ± mm; our choice, no source.
GAUGES = {
    "cord": 0.03, "tube length": 0.05, "strut length": 0.03, "upper channel depth": 0.02, "lower channel depth": 0.02,
    "upper seat depth": 0.02, "lower seat depth": 0.02, "channel width": 0.05,
}  # fmt: skip
Bounds = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Condition:
    """The cords at one temperature. `fill` is None where the tube may touch the floor: no gland is left then."""

    name: str
    celsius: float
    gap: float
    squeeze: Spread
    fill: Spread | None
    known_squeeze: Bounds  # worst case of the tolerances that the user stated or measured, all else nominal
    known_fill: float | None


@dataclass(frozen=True, slots=True)
class Analysis:
    """Every condition of one seal, filling first, and what to measure."""

    conditions: tuple[Condition, ...]
    measure: str  # length whose measurement shrinks the range most; empty where nothing helps
    measure_leaves: float  # share of the worst-case range left then

    @property
    def filling(self) -> Condition:
        return self.conditions[0]


@dataclass(frozen=True, slots=True)
class Drawn:
    """Monte Carlo of one seal: for each condition the shares of draws within limits and still sealing."""

    yields: tuple[tuple[float, float], ...]
    squeeze: Scatter  # at filling
    fill: Scatter | None


def analyse(seal: TubeSeal) -> Analysis:
    """Worst case and root sum of squares of one seal at every condition."""
    return _analyse(seal.lengths, seal.expansions, seal.temperatures)


def draw(seal: TubeSeal, limits: Bounds, holds: Bounds) -> Drawn:
    """Monte Carlo of one seal; `limits` are those of a good seal, `holds` those of one that still seals, fractions.

    Apart from `analyse`, because numpy takes longer to load than a check of the whole file may take.
    """
    return _drawn(seal.lengths, seal.expansions, seal.temperatures, limits, holds)


@lru_cache(maxsize=64)
def _drawn(
    lengths: tuple[Toleranced, ...], expansions: Expansions, temperatures: tuple[tuple[str, float], ...],
    limits: Bounds, holds: Bounds,
) -> Drawn:  # fmt: skip
    from ...physics import monte_carlo

    dimensions = [t.dimension for t in lengths]
    drawn = monte_carlo.draw(dimensions)
    values = [monte_carlo.evaluate(squeeze_function(expansions, c), drawn) for _, c in temperatures]  # type: ignore[arg-type]
    shares = tuple((monte_carlo.share_within(v, *limits), monte_carlo.share_within(v, *holds)) for v in values)
    fill, at = None, temperatures[0][1]
    if tolerance.spread(squeeze_function(expansions, at), _in(SQUEEZE, dimensions)).worst_high < 1:
        fill = monte_carlo.summary(monte_carlo.evaluate(fill_function(expansions, at), drawn))  # type: ignore[arg-type]
    return Drawn(shares, monte_carlo.summary(values[0]), fill)


@lru_cache(maxsize=64)
def _analyse(
    lengths: tuple[Toleranced, ...], expansions: Expansions, temperatures: tuple[tuple[str, float], ...]
) -> Analysis:
    # Kept by what enters it: the tubes of one job are mostly alike.
    dimensions = [t.dimension for t in lengths]
    conditions = tuple(_condition(n, c, lengths, expansions) for n, c in temperatures)
    at = temperatures[0][1]
    wanted = {t.dimension.name: GAUGES[t.dimension.name] for t in lengths if t.origin != "measured"}
    measure, leaves = tolerance.best_measurement(
        squeeze_function(expansions, at), _in(SQUEEZE, dimensions), wanted
    )
    return Analysis(conditions, measure, leaves)


SQUEEZE = frozenset(GAUGES) - {"channel width"}
FILL = frozenset(GAUGES)


def _in(names: frozenset[str], dimensions: Sequence[Dimension]) -> list[Dimension]:
    return [d for d in dimensions if d.name in names]


def _gap(v: Mapping[str, float], expansions: Expansions, difference: float) -> float:
    return stack.gap_at(
        v["strut length"], v["upper channel depth"], v["upper seat depth"], v["lower channel depth"],
        v["lower seat depth"], v["tube length"], expansions, difference,
    )  # fmt: skip


def squeeze_function(expansions: Expansions, celsius: float) -> Function:
    """Squeeze of a cord at a temperature as a function of the lengths, for single values and for draws."""
    d = celsius - REFERENCE
    return lambda v: seals.squeeze(_gap(v, expansions, d), stack.cord_at(v["cord"], expansions, d))


def fill_function(expansions: Expansions, celsius: float) -> Function:
    """Fill of the gland between tube and floor; the channel's own growth is left out (0.1 % in 20 K)."""
    d = celsius - REFERENCE
    return lambda v: seals.fill(_gap(v, expansions, d), stack.cord_at(v["cord"], expansions, d), v["channel width"])


def _condition(
    name: str, celsius: float, lengths: Sequence[Toleranced], expansions: Expansions
) -> Condition:
    squeeze, fill = squeeze_function(expansions, celsius), fill_function(expansions, celsius)
    every = [t.dimension for t in lengths]
    known = [t.dimension if t.known else t.dimension.exact() for t in lengths]
    spread = tolerance.spread(squeeze, _in(SQUEEZE, every))
    room = spread.worst_high < 1  # a squeeze of 1 is a gap of nought
    return Condition(
        name, celsius, _gap({d.name: d.nominal for d in every}, expansions, celsius - REFERENCE), spread,
        tolerance.spread(fill, every) if room else None,
        tolerance.worst_case(squeeze, _in(SQUEEZE, known)),
        tolerance.worst_case(fill, known)[1] if room else None,
    )  # fmt: skip
