"""Lines and arcs in plan: places along them, distances, corners, parallels that have no room."""

from __future__ import annotations

import math

import pytest

from covered import bent, box
from rillwright.layout import paths
from rillwright.layout.outline import Impossible
from rillwright.layout.parallels import inset, parallel
from rillwright.layout.paths import Bow, Straight
from rillwright.layout.pockets import Area, Path

LINE = bent([(0, 0), (50, 0), (50, 40)], 10)


def test_place_and_direction_half_way_round_the_bend() -> None:
    at, way = paths.place(LINE, 40 + math.pi * 5 / 2)
    k = 10 * math.sin(math.pi / 4)
    assert at == pytest.approx((40 + k, 10 - k))
    assert way == pytest.approx((math.sqrt(0.5), math.sqrt(0.5)))


def test_places_are_even_and_hold_the_ends_of_an_open_line() -> None:
    walked = paths.along(LINE, 7)
    total = paths.length(LINE)
    assert (walked[0][1], walked[-1][1]) == ((0, 0), pytest.approx((50, 40)))
    assert [s for s, _, _ in walked] == pytest.approx([i * total / 13 for i in range(14)])
    for s, p, t in walked:
        assert paths.place(LINE, s) == (pytest.approx(p), pytest.approx(t))


def test_a_closed_line_runs_on_and_has_its_start_once() -> None:
    o = box(40, 20)
    assert len(paths.along(o, 10)) == 12
    assert paths.place(o, 125)[0] == pytest.approx(paths.place(o, 5)[0])


def test_distance_to_arc_inside_its_angle_and_past_its_end() -> None:
    quarter = paths.path([Bow((0, 0), 10, 0, math.pi / 2)])
    assert paths.distance(quarter, (3, 4)) == pytest.approx(5)
    assert paths.distance(quarter, (10, -7)) == pytest.approx(7)


def test_corners_and_smallest_radius() -> None:
    assert paths.corners(LINE) == []
    assert paths.smallest_radius(LINE) == pytest.approx(10)
    assert paths.corners(bent([(0, 0), (50, 0), (50, 40)], 0)) == [(50, 0)]
    assert paths.smallest_radius(box(4, 3)) == 0


def test_walked_backwards_it_is_the_same_line() -> None:
    back = paths.reversed_path(LINE)
    assert (back.start, back.pieces[-1].end) == (pytest.approx((50, 40)), pytest.approx((0, 0)))
    assert paths.length(back) == pytest.approx(paths.length(LINE))


def test_pieces_that_go_on_are_made_one() -> None:
    two = [Straight((0, 0), (3, 0)), Straight((3, 0), (9, 0)), Bow((9, 5), 5, -math.pi / 2, 0.4),
           Bow((9, 5), 5, -math.pi / 2 + 0.4, 0.6)]  # fmt: skip
    one = paths.merged(two)
    assert [round(p.length, 9) for p in one] == [9, 5]


def test_region_with_an_island() -> None:
    whole = paths.region(Area(box(40, 20), (box(10, 10),)))
    assert whole.area == pytest.approx(700)


def test_parallel_past_the_centre_of_an_arc_says_where() -> None:
    with pytest.raises(Impossible, match=r"10\.5 mm beside another has no room at x 40\.00, y 0\.00"):
        parallel(LINE, 10.5)


def test_parallel_of_a_leg_too_short_for_it_says_so() -> None:
    zigzag = Path((0, 0), bent([(0, 0), (30, 0), (30, 4), (0, 4)], 0).pieces)
    with pytest.raises(Impossible, match="has no room"):
        parallel(zigzag, 6)


def test_nothing_left_within_a_narrow_plate() -> None:
    with pytest.raises(Impossible, match="nothing whole is left 6 mm within"):
        inset(box(40, 11), 6)


def test_a_path_without_length_is_refused() -> None:
    with pytest.raises(Impossible, match="no length"):
        paths.path([Straight((1, 1), (1, 1))])
