"""Choosing what to measure, and repeatability."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest

from rillwright.physics import leak, monte_carlo, seals, tolerance
from rillwright.physics.tolerance import Dimension

CHAIN = (Dimension("cord", 2, 0.35, 0.35), Dimension("gap", 1.5, 0.1, 0.1))


def squeeze(v):  # type: ignore[no-untyped-def]
    return seals.squeeze(v["gap"], v["cord"])


def test_the_dominant_dimension_is_the_one_to_measure() -> None:
    assert tolerance.spread(squeeze, CHAIN).dominant == "cord"
    name, left = tolerance.best_measurement(squeeze, CHAIN, {"cord": 0.02, "gap": 0.02})
    assert name == "cord"
    # 1 − 1.6/1.98 … 1 − 1.4/2.02 against 1 − 1.6/1.65 … 1 − 1.4/2.35
    assert left == pytest.approx((1.6 / 1.98 - 1.4 / 2.02) / (1.6 / 1.65 - 1.4 / 2.35))


def test_nothing_to_measure_where_the_gauge_is_no_better() -> None:
    assert tolerance.best_measurement(squeeze, CHAIN, {"cord": 0.35, "gap": 0.5}) == ("", 1.0)


def test_no_tolerance_no_spread() -> None:
    s = tolerance.spread(squeeze, [d.exact() for d in CHAIN])
    assert s.nominal == s.worst_low == s.worst_high == s.rss_low == s.rss_high == 0.25
    assert s.contributions == {}
    assert s.dominant == ""


def test_same_seed_same_draws() -> None:
    a, b, c = (monte_carlo.draw(CHAIN, seed=s)["cord"] for s in (7, 7, 8))
    assert (a == b).all()
    assert (a != c).any()


def test_numpy_is_loaded_by_the_monte_carlo_only() -> None:
    code = (
        "import sys, pkgutil, importlib, rillwright.physics as p\n"
        "for m in pkgutil.iter_modules(p.__path__):\n"
        "    if m.name != 'monte_carlo': importlib.import_module('rillwright.physics.' + m.name)\n"
        "sys.exit('numpy' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_ring_lines() -> None:
    assert seals.ring_line(24.75, 30.25, 2) == pytest.approx(math.tau * 27.5)
    assert seals.ring_line(24.75, 30.25, 2, "outer") == pytest.approx(math.tau * 29.25)
    assert seals.ring_line(24.75, 30.25, 2, "inner") == pytest.approx(math.tau * 25.75)
    cut = seals.ring_cut_length(200, 0.02)
    assert seals.stretch(cut, 200) == pytest.approx(0.02)


def test_flattened_cord_keeps_its_area() -> None:
    gap, d = 1.5, 2.0
    wide = seals.flattened_width(gap, d)
    assert (wide - gap) * gap + math.pi * gap**2 / 4 == pytest.approx(math.pi * d**2 / 4)
    assert seals.flattened_width(2.5, d) == d


def test_a_cord_that_took_all_of_its_set_stays_at_the_gap() -> None:
    assert seals.free_height_after_set(1.5, 2.0, 1.0) == 1.5
    assert seals.free_height_after_set(1.5, 2.0, 0.0) == 2.0
    assert seals.free_height_after_set(1.5, 2.0, 0.4) == pytest.approx(1.8)
    assert seals.free_height_after_set(2.5, 2.0, 0.4) == 2.0  # a loose cord takes none


def test_warm_air_is_no_leak() -> None:
    # A tight volume at 151.325 kPa absolute that cools from 295 to 294 K loses 151.325/295 kPa of pressure.
    end = 151.325 * 294 / 295 - 101.325
    assert leak.corrected_drop(50, end, 295, 294, 101.325, 101.325) == pytest.approx(0, abs=1e-9)
    assert leak.temperature_drift(151.325, 295, -1) == pytest.approx(end - 50)
    assert leak.corrected_drop(50, 51, 295, 295, 101.325, 100.325) == pytest.approx(0, abs=1e-9)


def test_duration_moves_the_gauge_ten_times_its_resolution() -> None:
    t = leak.duration_for(0.5, 0.1, 0.1)
    assert leak.decay_rate(0.5, 1.0, t) == pytest.approx(0.1)


def test_uncertainties_add_as_squares() -> None:
    assert leak.drop_uncertainty(150, 300, 0.3, 0, 0.4) == pytest.approx(0.5 * math.sqrt(2 / 3))
    assert leak.drop_uncertainty(150, 300, 0, 0.1, 0) == pytest.approx(0.05 * math.sqrt(2 / 3))
    assert leak.rate_uncertainty(2.0, 1.0, 0.03, 0.5, 0.02, 600, 0) == pytest.approx(2 * 0.05)
