"""Words for what is done by hand: which edge goes up, what stays when it is drained, what to read as well."""

from __future__ import annotations

import math
from typing import Any

import pytest

from rillwright.checks.air import leaning
from rillwright.checks.plan.leak_test import Readings, answer
from rillwright.export.sheets.test_page import _draining
from rillwright.spec.kinds import MEANT
from rillwright.spec.reservoir import TubeMaterial
from rillwright.spec.sheet import PlateMaterial

S, C = math.sin(math.radians(15)), math.cos(math.radians(15))


@pytest.mark.parametrize(("stand", "up", "words"), [
    ((0, 0, 1), (S, 0, C), "right edge"), ((0, 0, 1), (-S, 0, C), "left edge"), ((0, 0, 2), (0, -S, C), "front edge"),
    ((0, 1, 0), (0.183, 0.966, -0.183), "right edge and under side"), ((1, 0, 0), (C, S, 0), "back edge"),
    ((0, 0, -1), (S * 0.99, S * 0.14, -C), "right edge"),
])  # fmt: skip
def test_the_side_that_goes_up_is_named(stand: tuple[float, ...], up: tuple[float, ...], words: str) -> None:
    """Points of the named side lie higher along the new up than along the old one (by the scalar product)."""
    assert leaning(stand, up, 15) == f"lean its {words} up 15°"


@pytest.mark.parametrize(("left", "words"), [(0.0, "runs empty"), (0.04, "runs empty"), (0.06, "0.1 mL stay and have")])
def test_nothing_is_drawn_out_of_an_empty_loop(left: float, words: str) -> None:
    s: dict[str, Any] = {"drain": "low", "by_port": [{"port": "low", "undrained_ml": left}], "trapped_ml": 0.0,
                         "undrained_ml": left}  # fmt: skip
    told = _draining("low", s)
    assert words in told
    assert "0.0 mL" not in told


def test_a_verdict_names_the_options_that_decide_it() -> None:
    bare = answer(Readings(0.3, 0.288, 60.0), 300.0)
    assert bare.verdict == "undecided"
    assert "(--start-temperature, --end-temperature, --start-barometer, --end-barometer)" in bare.why
    read = answer(Readings(0.3, 0.288, 60.0, celsius=(20.0, 20.0)), 300.0)
    assert "-temperature" not in read.why


def test_names_of_the_trade_lead_to_materials_that_there_are() -> None:
    assert set(MEANT.values()) <= {*PlateMaterial.__args__, *TubeMaterial.__args__}
    assert (MEANT["acetal"], MEANT["acrylic"]) == ("pom-c", "pmma-cast")
