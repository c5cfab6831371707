"""Quantities with units. Factors: inch 25.4 mm exactly (ISO 80000-3), bar 100 kPa (ISO 80000-4)."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError

from rillwright.spec.quantity import (
    Angle,
    Length,
    Name,
    NonNegativeLength,
    Percent,
    PositiveLength,
    Pressure,
    Temperature,
)

LENGTH: TypeAdapter[float] = TypeAdapter(Length)


def refusal(kind: Any, value: object) -> str:
    with pytest.raises(ValidationError) as caught:
        TypeAdapter(kind).validate_python(value)
    return caught.value.errors()[0]["msg"]


@pytest.mark.parametrize(
    ("kind", "given_value", "wanted"),
    [
        (Length, 90, 90.0),
        (Length, "90 mm", 90.0),
        (Length, "3.5 in", 88.9),
        (Length, "12cm", 120.0),
        (Length, "1.2 m", 1200.0),
        (Length, '2"', 50.8),
        (Length, "-.5in", -12.7),
        (Length, "50 µm", 0.05),
        (Length, "1e2", 100.0),
        (PositiveLength, 5000, 5000.0),
        (NonNegativeLength, 0, 0.0),
        (Angle, "30°", 30.0),
        (Angle, "30 deg", 30.0),
        (Pressure, "50 kPa", 0.5),
        (Pressure, "0.5 bar", 0.5),
        (Pressure, "0.2 MPa", 2.0),
        (Temperature, "35 °C", 35.0),
        (Temperature, "95 °F", 35.0),
        (Temperature, "308.15 K", 35.0),
        (Percent, "20 %", 20.0),
        (Percent, 20, 20.0),
    ],
)
def test_reads(kind: Any, given_value: object, wanted: float) -> None:
    got = TypeAdapter(kind).validate_python(given_value)
    assert got == wanted
    assert isinstance(got, float)


def test_radians() -> None:
    assert TypeAdapter(Angle).validate_python("0.5 rad") == pytest.approx(90 / math.pi, rel=1e-15)


def test_psi() -> None:
    # 1 psi = 6894.757 Pa (NIST SP 811, table B.8; from memory)
    assert TypeAdapter(Pressure).validate_python("100 psi") == pytest.approx(6.894757, rel=1e-7)


@pytest.mark.parametrize(
    "value",
    [
        *(
            True,
            False,
            None,
            "",
            "mm",
            "3,5 in",
            "1 ft",
            "1 1 mm",
            "nan",
            "inf",
            math.nan,
            math.inf,
            -math.inf,
        ),
        *(
            [1],
            {},
            5000.1,
            -5001,
            "5.1 m",
            10**400,
            -(10**400),
            "1e99 m",
            "9" * 400,
            "٣ mm",
            "1 mm\n",
            "0x10",
        ),
        "1_0",
    ],
)
def test_refuses(value: object) -> None:
    assert refusal(Length, value).startswith("must be a length in mm ")


def test_words() -> None:
    wanted = 'must be a length in mm greater than 0, or with a unit like "90 mm" or "3.5 in"'
    assert refusal(PositiveLength, -3) == wanted
    assert refusal(PositiveLength, 0) == wanted
    assert refusal(PositiveLength, "-3 mm") == wanted
    assert refusal(NonNegativeLength, -1e-9).startswith("must be a length in mm of 0 or more")
    assert refusal(PositiveLength, "6 m") == "must be a length in mm of at most 5000"
    assert refusal(Percent, 101) == "must be a share in % of at most 100"
    assert refusal(Temperature, -273.2).startswith("must be a temperature in °C above absolute zero")


@pytest.mark.parametrize(("kind", "text", "do"), [
    (Length, "1,5", "write it with a point: 1.5"), (PositiveLength, "3,5 in", "write it with a point: 3.5 in"),
    (Length, "12 furlongs", "known units: mm, cm, m, um, in"), (Length, "12mmm", "known units: mm, cm, m, um, in"),
    (Pressure, "3 at", "known units: bar, mbar, Pa, kPa, MPa, psi"), (Length, "0 0", "put a comma between the two numbers"),
    (PositiveLength, "-3 mm", None), (Length, "sixty", None), (PositiveLength, -3, None), (PositiveLength, "-1,5", None),
])  # fmt: skip
def test_what_is_all_but_a_quantity_is_told_how_to_write_it(kind: Any, text: object, do: str | None) -> None:
    with pytest.raises(ValidationError) as caught:
        TypeAdapter(kind).validate_python(text)
    assert caught.value.errors()[0]["ctx"]["do"] == do


@given(
    st.floats(-196, 196, allow_nan=False), st.sampled_from([("mm", 1), ("cm", 10), ("in", 25.4), ('"', 25.4)])
)
def test_units_agree_with_plain_numbers(value: float, unit: tuple[str, float]) -> None:
    text = f"{value:.9f} {unit[0]}"
    assert LENGTH.validate_python(text) == pytest.approx(round(value, 9) * unit[1], rel=1e-12, abs=1e-12)


@given(st.floats(-5000, 5000))
def test_number_and_its_text_agree(value: float) -> None:
    text = f"{value:.12f}"
    assert LENGTH.validate_python(f"{text} mm") == LENGTH.validate_python(float(text))


@given(st.text())
def test_any_text_is_a_finite_length_or_refused(text: str) -> None:
    try:
        value = LENGTH.validate_python(text)
    except ValidationError:
        return
    assert abs(value) <= 5000


@pytest.mark.parametrize("name", ["a", "left-2", "a" * 40])
def test_names(name: str) -> None:
    assert TypeAdapter(Name).validate_python(name) == name


@pytest.mark.parametrize("name", ["", "A", "2a", "-a", "a_b", "a b", "a\n", "é", "a" * 41, 5, True])
def test_no_names(name: object) -> None:
    refusal(Name, name)
