"""The JSON Schema agrees with the loader on what a file may hold, but for how large a text with a unit is."""

from __future__ import annotations

import json
from typing import Annotated, Any, Literal

import jsonschema
import pytest
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from rillwright.spec.quantity import (
    Angle,
    Length,
    Name,
    NonNegativeLength,
    Percent,
    PositiveLength,
    Temperature,
)
from rillwright.spec.schema import json_schema


class Round(BaseModel):
    kind: Literal["round"]


class Square(BaseModel):
    kind: Literal["square"]


class Block(BaseModel):
    """A block of the tests."""

    model_config = ConfigDict(extra="forbid")
    positive: Annotated[PositiveLength, Field(le=50, description="how wide")] = 1
    length: Length = 0
    land: NonNegativeLength = 0
    tilt: Angle = 0
    share: Percent = 0
    warm: Temperature = 0
    name: Name = "a"
    start: Name = Field("a", alias="from")
    deep: PositiveLength | Literal["auto"] = 0
    shape: Annotated[Round | Square, Field(discriminator="kind")] | None = None


SCHEMA = json_schema(Block, "block")


def test_is_a_schema_of_2020_12() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    assert SCHEMA["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert SCHEMA["title"] == "block"
    assert SCHEMA["description"] == "A block of the tests."
    assert "discriminator" not in json.dumps(SCHEMA).replace("discriminator=", "")
    assert "from" in SCHEMA["properties"]


def test_field_keeps_its_description_and_bounds() -> None:
    made = SCHEMA["properties"]["positive"]
    assert made["description"] == "how wide"
    number = made["anyOf"][0]
    assert number["exclusiveMinimum"] == 0
    assert min(number.get("maximum", 5000), made.get("maximum", 5000)) == 50
    assert SCHEMA["properties"]["land"]["anyOf"][0]["minimum"] == 0
    assert "length in mm" in SCHEMA["properties"]["land"]["description"]


@pytest.mark.parametrize(
    "data",
    [
        {"positive": v}
        for v in (1, 50, 50.1, 0, -1, "3 mm", "-3 mm", "3 ft", "x", None, True, [1], "4cm", '1"')
    ]
    + [{"length": v} for v in (-3, "-3.5 in", 5000, 5001, "1e1", "1 mm ")]
    + [{"share": v} for v in ("20 %", 20, -1, 101, "20%", "%")]
    + [{"warm": v} for v in ("35 °C", -300, "308 K")]
    + [{"tilt": "0.5 rad"}, {"tilt": "30°"}, {"name": "A"}, {"name": "a-1"}, {"from": "b"}, {"begin": "b"}]
    + [{"shape": {"kind": "round"}}, {"shape": {"kind": "oval"}}, {"shape": None}],
)
def test_agrees_with_the_loader(data: dict[str, Any]) -> None:
    try:
        Block.model_validate(data)
        fits = True
    except ValidationError:
        fits = False
    assert jsonschema.Draft202012Validator(SCHEMA).is_valid(data) is fits
