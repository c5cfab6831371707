"""What years of squeeze leave of a cord: time at one temperature for another, set over time, squeeze that is left."""

from __future__ import annotations

import math

from ._guard import positive
from .seals import free_height_after_set, squeeze

GAS = 8.314462618e-3  # kJ/(mol K), CODATA 2018
SCALE = 1.0  # h: the set goes with the logarithm of time from here on; our choice


def equivalent_hours(hours: float, celsius: float, reference: float, activation: float) -> float:
    """Hours at a reference temperature that age a rubber like `hours` at `celsius`, t exp(−(E/R)(1/T − 1/T_ref)).

    Source: Arrhenius, as ISO 11346 uses it for the life of rubbers.

    hours: h. celsius, reference: °C. activation: E, kJ/mol. Returns h. Raises ValueError unless all but the
    temperatures are > 0.
    """
    positive(hours=hours, activation=activation, kelvin=celsius + 273.15, reference_kelvin=reference + 273.15)
    return hours * math.exp(-activation / GAS * (1 / (celsius + 273.15) - 1 / (reference + 273.15)))


def set_after(known: float, known_hours: float, hours: float) -> float:
    """Compression set after a time by one that was measured, C log(1 + t/τ)/log(1 + t₀/τ) with τ = 1 h, at most 1.

    Source: relaxation of rubber goes with the logarithm of time (from memory); τ is our choice.

    known: set C measured after `known_hours`, fraction. hours: h. Returns a fraction. Raises ValueError unless hours
    are > 0 and the set lies from 0 to 1.
    """
    positive(known_hours=known_hours, hours=hours)
    if not 0 <= known <= 1:
        raise ValueError(f"a compression set must be from 0 to 1 (got {known:g})")
    return min(1.0, known * math.log1p(hours / SCALE) / math.log1p(known_hours / SCALE))


def settled_squeeze(gap: float, cord: float, compression_set: float) -> float:
    """Squeeze that still pushes back after compression set, 1 − g/d' with the free height d' = d − C (d − g).

    Source: ISO 815-1, definition of compression set.

    gap, cord: g and d at the same temperature, mm. compression_set: C, fraction. Returns a fraction; that of a loose
    cord, negative, is not changed. Works on arrays as well; nothing is checked.
    """
    return squeeze(gap, free_height_after_set(gap, cord, compression_set))
