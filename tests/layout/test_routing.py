"""The router: every answer passes the independent check; the same seed gives the same answer; failures explain."""

from __future__ import annotations

import math
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rillwright.layout.features import Arc
from rillwright.layout.routing import (
    Circle,
    Net,
    NoRoute,
    Obstacle,
    Polygon,
    Problem,
    Terminal,
    Unexplained,
    route,
)
from rillwright.layout.routing import given as drawn
from rillwright.layout.routing.clearance import check
from rillwright.layout.routing.hand import NotDrawable, Waypoint
from rillwright.layout.routing.picture import svg
from routing_cases import pinned, rectangle, strewn, thin_webs


def small(seed: int, levels: int = 1) -> Problem:
    return strewn(seed, ends=(2, 2, 3), holes=26, length=200, width=120, levels=levels)


@settings(max_examples=6, deadline=None, derandomize=True)
@given(st.integers(0, 10_000), st.sampled_from([1, 2]), st.sampled_from([0.0, 1.5]))
def test_every_routed_case_passes_the_independent_check(seed: int, levels: int, margin: float) -> None:
    p = small(seed, levels)
    p = replace(p, nets=tuple(replace(n, margin=margin) for n in p.nets))
    try:
        routing = route(p)
    except NoRoute:
        return
    found = check(p, routing)
    assert found.faults == ()
    assert found.smallest.spare >= -1e-3
    assert all(routing.length[n] >= 0.9 * v for n, v in routing.steiner.items() if levels == 1)


def test_the_same_seed_gives_the_same_routing() -> None:
    assert route(small(3)) == route(small(3))


def test_lines_and_arcs_run_on_smoothly() -> None:
    routing = route(small(3))
    legs = [leg for of in routing.paths.values() for leg in of]
    assert any(isinstance(p, Arc) for leg in legs for p in leg.path.pieces)
    from rillwright.layout.paths import corners

    assert [c for leg in legs for c in corners(leg.path, 2e-3)] == []


def two(length: float, width: float) -> Problem:
    """Two nets that cross, and a wall that leaves one way round at the most."""
    a = Net("a", "hot", 8, (Terminal("a-left", (-60, 0), 6), Terminal("a-right", (60, 0), 6)))
    b = Net("b", "cold", 8, (Terminal("b-front", (0, -35), 6), Terminal("b-back", (0, 35), 6)))
    return Problem(rectangle(length, width), 3.0, (a, b), (), 3.0, 3.0)


def test_crossing_nets_without_a_way_round_name_each_other_and_what_cures() -> None:
    p = two(150, 90)
    with pytest.raises(NoRoute) as failed:
        route(p)
    why = failed.value
    assert {why.net, *why.blockers} >= {"a", "b"}
    assert any("second level" in c for c in why.cures)
    routing = route(replace(p, levels=2))
    assert len(routing.vias) >= 1
    assert check(replace(p, levels=2), routing).faults == ()


def test_a_narrow_place_is_measured_and_the_thinner_channel_works() -> None:
    screws = tuple(Obstacle(f"screw-{i}", Circle((0.0, 18.0 * i - 54.0), 2.5), 3.0) for i in range(7))
    a = Net("a", "hot", 10, (Terminal("a-left", (-60, 0), 6), Terminal("a-right", (60, 0), 6)))
    p = Problem(rectangle(200, 100), 3.0, (a,), screws, 3.0, 3.0)
    with pytest.raises(NoRoute) as failed:
        route(p)
    why = failed.value
    assert why.net == "a"
    assert why.width == pytest.approx(18 - 2 * 5.5, abs=1e-6)  # from screw to screw, less both clearances
    assert len([b for b in why.blockers if b.startswith("screw-")]) == 2
    thin = next(c for c in why.cures if "mm wide" in c)
    width = float(thin.split("channel of a ")[1].split()[0])
    assert route(replace(p, nets=(replace(a, width=width),))).length["a"] < 160


def test_a_given_net_stays_and_the_others_keep_off() -> None:
    p = two(220, 110)
    legs = drawn(p.net("b"), [Waypoint((0, -35)), Waypoint((70, -25), 12), Waypoint((85, 0), 10), Waypoint((60, 40), 12),
                              Waypoint((0, 35))])  # fmt: skip
    q = replace(p, given={"b": legs})
    routing = route(q)
    assert routing.paths["b"] == legs
    assert check(q, routing).faults == ()


