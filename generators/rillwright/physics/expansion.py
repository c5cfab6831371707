"""Linear expansion. Lengths in mm, coefficients in 1/K, temperature differences in K."""

from __future__ import annotations


def grown(length: float, coefficient: float, difference: float) -> float:
    """Length after a change of temperature, L (1 + α ΔT), mm.

    Source: definition of the mean coefficient of linear expansion.

    length: mm at the reference temperature. coefficient: 1/K. difference: K. Works on arrays as well.
    """
    return length * (1 + coefficient * difference)


def growth(length: float, coefficient: float, difference: float) -> float:
    """Change of length with temperature, L α ΔT, mm.

    Source: definition of the mean coefficient of linear expansion.

    length: mm. coefficient: 1/K. difference: K. Works on arrays as well.
    """
    return length * coefficient * difference
