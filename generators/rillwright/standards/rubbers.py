"""Compression set of rubbers: what a test of some hours in the warmth leaves. Set as a fraction, time in h."""

from __future__ import annotations

from dataclasses import dataclass

from ._table import table


@dataclass(frozen=True, slots=True)
class SetTest:
    """Compression set of one rubber by ISO 815-1, and the activation energy of its ageing."""

    compression_set: float  # fraction
    hours: float
    celsius: float
    activation: float  # kJ/mol


def set_test(material: str) -> SetTest:
    """Typical compression set of a rubber by its name in a parameter file. Source: from memory.

    Raises `UnknownSize` for a material that is no rubber.
    """
    row = table("compression_sets").find("material", material)
    names = ("set", "hours", "celsius", "activation")
    found, hours, celsius, activation = (row.number(n) for n in names)
    return SetTest(found / 100, hours, celsius, activation)