@pytest.mark.parametrize(
    ("points", "number"),
    [([Waypoint((0, 0))], 0), ([Waypoint((0, 0)), Waypoint((10, 0), 12), Waypoint((10, 8))], 1),
     ([Waypoint((0, 0)), Waypoint((20, 0), 8), Waypoint((20, 12), 8), Waypoint((0, 12))], 2)],
)  # fmt: skip
def test_a_fillet_without_room_is_refused(points: list[Waypoint], number: int) -> None:
    with pytest.raises(NotDrawable) as failed:
        drawn(Net("a", "hot", 6, ()), points)
    assert failed.value.number == number


def test_pins_are_passed_and_bends_that_must_be_wide_are() -> None:
    a = Net("a", "hot", 6, (Terminal("a-left", (-80, -20), 6), Terminal("a-right", (80, -20), 6)),
            pins=((0.0, 30.0),), bend_radius=15.0, bend_must=True)  # fmt: skip
    block = Obstacle("block", Polygon(((-30, -60), (30, -60), (30, 0), (-30, 0))), 3.0)
    p = Problem(rectangle(220, 120), 3.0, (a,), (block,), 3.0, 3.0)
    routing = route(p)
    assert check(p, routing).faults == ()
    least = math.dist((-80, -20), (0, 30)) + math.dist((0, 30), (80, -20))
    assert least <= routing.length["a"] < 1.06 * least


def test_the_picture_holds_every_net_and_obstacle() -> None:
    p = small(3)
    root = ElementTree.fromstring(svg(p, route(p)))
    text = "".join(root.itertext())
    assert all(t.name in text for n in p.nets for t in n.terminals)
    assert all(o.name in text for o in p.obstacles)


def posts(gap: float) -> Problem:
    """A wall between two ends, and two more behind it that leave `gap` mm over its top."""
    a = Net("a", "hot", 6, (Terminal("a-left", (-90, 0), 4), Terminal("a-right", (90, 0), 4)), bend_radius=25.0,
            bend_must=True)  # fmt: skip
    low = Obstacle("low", Polygon(((-4, -70), (4, -70), (4, 10), (-4, 10))), 3.0)
    left = Obstacle("left", Polygon(((-34, 10 + gap), (-26, 10 + gap), (-26, 70), (-34, 70))), 3.0)
    right = Obstacle("right", Polygon(((26, 10 + gap), (34, 10 + gap), (34, 70), (26, 70))), 3.0)
    return Problem(rectangle(240, 140), 3.0, (a,), (low, left, right), 3.0, 3.0)


def test_a_bend_that_finds_no_room_is_named() -> None:
    with pytest.raises(NoRoute) as failed:
        route(posts(-12.0))
    bend = failed.value.bend
    assert bend is not None
    assert bend.net == "a"
    assert bend.radius < 25.0
    assert any("bends of" in c for c in failed.value.cures)


def test_a_wide_bend_is_kept_where_there_is_room() -> None:
    p = posts(30.0)
    assert check(p, route(p)).faults == ()


def test_a_channel_is_led_wider_where_its_bend_found_no_room() -> None:
    p = strewn(6, ends=(2, 2, 2, 2), widths=(6, 8))  # the shortest way has a bend too tight: it fails without
    p = replace(p, nets=tuple(replace(n, bend_radius=30.0, bend_must=True) for n in p.nets))
    assert check(p, route(p)).faults == ()


@settings(max_examples=10, deadline=None, derandomize=True)
@given(st.integers(0, 10_000))
def test_folds_of_one_net_leave_no_thin_web(seed: int) -> None:
    p = strewn(seed, ends=(2, 5), holes=26, length=200, width=120)
    try:
        routing = route(p, explained=False)
    except Unexplained:
        return
    assert [thin_webs(p, n.name, routing) for n in p.nets] == [[], []]


@settings(max_examples=4, deadline=None, derandomize=True)
@given(st.sampled_from([3, 9, 10, 13]))  # in two of them the pins can be passed in their order
def test_a_channel_through_pins_neither_ends_at_one_nor_crosses_itself(seed: int) -> None:
    p = pinned(seed)
    try:
        routing = route(p, explained=False)
    except Unexplained:
        return
    assert check(p, routing).faults == ()
    assert [thin_webs(p, n.name, routing) for n in p.nets] == [[], []]


def test_a_fold_that_a_hole_presses_on_the_way_out_pushes_it_away() -> None:
    hole = Obstacle("hole", Circle((0.0, 20.0), 5.0), 3.0)
    ends = (Terminal("out", (-60.0, 0.0), 4.0), Terminal("back", (-60.0, 14.0), 4.0))
    a = Net("a", "hot", 8, ends, pins=((50.0, 0.0), (62.0, 10.0), (50.0, 20.0)))
    p = Problem(rectangle(200, 100), 3.0, (a,), (hole,), 3.0, 2.0)
    routing = route(p)
    assert check(p, routing).faults == ()
    assert thin_webs(p, "a", routing) == []
