"""From a parameter file to a model, or to every problem of the file in words."""

from __future__ import annotations

import hashlib
import time
from pathlib import Path
from typing import Annotated, Any, Literal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import BaseModel, ConfigDict, Field, model_validator

from rillwright.spec.branches import Fault
from rillwright.spec.kinds import KINDS, said
from rillwright.spec.load import load, load_text, require_known
from rillwright.spec.messages import Problem, SpecError, nearest, shown
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

PYDANTIC = (
    "Input should",
    "Value error",
    "Field required",
    "Extra inputs",
    "String should",
    "validation error",
)
LENGTH = 'must be a length in mm greater than 0, or with a unit like "90 mm" or "3.5 in"'
PRESSURE = 'must be a pressure in bar from -1000 to 1000, or with a unit like "0.5 bar" or "50 kPa"'
NAME = "must be a name of lower-case letters, digits and hyphens, a letter first, at most 40 long"


class Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Tube(Strict):
    outside_diameter: PositiveLength
    wall: Annotated[PositiveLength, Field(le=50, description="wall thickness, mm")]
    length: PositiveLength = 203.0

    @model_validator(mode="after")
    def _bore(self) -> Tube:
        if 2 * self.wall >= self.outside_diameter:
            raise ValueError("twice the wall leaves no bore")
        return self


class Round(Strict):
    kind: Literal["round"]
    diameter: PositiveLength


class Oblong(Strict):
    kind: Literal["oblong"]
    length: PositiveLength
    width: PositiveLength


class Grid(Strict):
    rows: Annotated[int, Field(ge=1, strict=True)]
    pitch: PositiveLength


class Row(Strict):
    count: int
    start: Length
    end: Length


Face = Annotated[str, Field(pattern=r"^(seal|outer|edge-[1-9])$", description="seal, outer or edge-N")]


class Shop(Strict):
    """A job of the tests."""

    job: Name
    tubes: Annotated[list[Tube], Field(max_length=3)] = Field(default_factory=list)
    loops: dict[Name, Literal["amber", "teal"]] = Field(default_factory=dict)
    at: tuple[Length, Length] = (0.0, 0.0)
    from_face: Face = Field("seal", alias="from")
    pocket: Annotated[Round | Oblong, Field(discriminator="kind")] | None = None
    pattern: Grid | Row | None = None
    depth: PositiveLength | Literal["through"] | None = None
    target: Tube | list[Tube] | Name | None = None
    vented: bool = Field(False, strict=True)
    tilt: Angle = 0.0
    proof: Pressure = 1.0
    warm: Temperature = 35.0
    glycol: Percent = 20.0
    land: NonNegativeLength = 0.0


def problems(text: str) -> list[str]:
    with pytest.raises(SpecError) as caught:
        load_text(text, Shop, "f.yaml")
    return [str(p) for p in caught.value.problems]


def only(text: str) -> str:
    (one,) = problems(f"job: a\n{text}")
    return one


