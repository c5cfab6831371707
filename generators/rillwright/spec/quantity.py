"""Annotated types for quantities in a parameter file: a number in the file's unit, or text with a unit.

File units: length mm, angle deg, pressure bar, temperature °C, share %. Every type gives a finite float.
A truth value is never a number. Text is converted in decimal arithmetic, so "3.5 in" is exactly 88.9.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Annotated, Any

from pydantic import Field, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

NAME_PATTERN = r"^[a-z][a-z0-9-]*$"
NAME_LENGTH = 40  # characters
LENGTH_LIMIT = 5000.0  # mm; longer than any sheet or router bed of this trade, so a slip of the unit
REEL_LIMIT = 1e6  # mm; no reel of cord is longer, so a slip of the unit
PRESSURE_LIMIT = 1000.0  # bar; a slip of the unit, not a coolant loop
ABSOLUTE_ZERO = -273.15  # °C, by definition of the kelvin (SI brochure, 2.3.1)

# Digits are bounded so that no text can name a number whose conversion takes long or overflows.
_NUMBER = r"(?:[0-9]{1,20}(?:\.[0-9]{0,20})?|\.[0-9]{1,20})(?:[eE][-+]?[0-9]{1,2})?"


_BOUNDS = {"ge": "minimum", "gt": "exclusiveMinimum", "le": "maximum", "lt": "exclusiveMaximum"}


@dataclass(frozen=True, slots=True)
class Unit:
    """value in the file's unit = value in this unit × `factor` + `offset`."""

    factor: Decimal
    offset: Decimal = Decimal(0)


def _units(factors: Mapping[str, str]) -> dict[str, Unit]:
    return {name: Unit(Decimal(factor)) for name, factor in factors.items()}


# Inch: 25.4 mm exactly (ISO 80000-3). Both code points for the micro sign are typed in practice.
_LENGTH = _units(
    {
        "mm": "1",
        "cm": "10",
        "m": "1000",
        "um": "0.001",
        "µm": "0.001",
        "μm": "0.001",
        "in": "25.4",
        '"': "25.4",
    }
)
_ANGLE = _units({"deg": "1", "°": "1", "rad": repr(180 / math.pi)})
# 1 bar = 100 kPa (ISO 80000-4); psi = 4.4482216152605 N / (25.4 mm)², both factors exact.
_PRESSURE = _units(
    {"bar": "1", "mbar": "0.001", "Pa": "0.00001", "kPa": "0.01", "MPa": "10", "psi": "0.0689475729316836"}
)
_CELSIUS = Unit(Decimal(1))
_FAHRENHEIT = Unit(Decimal(5) / Decimal(9), Decimal(-160) / Decimal(9))
_TEMPERATURE = {
    "°C": _CELSIUS,
    "C": _CELSIUS,
    "K": Unit(Decimal(1), Decimal("-273.15")),
    "°F": _FAHRENHEIT,
    "F": _FAHRENHEIT,
}
_PERCENT = _units({"%": "1"})
_FLOW = _units({"L/min": "1", "l/min": "1", "L/h": repr(1 / 60), "l/h": repr(1 / 60), "mL/s": "0.06", "ml/s": "0.06"})


