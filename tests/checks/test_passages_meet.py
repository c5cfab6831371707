"""Gaps between passages by their placed numbers: the quick figure never lies above the careful one."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from rillwright.checks.plan.meeting import gap_at_least, gap_between
from rillwright.layout.features import Feature
from rillwright.pipeline import plan

PARAMS = Path(__file__).parents[2] / "params"
PLACE = st.tuples(*[st.floats(-40, 40)] * 3)
WAY = st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda w: math.hypot(*w) > 0.1)


@cache
def passages() -> tuple[Feature, ...]:
    plates = plan(PARAMS / "studio-twin.yaml").layout.plates
    return tuple(f for p in plates for f in p.features if f.role in ("port", "drilling", "plug"))


def moved(f: Feature, at: tuple[float, ...], way: tuple[float, ...]) -> Feature:
    n = math.hypot(*way)
    return replace(f, origin=(at[0], at[1], at[2]), axis=(way[0] / n, way[1] / n, way[2] / n))


@settings(max_examples=60, deadline=None)
@given(st.data(), PLACE, PLACE, WAY, WAY)
def test_the_quick_figure_is_never_above_the_gap(data: st.DataObject, p: tuple[float, ...], q: tuple[float, ...],
                                                 v: tuple[float, ...], w: tuple[float, ...]) -> None:  # fmt: skip
    a, b = (data.draw(st.sampled_from(passages())) for _ in "ab")
    a, b = moved(a, p, v), moved(b, q, w)
    gap = gap_between(a, b)
    assert gap_at_least(a, b) <= gap + 1e-9
    assert math.isclose(gap, gap_between(b, a), abs_tol=1e-9)
