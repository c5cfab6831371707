"""Bending of strips and plates by the closed forms of handbooks. Lengths in mm, forces in N, stresses in MPa.

All for small deflections (below half the thickness for the plate) of one even thickness.
"""

from __future__ import annotations

import bisect
import math
from dataclasses import dataclass
from typing import Literal

from ._guard import positive

Spread = Literal["point", "even"]
# Rectangle held up along its four sides under even pressure: w = α q b⁴/(E t³), σ = β q b²/t², b the shorter side,
# ν = 0.3. W. C. Young, R. G. Budynas, Roark's Formulas for Stress and Strain, 7th edition, table 11.4 case 1a.
_RATIO = (1.0, 1.2, 1.4, 1.6, 1.8, 2.0, 3.0, 4.0, 5.0)
_EVEN_W = (0.0444, 0.0616, 0.0770, 0.0906, 0.1017, 0.1110, 0.1335, 0.1400, 0.1417)
_EVEN_S = (0.2874, 0.3762, 0.4530, 0.5172, 0.5688, 0.6102, 0.7134, 0.7410, 0.7476)
# The same under a force in the middle: w = α F b²/(E t³). S. Timoshenko, Theory of Plates and Shells, table 23, in the
# form with E at ν = 0.3.
_POINT_RATIO = (1.0, 1.2, 1.4, 1.6, 1.8, 2.0, 3.0)
_POINT_W = (0.1267, 0.1478, 0.1621, 0.1715, 0.1769, 0.1803, 0.1846)


@dataclass(frozen=True, slots=True)
class Bent:
    """Largest deflection, mm, and largest bending stress, MPa; None where the formula gives no finite one."""

    deflection: float
    stress: float | None


def beam(length: float, width: float, thickness: float, modulus: float, load: float, spread: Spread) -> Bent:
    """A strip on two supports: F L³/48 E I and F L/4 for a force in the middle, 5 F L³/384 E I and F L/8 for an even load.

    Source: beam tables, e.g. Roark's Formulas, table 8.1. modulus: MPa. Raises ValueError.
    """
    inertia, section = _strip(length, width, thickness, modulus, load)
    k, m = (1 / 48, 1 / 4) if spread == "point" else (5 / 384, 1 / 8)
    return Bent(k * load * length**3 / (modulus * inertia), m * load * length / section)


def cantilever(length: float, width: float, thickness: float, modulus: float, load: float, spread: Spread) -> Bent:
    """A strip held at one end: F L³/3 E I and F L for a force at its end, F L³/8 E I and F L/2 for an even load.

    Source: beam tables, e.g. Roark's Formulas, table 8.1. modulus: MPa. Raises ValueError.
    """
    inertia, section = _strip(length, width, thickness, modulus, load)
    k, m = (1 / 3, 1.0) if spread == "point" else (1 / 8, 1 / 2)
    return Bent(k * load * length**3 / (modulus * inertia), m * load * length / section)


def plate(length: float, width: float, thickness: float, modulus: float, load: float, spread: Spread) -> Bent:
    """A rectangle held up along its four sides, under an even load or a force in its middle, ν = 0.3.

    Source: Roark's Formulas, table 11.4 case 1a; Timoshenko, table 23, whose stress under a point has no end and is
    left out. length: longer side. Longer than the tables' last ratio counts as that. modulus: MPa. Raises ValueError.
    """
    positive(length=length, width=width, thickness=thickness, modulus=modulus, load=load)
    a, b = max(length, width), min(length, width)
    if spread == "even":
        q = load / (a * b)
        return Bent(_at(_RATIO, _EVEN_W, a / b) * q * b**4 / (modulus * thickness**3),
                    _at(_RATIO, _EVEN_S, a / b) * q * b**2 / thickness**2)  # fmt: skip
    return Bent(_at(_POINT_RATIO, _POINT_W, a / b) * load * b**2 / (modulus * thickness**3), None)


def disc(
    diameter: float, thickness: float, modulus: float, poisson: float, load: float, spread: Spread
) -> Bent:
    """A round plate held fast all round, under an even load or a force in its middle; its stress is that at the rim.

    Source: Roark's Formulas, table 11.2 cases 10b and 16: 6 M/t² with M = p a²/8 and F/4 π; F a²/16 π D. Under a force
    the stress below it has no end and is left out. diameter: free, mm. modulus: MPa. load: all of it, N. Raises ValueError.
    """
    positive(diameter=diameter, thickness=thickness, modulus=modulus, load=load)
    a = diameter / 2
    if spread == "even":
        pressure = load / (math.pi * a**2)
        return Bent(clamped_circle(a, thickness, modulus, poisson, pressure), 0.75 * pressure * (a / thickness) ** 2)
    rigid = modulus * thickness**3 / (12 * (1 - poisson**2))
    return Bent(load * a**2 / (16 * math.pi * rigid), 1.5 * load / (math.pi * thickness**2))


def clamped_circle(radius: float, thickness: float, modulus: float, poisson: float, pressure: float) -> float:
    """Deflection of a disc held fast all round under pressure, shear included: p a⁴/64 D + p a²/4 κ G t, κ = 5/6, mm.

    Source: Reissner-Mindlin plate, closed form. modulus, pressure: MPa. Raises ValueError.
    """
    positive(radius=radius, thickness=thickness, modulus=modulus, pressure=pressure)
    rigid = modulus * thickness**3 / (12 * (1 - poisson**2))
    shear = modulus / (2 * (1 + poisson)) * thickness * 5 / 6
    return pressure * radius**4 / (64 * rigid) + pressure * radius**2 / (4 * shear)


def _strip(length: float, width: float, thickness: float, modulus: float, load: float) -> tuple[float, float]:
    positive(length=length, width=width, thickness=thickness, modulus=modulus, load=load)
    return width * thickness**3 / 12, width * thickness**2 / 6


def _at(xs: tuple[float, ...], ys: tuple[float, ...], x: float) -> float:
    i = bisect.bisect_left(xs, x)
    if i == 0:
        return ys[0]
    if i == len(xs):
        return ys[-1]
    return ys[i - 1] + (ys[i] - ys[i - 1]) * (x - xs[i - 1]) / (xs[i] - xs[i - 1])