@dataclass(frozen=True)
class Quantity:
    """Marker for `Annotated[float, Quantity(...)]`: reading, bounds, wording and JSON Schema of one kind.

    `low` and `high` are in the file's unit and allowed themselves, unless `above` says that `low` is not.
    """

    noun: str  # "a length in mm"
    units: Mapping[str, Unit] = field(hash=False)  # typing hashes the markers of a union
    examples: tuple[str, ...]  # texts shown in errors and to editors
    low: float
    high: float
    above: bool = False
    bounds: str = ""  # words for the bounds, where they are part of the ordinary message

    @property
    def words(self) -> str:
        """What is wanted, as the end of a sentence that begins with "must be"."""
        shown = " or ".join(f'"{e}"' for e in self.examples)
        return f"{self.noun}{self.bounds and ' ' + self.bounds}, or with a unit like {shown}"

    @property
    def pattern(self) -> str:
        """Regular expression for the text form; the same for Python and for JSON Schema (ECMA 262)."""
        sign = r"[-+]?" if self.low < 0 else r"\+?"
        names = "|".join(re.escape(u) for u in sorted(self.units, key=len, reverse=True))
        return rf"^ *({sign}{_NUMBER}) *({names})? *$"

    def read(self, given: object) -> float:
        """Value in the file's unit.

        Raises PydanticCustomError, in words, for anything that is not such a quantity or is out of bounds.
        """
        value = self._convert(given)
        # Compared before it is converted: an int may be too large for a float. NaN fails the comparison.
        if value is None or not value >= self.low or (self.above and value == self.low):
            raise PydanticCustomError("quantity", "must be {words}", {"words": self.words, "do": self._cure(given)})
        if value > self.high:
            raise PydanticCustomError(
                "quantity", "must be {noun} of at most {high}", {"noun": self.noun, "high": f"{self.high:g}"}
            )
        return float(value)

    def _convert(self, given: object) -> float | None:
        if isinstance(given, bool):
            return None
        if isinstance(given, int | float):
            return given
        match = re.fullmatch(self.pattern, given) if isinstance(given, str) else None
        if match is None:
            return None
        unit = self.units[match[2]] if match[2] else Unit(Decimal(1))
        return float(Decimal(match[1]) * unit.factor + unit.offset)

    def _cure(self, given: object) -> str | None:
        """What to do about text that is all but a quantity; None for anything else."""
        if not isinstance(given, str):
            return None
        if re.fullmatch(self.pattern, given.replace(",", ".", 1)):
            return f"write it with a point: {given.strip().replace(',', '.')}"
        if re.fullmatch(rf" *[-+]?{_NUMBER} +[-+]?{_NUMBER} *", given):
            return "put a comma between the two numbers"
        unit = re.fullmatch(rf" *[-+]?{_NUMBER} *([^ 0-9.,+-].*)", given)
        return None if unit is None or unit[1].strip() in self.units else f"known units: {', '.join(self._plain_units)}"

    @property
    def _plain_units(self) -> list[str]:
        """Units that any keyboard has."""
        return [u for u in self.units if u.isascii() and u != '"']

    def __get_pydantic_core_schema__(self, _source: Any, _handler: GetCoreSchemaHandler) -> CoreSchema:
        inner = core_schema.float_schema(allow_inf_nan=False)
        return core_schema.no_info_before_validator_function(self.read, inner)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        number: dict[str, Any] = {
            "type": "number",
            ("exclusiveMinimum" if self.above else "minimum"): self.low,
            "maximum": self.high,
        }
        # Bounds of a field's own (Field(le=50)) come under pydantic's names or JSON Schema's.
        for key, bound in handler(schema).items():
            name = _BOUNDS.get(key, key)
            if name in _BOUNDS.values():
                tighter = max if name.endswith("inimum") else min
                number[name] = tighter(bound, number.get(name, bound))
        text = {"type": "string", "pattern": self.pattern, "examples": list(self.examples)}
        return {"anyOf": [number, text], "description": self.words}


_LENGTHS = ("90 mm", "3.5 in")

Length = Annotated[
    float,
    Quantity("a length in mm", _LENGTH, _LENGTHS, -LENGTH_LIMIT, LENGTH_LIMIT, bounds="from -5000 to 5000"),
]
"""Length or coordinate, mm, of either sign; |value| ≤ 5000 mm."""

PositiveLength = Annotated[
    float,
    Quantity("a length in mm", _LENGTH, _LENGTHS, 0.0, LENGTH_LIMIT, above=True, bounds="greater than 0"),
]
"""Length, mm, greater than 0 and ≤ 5000 mm."""

NonNegativeLength = Annotated[
    float, Quantity("a length in mm", _LENGTH, _LENGTHS, 0.0, LENGTH_LIMIT, bounds="of 0 or more")
]
"""Length, mm, 0 or more and ≤ 5000 mm."""

ReelLength = Annotated[
    float,
    Quantity("a length in mm", _LENGTH, ("10000 mm", "10 m"), 0.0, REEL_LIMIT, above=True, bounds="greater than 0"),
]
"""Length of cord on a reel, mm, greater than 0 and ≤ 1 km."""

Angle = Annotated[
    float,
    Quantity("an angle in degrees", _ANGLE, ("30 deg", "0.5 rad"), -360.0, 360.0, bounds="from -360 to 360"),
]
"""Angle, degrees, one turn at most either way."""

Pressure = Annotated[
    float,
    Quantity(
        "a pressure in bar",
        _PRESSURE,
        ("0.5 bar", "50 kPa"),
        -PRESSURE_LIMIT,
        PRESSURE_LIMIT,
        bounds="from -1000 to 1000",
    ),
]
"""Pressure, bar; negative for a vacuum against the surroundings."""

Temperature = Annotated[
    float,
    Quantity(
        "a temperature in °C",
        _TEMPERATURE,
        ("35 °C", "308 K"),
        ABSOLUTE_ZERO,
        2000.0,
        bounds="above absolute zero",
    ),
]
"""Temperature, °C, not below absolute zero."""

FlowRate = Annotated[
    float,
    Quantity("a flow in L/min", _FLOW, ("4 L/min", "240 L/h"), 0.0, 1000.0, above=True, bounds="greater than 0"),
]
"""Flow, L/min, greater than 0."""

Flow = Annotated[float, Quantity("a flow in L/min", _FLOW, ("4 L/min", "240 L/h"), 0.0, 1000.0, bounds="of 0 or more")]
"""Flow, L/min, 0 or more."""

Percent = Annotated[float, Quantity("a share in %", _PERCENT, ("20 %",), 0.0, 100.0, bounds="from 0 to 100")]
"""Share, %, from 0 to 100: 20 and "20 %" both give 20.0."""

Name = Annotated[str, Field(pattern=NAME_PATTERN, max_length=NAME_LENGTH)]
"""Name of a part: lower-case letters, digits and hyphens, a letter first, up to 40 characters."""
