"""Beams and plates against handbook coefficients and against an independent sum."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from rillwright.physics import bending


def test_beams_of_the_handbook() -> None:
    # Roark's Formulas, table 8.1, worked by hand: 200 long, 20 × 5, E 70,000, 10 N. I = 208.33, W = 83.33.
    b = bending.beam(200, 20, 5, 70_000, 10, "point")
    assert b.deflection == pytest.approx(10 * 200**3 / (48 * 70_000 * 208.333), rel=1e-5)
    assert b.stress == pytest.approx(10 * 200 / 4 / 83.333, rel=1e-5)
    assert bending.beam(200, 20, 5, 70_000, 10, "even").deflection == pytest.approx(b.deflection * 5 / 8, rel=1e-9)
    c = bending.cantilever(200, 20, 5, 70_000, 10, "point")
    assert c.deflection == pytest.approx(b.deflection * 16, rel=1e-9)
    assert c.stress is not None
    assert b.stress is not None
    assert c.stress == pytest.approx(4 * b.stress, rel=1e-9)


@pytest.mark.parametrize("ratio", [1.0, 1.4, 2.0, 3.0])
@pytest.mark.parametrize("spread", ["even", "point"])
def test_held_up_rectangles_are_naviers_series(ratio: float, spread: bending.Spread) -> None:
    # Navier's double sine series (Timoshenko, Theory of Plates and Shells, articles 28 and 34), summed here, ν = 0.3.
    b, t, modulus, load = 100.0, 4.0, 3000.0, 50.0
    a = ratio * b
    rigid = modulus * t**3 / (12 * (1 - 0.09))
    total = 0.0
    for m in range(1, 120, 2):
        for n in range(1, 120, 2):
            form = (m**2 / a**2 + n**2 / b**2) ** 2
            if spread == "even":
                total += 16 * load / (a * b) / (math.pi**6 * rigid) / (m * n * form) * (-1) ** ((m + n) // 2 - 1)
            else:
                total += 4 * load / (math.pi**4 * rigid * a * b) / form
    found = bending.plate(a, b, t, modulus, load, spread).deflection
    assert found == pytest.approx(total, rel=6e-3)  # the tables have three digits


def test_square_of_the_reference() -> None:
    # 0.00406 p a⁴/D, Timoshenko, table 8.
    t, modulus, a, load = 10.0, 70_000.0, 200.0, 1000.0
    rigid = modulus * t**3 / (12 * (1 - 0.09))
    w = bending.plate(a, a, t, modulus, load, "even").deflection
    assert w == pytest.approx(0.00406 * load / a**2 * a**4 / rigid, rel=3e-3)


def test_clamped_disc_with_shear() -> None:
    # Reissner-Mindlin, closed form: p a⁴/64 D + p a²/(4 κ G t); thin discs lose the second part.
    thin = bending.clamped_circle(100, 1, 3000, 0.37, 1e-5)
    rigid = 3000 / (12 * (1 - 0.37**2))
    assert thin == pytest.approx(1e-5 * 100**4 / 64 / rigid, rel=1e-3)
    thick = bending.clamped_circle(20, 10, 3000, 0.37, 0.1)
    assert thick > 0.1 * 20**4 / (64 * rigid * 1000) * 1.5


def summed(slope: Callable[[float], float], a: float, rigid: float, nu: float) -> tuple[float, float]:
    """Deflection in the middle and bending moment at the rim of a round plate by the slope of its section, in steps."""
    steps, h = 20_000, 1e-4
    sunk = math.fsum(slope(a * (i + 0.5) / steps) for i in range(steps)) * a / steps
    bend = (slope(a) - slope(a - h)) / h
    return sunk, -rigid * (bend + nu * slope(a) / a)


def test_clamped_discs_are_the_sum_of_their_slopes() -> None:
    # S. Timoshenko, Theory of Plates and Shells, articles 17 and 19: slopes p r (a² − r²)/16 D and F r ln(a/r)/4 π D of
    # plates clamped all round. Shear of an even pressure, which those leave out, is taken off before.
    a, t, modulus, nu = 40.0, 6.0, 2400.0, 0.37
    rigid = modulus * t**3 / (12 * (1 - nu**2))
    pressure, force = 0.05, 100.0
    shear = pressure * a**2 / (4 * modulus / (2 * (1 + nu)) * t * 5 / 6)
    even = bending.disc(2 * a, t, modulus, nu, pressure * math.pi * a**2, "even")
    sunk, moment = summed(lambda r: pressure * r * (a**2 - r**2) / (16 * rigid), a, rigid, nu)
    assert even.deflection - shear == pytest.approx(sunk, rel=1e-6)
    assert even.stress == pytest.approx(6 * moment / t**2, rel=1e-4)
    point = bending.disc(2 * a, t, modulus, nu, force, "point")
    sunk, moment = summed(lambda r: force * r * math.log(a / r) / (4 * math.pi * rigid), a, rigid, nu)
    assert point.deflection == pytest.approx(sunk, rel=1e-6)
    assert point.stress == pytest.approx(6 * moment / t**2, rel=1e-4)


def test_refusals() -> None:
    with pytest.raises(ValueError, match="load"):
        bending.beam(100, 10, 5, 3000, 0, "point")
