"""Tolerance chains against closed forms of probability."""

from __future__ import annotations

import math

import numpy as np
import pytest

from rillwright.physics import monte_carlo, seals, stack, tolerance
from rillwright.physics.tolerance import Dimension

CHAIN = (Dimension("a", 10, 0.3, 0.3), Dimension("b", 4, 0.1, 0.2), Dimension("c", 1, 0.2, 0.2, "uniform"))
# Variance of a normal cut off at ± 3σ: σ²(1 − 6 φ(3)/(2Φ(3) − 1)). Johnson, Kotz, Balakrishnan, ch. 13.
CUT = 1 - 6 * math.exp(-4.5) / math.sqrt(2 * math.pi) / math.erf(3 / math.sqrt(2))


def linear(v):  # type: ignore[no-untyped-def]
    return v["a"] - 2 * v["b"] + v["c"]


def test_root_sum_square_of_a_linear_chain() -> None:
    s = tolerance.spread(linear, CHAIN)
    reach = math.sqrt(0.3**2 + (2 * 0.15) ** 2 + 0.2**2)
    assert s.nominal == pytest.approx(3.0)
    assert (s.rss_low, s.rss_high) == (pytest.approx(2.9 - reach), pytest.approx(2.9 + reach))
    assert s.contributions == pytest.approx({"a": 0.09 / 0.22, "b": 0.09 / 0.22, "c": 0.04 / 0.22})
    assert (s.worst_low, s.worst_high) == (pytest.approx(2.1), pytest.approx(3.7))


def test_monte_carlo_against_the_analytic_normal_result() -> None:
    drawn = monte_carlo.draw(CHAIN, 400_000)
    got = monte_carlo.summary(monte_carlo.evaluate(linear, drawn))
    variance = CUT * (0.1**2 + (2 * 0.05) ** 2) + 0.2**2 / 3
    assert got.mean == pytest.approx(2.9, abs=4 * math.sqrt(variance / 400_000))
    assert got.deviation == pytest.approx(math.sqrt(variance), rel=4 / math.sqrt(2 * 400_000))


def test_yield_against_the_normal_integral() -> None:
    normal = tuple(Dimension(n, 0, 0.3, 0.3) for n in "abcdefghijkl")
    values = monte_carlo.evaluate(lambda v: sum(v.values()), monte_carlo.draw(normal, 200_000))  # type: ignore[arg-type,return-value]
    sigma = math.sqrt(12 * CUT) * 0.1
    # Twelve terms: the sum is normal to four figures within one and a half deviations.
    got = monte_carlo.share_within(values, -1.5 * sigma, 1.5 * sigma)
    assert got == pytest.approx(math.erf(1.5 / math.sqrt(2)), abs=4e-3)


def squeeze(v):  # type: ignore[no-untyped-def]
    return seals.squeeze(stack.gap(v["strut"], v["c1"], v["s1"], v["c2"], v["s2"], v["tube"]), v["cord"])


@pytest.mark.parametrize("shape", ["normal", "uniform"])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_worst_case_contains_every_draw(shape: tolerance.Shape, seed: int) -> None:
    chain = [
        Dimension(name, nominal, minus, plus, shape)
        for name, nominal, minus, plus in (
            ("strut", 200, 0.1, 0.1), ("c1", 6, 0.05, 0.02), ("s1", 3, 0.05, 0.05), ("c2", 6, 0, 0.1), ("s2", 3, 0, 0),
            ("tube", 203, 0.3, 0.2), ("cord", 2, 0.35, 0.35),
        )
    ]  # fmt: skip
    low, high = tolerance.worst_case(squeeze, chain)
    values = monte_carlo.evaluate(squeeze, monte_carlo.draw(chain, seed=seed))
    assert values.shape == (monte_carlo.DRAWS,)
    assert low <= values.min()
    assert values.max() <= high
    # And it is not idly wide: the draws fill a good part of it.
    assert np.ptp(values) > 0.5 * (high - low)
