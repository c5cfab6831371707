"""Length and sharpest turn of lines in plan, against closed forms."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rillwright.layout import paths, plan_line
from rillwright.layout.features import Arc, Line
from rillwright.layout.pockets import Path


def circle(r: float, x: float = 0.0, y: float = 0.0) -> Path:
    return Path((x + r, y), (Arc((x, y + r), (x - r, y)), Arc((x, y - r), (x + r, y))), closed=True)


@settings(max_examples=30, deadline=None)
@given(r=st.floats(0.5, 300), x=st.floats(-100, 100), y=st.floats(-100, 100))
def test_a_circle(r: float, x: float, y: float) -> None:
    path = circle(r, x, y)
    assert paths.length(path) == pytest.approx(math.tau * r, rel=1e-6)
    assert paths.smallest_radius(path) == pytest.approx(r, rel=1e-6)
    assert plan_line.is_circle(path)


def test_a_slot_has_the_radius_of_its_ends() -> None:
    path = Path((-10, -5), (Line((10, -5)), Arc((15, 0), (10, 5)), Line((-10, 5)), Arc((-15, 0), (-10, -5))), closed=True)
    assert paths.length(path) == pytest.approx(40 + math.tau * 5)
    assert paths.smallest_radius(path) == pytest.approx(5)
    assert not plan_line.is_circle(path)


def test_a_sharp_corner_has_no_radius() -> None:
    square = Path((0, 0), (Line((10, 0)), Line((10, 10)), Line((0, 10)), Line((0, 0))), closed=True)
    assert paths.smallest_radius(square) == 0
    turned = Path((-10, -5), (Line((10, -5)), Arc((15, 0), (10, 5)), Line((-10, 5)), Line((-10, -5))), closed=True)
    assert paths.smallest_radius(turned) == 0
    assert paths.smallest_radius(Path((0, 0), (Line((5, 0)),))) == math.inf


def test_an_arc_may_turn_either_way() -> None:
    left = Path((5, 0), (Arc((5 * math.sqrt(0.5), 5 * math.sqrt(0.5)), (0, 5)),))
    right = Path((0, 5), (Arc((5 * math.sqrt(0.5), 5 * math.sqrt(0.5)), (5, 0)),))
    assert paths.length(left) == pytest.approx(5 * math.pi / 2) == paths.length(right)
