"""Screw, glass, sheet and leak-test formulas against published figures. Source beside each."""

from __future__ import annotations

import pytest

from rillwright.physics import glass, leak, screws
from rillwright.standards import sheets

D2, D3 = 8 - 0.64952, 8 - 1.22687  # M8 × 1, ISO 724


# VDI 2230-1 table, M8 × 1, class 8.8 (Rp 640), 90 % of yield: µ, kN, N·m. D_Km of a cap head 11.63 on a Ø9 hole.
@pytest.mark.parametrize(("mu", "force", "moment"), [(0.10, 20.7, 22.8), (0.12, 20.2, 26.1), (0.14, 19.7, 29.2)])
def test_vdi_2230_row(mu: float, force: float, moment: float) -> None:
    f = screws.preload(640, D2, D3, 1.0, mu)
    assert f / 1000 == pytest.approx(force, abs=0.06)
    assert screws.torque(f, 1.0, D2, mu, (11.63 + 9) / 2, mu) == pytest.approx(moment, abs=0.12)


def test_strip_example() -> None:
    # Handbook example: M10 × 1.5 of class 8.8 (830 MPa, As 58.0) in aluminium of 310 MPa, τ = 0.6 Su: 9.4 mm.
    d2 = 10 - 0.64952 * 1.5
    assert screws.stripping_engagement(58.0 * 830, 0.6 * 310, 10, d2, 1.5) == pytest.approx(9.4, abs=0.05)


def test_countersunk_m4_in_acrylic() -> None:
    # Recomputed sample: at 10 MPa an M4 head of DIN 7991 (7.64) over a Ø4.5 hole bears about 300 N, 0.24 N·m at µ .14
    # with the friction of a flat face.
    f = screws.bearing_preload(10, 7.64, 4.5)
    assert f == pytest.approx(300, rel=0.01)
    assert screws.torque(f, 0.7, 3.545, 0.14, (6.53 + 4.5) / 2, 0.14) == pytest.approx(0.24, abs=0.006)


def test_thermal_change_of_preload_against_a_stiff_plate() -> None:
    # Limit known in closed form: a rigid plate makes the screw alone stretch, F = E A α ΔT.
    rigid = screws.thermal_change(10, 8.78, 195e3, 1e9, 1e9, 55.5e-6, 30)
    assert rigid == pytest.approx(195e3 * 8.78 * 55.5e-6 * 30, rel=1e-6)


@pytest.mark.parametrize(("outside", "wall"), [(60, 5), (25, 1.4), (100, 3)])
def test_en_1595(outside: float, wall: float) -> None:
    # EN 1595 for K = 7 MPa as printed in tube makers' data: p[bar] = 140 wall/(OD − wall).
    assert 10 * glass.tube_pressure(outside, wall) == pytest.approx(140 * wall / (outside - wall), rel=1e-12)


@pytest.mark.parametrize(("t", "off"), [(5, 0.90), (8, 1.20), (10, 1.40)])
def test_iso_7823_1(t: float, off: float) -> None:
    # ISO 7823-1, cast sheet: ± (0.4 + 0.1 t).
    sheet = sheets.thickness_tolerance("pmma-cast", t)
    assert (sheet.minus, sheet.plus) == (pytest.approx(off), pytest.approx(off))


def test_decay_rate_of_the_40_cfr_1065_644_example() -> None:
    # 40 CFR 1065.644: V 2.0000 L, 25.300 → 50.600 kPa, 293.15 K both, 70 s, R 8.314472 → 2.966e-4 mol/s. n RT/p is its
    # volume at atmospheric pressure.
    ml_min = 2.966e-4 * 8.314472 * 293.15 / leak.ATMOSPHERE * 1000 * 60
    assert -leak.decay_rate(2.0, 25.300 - 50.600, 70) == pytest.approx(ml_min, rel=2e-4)


def test_stored_energy_sample() -> None:
    # 0.5 L at 0.5 bar: 20 to 62 J in air, 0.0003 J in water.
    least, most = leak.stored_energy_gas(0.5, 50)
    assert least == pytest.approx(20, abs=0.6)
    assert most == pytest.approx(62, abs=0.6)
    assert leak.stored_energy_water(0.5, 50) == pytest.approx(0.0003, abs=5e-5)
