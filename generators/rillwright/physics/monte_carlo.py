"""Seeded Monte Carlo of a tolerance chain. The only module of this room that needs numpy."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .tolerance import Dimension

Draws = NDArray[np.float64]
DRAWS = 100_000
SEED = 20_000
SIGMAS = 3.0  # standard deviations in a half-range


@dataclass(frozen=True, slots=True)
class Scatter:
    """Summary of the draws, in the unit of the function."""

    mean: float
    deviation: float
    low: float  # smallest draw
    high: float  # largest draw
    p0_135: float  # 0.135 % and 99.865 % quantiles: ± 3 standard deviations of a normal result
    p99_865: float


def draw(dimensions: Sequence[Dimension], draws: int = DRAWS, seed: int = SEED) -> dict[str, Draws]:
    """Independent draws of every dimension, shape (draws,) each; the same for the same seed and dimensions.

    Source: ISO/IEC Guide 98-3 Supplement 1. Normal draws outside three standard deviations are drawn again, so that
    no draw leaves its tolerance.

    Raises ValueError for fewer than 100,000 draws: the tails of a yield would be guesses.
    """
    if draws < DRAWS:
        raise ValueError(f"draws must be at least {DRAWS} (got {draws})")
    rng = np.random.Generator(np.random.SFC64(seed))  # half the time of the default, as good
    return {d.name: d.middle + d.half * _unit(rng, d, draws) for d in dimensions}


def _unit(rng: np.random.Generator, d: Dimension, draws: int) -> Draws:
    """Draws from −1 to 1, shape (draws,)."""
    if d.half == 0:
        return np.zeros(draws)
    if d.shape == "uniform":
        return rng.uniform(-1, 1, draws)
    z = rng.standard_normal(draws)
    outside = np.abs(z) > SIGMAS
    while outside.any():
        z[outside] = rng.standard_normal(int(outside.sum()))
        outside = np.abs(z) > SIGMAS
    return z / SIGMAS


def evaluate(function: Callable[[Mapping[str, Draws]], Draws], drawn: Mapping[str, Draws]) -> Draws:
    """The function of all draws at once, shape (draws,)."""
    return np.asarray(function(drawn), dtype=np.float64)


def summary(values: Draws) -> Scatter:
    """Mean, standard deviation, extremes and outer quantiles of draws, shape (draws,)."""
    a, b = np.quantile(values, (0.00135, 0.99865))
    return Scatter(
        float(values.mean()), float(values.std()), float(values.min()), float(values.max()), float(a), float(b)
    )


def share_within(values: Draws, low: float, high: float) -> float:
    """Yield: share of the draws from low to high, fraction."""
    return float(np.mean((values >= low) & (values <= high)))