def test_loads(tmp_path: Path) -> None:
    path = tmp_path / "x.yaml"
    path.write_text("job: studio\ntubes: [{outside_diameter: 6 cm, wall: 5}]\nfrom: edge-2\n")
    loaded = load(path, Shop)
    assert loaded.model.model_dump()["tubes"] == [{"outside_diameter": 60.0, "wall": 5.0, "length": 203.0}]
    assert loaded.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    assert loaded.where(("tubes", 0, "wall")) == (2, 40)


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("tubes: [{outside_diameter: 60, wall: -3}]", f"2:38: tubes.0.wall: {LENGTH} (got -3)"),
        ("tubes: [{outside_diameter: 90, wall: 51}]", "2:38: tubes.0.wall: must be at most 50 (got 51)"),
        ("tubes: [{outside_diameter: 60, wall: 40}]", "2:9: tubes.0: twice the wall leaves no bore"),
        ("tubes: 5", "2:8: tubes: must be a list (got 5)"),
        ("loops: {B: amber}", f'2:9: loops.B: {NAME} (got "B")'),
        ("loops: {c: tael}", '2:12: loops.c: must be one of amber, teal (got "tael"); did you mean "teal"?'),
        ("at: [1]", "2:5: at: must be a list of 2 (got a list of 1)"),
        ("at: []", "2:5: at: must be a list of 2 (got a list of 0)"),
        ("at: [1, 2, 3]", "2:5: at: must be a list of 2 (got a list of 3)"),
        ("at: x", '2:5: at: must be a list of 2 (got "x")'),
        ("from: top", '2:7: from: must be seal, outer or edge-N (got "top")'),
        (
            "pocket: {kind: rond}",
            '2:16: pocket.kind: must be one of round, oblong (got "rond"); did you mean "round"?',
        ),
        ("pocket: {diameter: 3}", "2:9: pocket.kind: is missing"),
        ("pocket: 5", "2:9: pocket: must be a mapping (got 5)"),
        ("pocket: {kind: round, diameter: 0}", f"2:33: pocket.diameter: {LENGTH} (got 0)"),
        ("pattern: {count: 2, start: 3}", "2:10: pattern.end: is missing"),
        ("pattern: {rows: 2.5, pitch: 3}", "2:17: pattern.rows: must be a whole number (got 2.5)"),
        ("pattern: {rows: 0, pitch: 3}", "2:17: pattern.rows: must be 1 or more (got 0)"),
        ("depth: thru", f'2:8: depth: {LENGTH}, or "through" (got "thru"); did you mean "through"?'),
        ("depth: -3", f'2:8: depth: {LENGTH}, or "through" (got -3)'),
        ("target: {wall: 3}", "2:9: target.outside_diameter: is missing"),
        ("target: {wall: 9, outside_diameter: 9}", "2:9: target: twice the wall leaves no bore"),
        (
            "target: {wall: 9, outside_diameter: 99, lenght: 3}",
            '2:41: target.lenght: unknown key; did you mean "length"?',
        ),
        ("target: [{wall: 3, outside_diameter: q}]", f'2:38: target.0.outside_diameter: {LENGTH} (got "q")'),
        ("vented: yes", '2:9: vented: must be true or false (got "yes")'),
        ("proof:", f"2:7: proof: {PRESSURE} (got nothing)"),
    ],
)
def test_words(text: str, wanted: str) -> None:
    assert only(text) == f"f.yaml:{wanted}"


def test_branches_that_all_refuse_are_told_together() -> None:
    keys = "a mapping with the keys outside_diameter, wall, length"
    wanted = f"f.yaml:2:9: target: must be {keys}, or a list, or text (got 5)"
    assert only("target: 5") == wanted


def test_missing_and_misspelt_and_foreign_keys() -> None:
    assert problems("tubes:\n  - outside_diameter: 60\n    wal: 3\nzzzz: 1\n") == [
        "f.yaml:1:1: job: is missing",
        "f.yaml:2:5: tubes.0.wall: is missing; add it: wall thickness, mm",
        'f.yaml:3:5: tubes.0.wal: unknown key; did you mean "wall"?',
        "f.yaml:4:1: zzzz: unknown key; known keys: job, tubes, loops, at, from, pocket, pattern, depth, "
        "target, vented, tilt, proof, warm, glycol, land",
    ]


def test_yaml_word_for_a_name() -> None:
    assert problems("job: true") == ['f.yaml:1:6: job: must be text (got true); write it in quotes: "true"']


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_every_kind_has_words_of_ours(kind: str) -> None:
    context: dict[str, Any] = dict.fromkeys(
        ("gt", "ge", "lt", "le", "multiple_of", "min_length", "max_length"), 1.0
    )
    context |= {"pattern": "^a$", "error": ValueError("must not be"), "expected": "'a' or 'b'"}
    fault = Fault(kind, ("a",), False, Shop, None, "Input should be PYDANTIC", context, 5)
    words = said(fault)
    assert not any(p in str(words) for p in PYDANTIC)
    assert "{" not in words.what
    assert "PYDANTIC" not in words.what


