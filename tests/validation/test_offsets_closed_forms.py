"""Parallels, outsets, insets and grooves against closed forms.

Convex sets (Steiner 1840; Santaló, Integral Geometry and Geometric Probability, I.1): A(r) = A + P r + π r²,
P(r) = P + 2π r. A band of constant width along a closed smooth line (Pappus; Weyl's tube formula in the plane): w·L.
Groove corners: seal suppliers' handbooks, inside radius in plan at least 3 cord diameters.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from covered import box, channel, tree
from rillwright.layout import paths
from rillwright.layout.features import Line, Outline
from rillwright.layout.parallels import inset, outset, parallel
from rillwright.layout.paths import Bow, Straight
from rillwright.layout.pockets import Path, Pocket, Stroke
from rillwright.layout.sealing.ring import around_plate, ring

QUICK = settings(max_examples=25, deadline=None)


def convex(angles: list[float], a: float, b: float) -> Outline:
    """A convex polygon on an ellipse, counter-clockwise."""
    points = [(a * math.cos(t), b * math.sin(t)) for t in sorted(angles)]
    return Outline(points[0], tuple(Line(p) for p in [*points[1:], points[0]]))


corners = st.lists(st.integers(0, 359), min_size=4, max_size=12, unique=True).map(
    lambda d: [math.radians(v) for v in d]
).filter(lambda t: all((b - a) % math.tau < 3 for a, b in zip(sorted(t), [*sorted(t)[1:], sorted(t)[0]], strict=True)))


@QUICK
@given(corners, st.floats(20, 80), st.floats(20, 80), st.floats(0.5, 30))
def test_steiner_formula_of_convex_polygons(angles: list[float], a: float, b: float, r: float) -> None:
    o = convex(angles, a, b)
    area, around = paths.area(o), paths.length(o)
    for out in (outset(o, r), parallel(o, -r)):
        assert paths.area(out) == pytest.approx(area + around * r + math.pi * r * r, rel=1e-9)
        assert paths.length(out) == pytest.approx(around + math.tau * r, rel=1e-9)


def test_rectangle_inwards_and_its_rounded_corners() -> None:
    o = box(40, 20)
    assert paths.area(inset(o, 3)) == pytest.approx(34 * 14, abs=1e-9)
    rounded = inset(o, 3, rounding=5)
    assert paths.area(rounded) == pytest.approx(34 * 14 - (4 - math.pi) * 25, abs=1e-9)
    assert paths.length(rounded) == pytest.approx(2 * (34 + 14) - 8 * 5 + math.tau * 5, abs=1e-9)


def test_ring_of_a_straight_channel_is_a_stadium() -> None:
    """Around a channel 8 wide and 100 long between its ends: legs of 100 and two half circles of 4 + 2 + 1.4."""
    r = ring([channel("c", [(-50, 0), (50, 0)])], box(200, 100), 2, 2.8, 2, 2, 6)
    assert r.length == pytest.approx(200 + math.tau * 7.4, abs=1e-9)
    assert paths.area(r.path) == pytest.approx(1480 + math.pi * 7.4**2, abs=1e-9)


def test_ring_of_a_right_angle() -> None:
    """An L of two legs of 60 mm: a quarter of 7.4 outside, of 12 + 1.4 inside (6 cord diameters, half the groove)."""
    r = ring([channel("c", [(60, 0), (0, 0), (0, 60)])], box(300, 300), 2, 2.8, 2, 2, 6)
    straight = 60 + 60 + 2 * (60 - 7.4 - 13.4)
    assert r.length == pytest.approx(straight + math.pi * 7.4 * 2 + math.pi / 2 * (7.4 + 13.4), abs=1e-9)


def test_groove_round_a_plate() -> None:
    r = around_plate(box(400, 200), 10, 2.8, 6)
    assert r.length == pytest.approx(2 * (380 + 180) - 8 * 7.4 + math.tau * 7.4, abs=1e-9)
    assert r.smallest_radius == pytest.approx(6, abs=1e-9)


@QUICK
@given(st.integers(0, 10_000))
def test_band_of_a_ring_is_width_times_length(seed: int) -> None:
    r = ring(tree(seed), box(1000, 1000), 2, 2.8, 2, 2, 6)
    band = paths.region(Stroke(r.path, 2.8)).area
    assert band == pytest.approx(2.8 * r.length, rel=2e-4)  # chords lie inside their arcs
    assert paths.area(parallel(r.path, -1.4)) - paths.area(parallel(r.path, 1.4)) == pytest.approx(2.8 * r.length)


@pytest.mark.parametrize("d", [1.78, 2.0, 2.62, 3.0, 3.53])
def test_no_groove_bends_tighter_than_three_cords(d: float) -> None:
    for seed in range(6):
        r = ring(tree(seed), box(1000, 1000), d, 1.4 * d, 2, 2, 3 * d)
        assert r.smallest_radius >= 3 * d - 1e-9
        assert paths.corners(r.path) == []


@QUICK
@given(st.lists(st.tuples(st.floats(2, 40), st.floats(-3, 3)), min_size=1, max_size=6), st.floats(0.1, 1.5))
def test_parallel_of_a_smooth_line_changes_its_length_by_its_turning(bends: list[tuple[float, float]], d: float) -> None:
    """Length of a parallel: L − d·(total turning), with no arc tighter than d (the plane's curvature formula)."""
    at, way, made = (0.0, 0.0), 0.0, []
    for run, turn in bends:
        end = (at[0] + run * math.cos(way), at[1] + run * math.sin(way))
        made.append(Straight(at, end))
        at, sign = end, math.copysign(1.0, turn)
        if abs(turn) > 1e-3:
            centre = (at[0] - sign * 5 * math.sin(way), at[1] + sign * 5 * math.cos(way))
            made.append(Bow(centre, 5.0, way - sign * math.pi / 2, turn))
            at, way = made[-1].end, way + turn
    line = paths.path(made)
    assert paths.length(parallel(line, d)) == pytest.approx(paths.length(line) - d * way, abs=1e-6)


def test_volume_of_a_channel_is_its_plan_times_depth() -> None:
    """A stroke's plan: width times length and one full circle at its two ends."""
    p = channel("c", [(0, 0), (50, 0), (50, 40)], 8, bend=10)
    assert isinstance(p, Pocket)
    assert isinstance(p.shape, Stroke)
    length = 50 + 40 - 2 * 10 + math.pi * 5
    assert paths.length(p.shape.path) == pytest.approx(length, abs=1e-9)
    assert paths.region(p).area == pytest.approx(8 * length + math.pi * 16, rel=1e-4)


def test_full_circle_and_both_ways_round() -> None:
    c = paths.circle((3, 4), 5)
    assert (paths.area(c), paths.length(c)) == pytest.approx((25 * math.pi, 10 * math.pi))
    assert paths.area(paths.reversed_path(c)) == pytest.approx(-25 * math.pi)
    assert paths.area(outset(c, 2)) == pytest.approx(49 * math.pi)
    assert paths.area(inset(c, 2)) == pytest.approx(9 * math.pi)
    assert isinstance(c, Path)
