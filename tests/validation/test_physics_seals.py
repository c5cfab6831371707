"""Gland formulas against published tables. Source beside each."""

from __future__ import annotations

import pytest

from rillwright.physics import cord_load, expansion, seals, stack
from rillwright.physics.stack import Expansions

# Inch face-seal chart of the seal handbooks: W, t, depth from, to, squeeze from, to (in), per cent from, to.
INCH = [(0.070, 0.003, 0.050, 0.054, 0.013, 0.023, 19, 32), (0.103, 0.003, 0.074, 0.080, 0.020, 0.032, 20, 30)]


@pytest.mark.parametrize("row", INCH)
def test_inch_face_seal_chart(row: tuple[float, ...]) -> None:
    w, t, shallow, deep, low, high, low_percent, high_percent = row
    least, most = seals.squeeze(deep, w - t), seals.squeeze(shallow, w + t)
    assert least * (w - t) == pytest.approx(low, abs=5e-4)
    assert most * (w + t) == pytest.approx(high, abs=5e-4)
    assert round(100 * least) == low_percent
    assert round(100 * most) == high_percent


# Seal suppliers' housing table, axial: d, h, b; squeeze at h, at h + 0.1, fill, per cent.
METRIC = [
    (1.78, 1.30, 2.60, 27.0, 21.3, 73.6), (2.00, 1.50, 2.80, 25.0, 20.0, 74.8), (2.50, 1.90, 3.40, 24.0, 20.0, 76.0),
    (2.62, 2.00, 3.80, 23.7, 19.8, 70.9), (3.00, 2.30, 4.00, 23.3, 20.0, 76.8), (3.53, 2.70, 5.00, 23.5, 20.7, 72.5),
]  # fmt: skip


@pytest.mark.parametrize("row", METRIC)
def test_metric_groove_table(row: tuple[float, ...]) -> None:
    d, h, b, nominal, deepest, fill = row
    assert 100 * seals.squeeze(h, d) == pytest.approx(nominal, abs=0.05)
    assert 100 * seals.squeeze(h + 0.1, d) == pytest.approx(deepest, abs=0.05)
    assert 100 * seals.fill(h, d, b) == pytest.approx(fill, abs=0.05)


def test_extruded_cord_in_the_standard_groove() -> None:
    # 2.0 mm cord of class E2 (± 0.35, ISO 3302-1) in the 1.5 × 2.8 groove with + 0.1: 3.0 to 36.2 %, fill up to 103 %.
    assert 100 * seals.squeeze(1.6, 1.65) == pytest.approx(3.0, abs=0.05)
    assert 100 * seals.squeeze(1.5, 2.35) == pytest.approx(36.2, abs=0.05)
    assert 100 * seals.fill(1.5, 2.35, 2.8) == pytest.approx(103, abs=0.5)


def test_section_loss_is_about_half_the_stretch() -> None:
    # Seal handbooks: section loss about half of the stretch, for 1 to 5 %.
    for s in (0.01, 0.03, 0.05):
        assert 1 - seals.stretched_cord(2.0, s) / 2.0 == pytest.approx(s / 2, rel=0.05)


# Gent 1958 at five hardnesses, MPa.
@pytest.mark.parametrize(("shore", "modulus"), [(50, 2.46), (60, 3.61), (70, 5.52), (80, 9.35), (90, 20.84)])
def test_gent(shore: float, modulus: float) -> None:
    assert cord_load.gent_modulus(shore) == pytest.approx(modulus, abs=0.005)


# Published bands at 20 % squeeze, .070 in, lbf/in, and what Lindley's formula with Gent's modulus gives.
@pytest.mark.parametrize(("shore", "low", "high", "formula"), [(70, 5, 18, 6.4), (90, 9, 25, 24.3)])
def test_load_bands(shore: float, low: float, high: float, formula: float) -> None:
    unit = 4.4482216 / 25.4  # N/mm in a lbf/in
    load = cord_load.lindley_load(cord_load.gent_modulus(shore), 0.070 * 25.4, 0.20) / unit
    assert load == pytest.approx(formula, abs=0.05)
    assert low <= load <= high
    assert cord_load.upper_load(shore, 0.070 * 25.4, 0.20) / unit == pytest.approx(high, rel=1e-9)


# Drift sample: tube 200, strut 190 of aluminium, floors 7.4 deep in acrylic, seats at the face, 3 mm cord of EPDM.
@pytest.mark.parametrize(("difference", "percent"), [(-30, 22.0), (0, 20.0), (30, 18.0), (40, 17.3)])
def test_temperature_drift_sample(difference: float, percent: float) -> None:
    e = Expansions(23.4e-6, 72e-6, 72e-6, 3.3e-6, 160e-6)
    gap = stack.gap_at(190, 7.4, 0, 7.4, 0, 200, e, difference)
    assert 100 * seals.squeeze(gap, stack.cord_at(3.0, e, difference)) == pytest.approx(percent, abs=0.06)


def test_expansion_of_a_metre_of_aluminium() -> None:
    # Alloy data sheet: 23.4e-6/K; a metre grows 0.234 mm in 10 K.
    assert expansion.growth(1000, 23.4e-6, 10) == pytest.approx(0.234)
    assert expansion.grown(1000, 23.4e-6, 10) == pytest.approx(1000.234)