def test_later_problems_have_places_too() -> None:
    loaded = load_text("job: a\nloops: {left: amber}\ntarget: lefd\n", Shop, "f.yaml")
    known = ["left", "right"]
    found = require_known(loaded, ("target",), "lefd", known, "loop")
    assert str(found) == (
        'f.yaml:3:9: target: there is no loop of this name (got "lefd"); did you mean "left"?'
    )
    assert require_known(loaded, ("target",), "left", known, "loop") is None
    far = require_known(loaded, ("loops", "left"), "qqqq", known, "loop", key=True)
    assert str(far) == (
        'f.yaml:2:9: loops.left: there is no loop of this name (got "qqqq"); known loops: left, right'
    )
    none = require_known(loaded, ("target",), "x", [], "loop")
    assert none is not None
    assert none.do == "there are no loops here"


def test_problem_without_place_or_value() -> None:
    assert str(Problem("x.yaml", 0, 0, "", "there is no such file")) == "x.yaml: there is no such file"
    assert shown("a\n" + "b" * 99).count("b") == 58
    assert shown(10**9999) == "a very large number"
    assert nearest("outside-diameter", ["outside_diameter"]) == "outside_diameter"


def outcome(text: str) -> tuple[Problem, ...]:
    """Problems of a text, none if it gives a model; any other exception is the test's failure."""
    try:
        load_text(text, Shop, "f.yaml")
    except SpecError as error:
        return error.problems
    return ()


def check_words(problems: tuple[Problem, ...]) -> None:
    for problem in problems:
        text = str(problem)
        assert not any(p in text for p in PYDANTIC)
        assert "\n" not in text
        assert problem.line >= 1
        assert text.encode()


@settings(max_examples=300, deadline=None)
@given(st.text(st.sampled_from("ab1:-[]{}&*!|>%@`'\"#,?\n\t \\~<.eExu0é"), max_size=60))
def test_any_text_gives_a_model_or_words(text: str) -> None:
    check_words(outcome(text))


VALUES: Any = st.recursive(
    st.sampled_from(["null", "true", "-3", "5", ".nan", "6 m", "x", '"\\ud800"', "round", "*a", "&a 5"])
    | st.text(max_size=8).map(lambda t: repr(t)),
    lambda inner: (
        st.lists(inner, max_size=4).map(lambda v: f"[{', '.join(v)}]")
        | st.dictionaries(
            st.sampled_from(["kind", "wall", "rows", "outside_diameter", "count", "length", "diameter", "1"]),
            inner,
            max_size=4,
        ).map(lambda d: "{" + ", ".join(f"{k}: {v}" for k, v in d.items()) + "}")
    ),
    max_leaves=8,
)
KEYS = [info.alias or name for name, info in Shop.model_fields.items()]


@settings(max_examples=300, deadline=None)
@given(st.dictionaries(st.sampled_from([*KEYS, "job"]), VALUES, max_size=6))
def test_any_value_anywhere_gives_a_model_or_words(values: dict[str, str]) -> None:
    check_words(outcome("".join(f"{k}: {v}\n" for k, v in values.items())))


def test_time_of_300_lines() -> None:
    tube = "  - {outside_diameter: 60, wall: 5, length: 20 cm}\n"
    text = "job: a\ntubes:\n" + tube * 300
    start = time.process_time()
    with pytest.raises(SpecError, match="at most 3 entries"):
        load_text(text, Shop)
    took = time.process_time() - start
    print(f"\n300 lines: {1000 * took:.0f} ms")
    assert took < 0.25  # the budget of the whole command on such a file; about 0.05 s here
