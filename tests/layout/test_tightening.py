"""Order of screws on a cover: each once, from the middle outwards, crosswise."""

from __future__ import annotations

import math

from hypothesis import given, settings
from hypothesis import strategies as st

from rillwright.layout.tightening import GROUP, outwards

places = st.lists(st.tuples(st.floats(-500, 500), st.floats(-500, 500)), max_size=40)


def test_nothing_to_tighten() -> None:
    assert outwards([]) == []


def test_four_corners_go_across() -> None:
    order = outwards([(-10, -10), (10, -10), (10, 10), (-10, 10)])
    assert abs(order[0] - order[1]) == 2  # the corner opposite to the first
    assert sorted(order) == [0, 1, 2, 3]


def test_a_row_begins_in_the_middle_and_ends_at_its_ends() -> None:
    order = outwards([(20.0 * i, 0.0) for i in range(9)])
    assert order[0] == 4
    assert set(order[-1:]) <= {0, 8}


@settings(max_examples=50, deadline=None)
@given(places)
def test_each_screw_once_and_none_far_out_before_one_near_the_middle(at: list[tuple[float, float]]) -> None:
    order = outwards(at)
    assert sorted(order) == list(range(len(at)))
    if at:
        middle = (sum(x for x, _ in at) / len(at), sum(y for _, y in at) / len(at))
        off = [math.dist(at[i], middle) for i in order]
        for k in range(GROUP, len(off)):
            assert off[k] >= max(off[: GROUP * (k // GROUP)]) - 1e-5
