"""Lengths of routed channels against closed forms.

Steiner trees: Gilbert and Pollak, Steiner minimal trees, SIAM J. Appl. Math. 16 (1968): three points seen from each
other under less than 120° meet at 120°, else the two shorter sides are the tree; the four corners of a square need
(1 + √3) times its side. Shortest ways round a circle or a corner: tangents and an arc.
"""

from __future__ import annotations

import math

import pytest

from rillwright.layout.routing import Circle, Net, Obstacle, Point2, Polygon, Problem, Terminal, Via, route
from rillwright.layout.routing.clearance import check
from routing_cases import rectangle

WIDTH, WALL = 6.0, 3.0


def net(name: str, points: list[Point2], width: float = WIDTH) -> Net:
    return Net(name, name, width, tuple(Terminal(f"{name}-{i}", p, width / 2) for i, p in enumerate(points)))


def routed(nets: list[Net], obstacles: tuple[Obstacle, ...] = ()) -> dict[str, float]:
    problem = Problem(rectangle(260, 180), 3.0, tuple(nets), obstacles, WALL, WALL)
    routing = route(problem)
    assert check(problem, routing).faults == ()
    return routing.length


def test_three_ends_of_an_equilateral_triangle() -> None:
    side = 80.0
    points = [(0.0, 0.0), (side, 0.0), (side / 2, side * math.sqrt(3) / 2)]
    assert routed([net("a", points)])["a"] == pytest.approx(side * math.sqrt(3), rel=1e-4)


def test_three_ends_at_120_degrees_of_their_middle() -> None:
    points = [(50 * math.cos(a), 50 * math.sin(a)) for a in (0.3, 0.3 + math.tau / 3, 0.3 + 2 * math.tau / 3)]
    assert routed([net("a", points)])["a"] == pytest.approx(150, rel=1e-4)


def test_an_angle_beyond_120_degrees_needs_no_fork() -> None:
    points = [(-60.0, 0.0), (0.0, 10.0), (60.0, 0.0)]
    assert routed([net("a", points)])["a"] == pytest.approx(2 * math.hypot(60, 10), rel=1e-4)


def test_the_corners_of_a_square() -> None:
    points = [(-45.0, -45.0), (45.0, -45.0), (45.0, 45.0), (-45.0, 45.0)]
    assert routed([net("a", points)])["a"] == pytest.approx(90 * (1 + math.sqrt(3)), rel=2e-4)


def test_a_straight_way_is_straight() -> None:
    assert routed([net("a", [(-70.0, -31.0), (53.0, 40.0)])])["a"] == pytest.approx(math.hypot(123, 71), abs=1e-6)


def round_a_circle(a: float, r: float) -> float:
    """From (−a, 0) to (a, 0) round a circle of radius r about the origin."""
    return 2 * math.sqrt(a * a - r * r) + 2 * r * math.asin(r / a)


@pytest.mark.parametrize("radius", [0.5, 4.0, 11.0, 25.0])
def test_round_a_circle(radius: float) -> None:
    hole = Obstacle("hole", Circle((0.0, 0.0), radius), WALL)
    length = routed([net("a", [(-70.0, 0.0), (70.0, 0.0)])], (hole,))["a"]
    assert length == pytest.approx(round_a_circle(70.0, radius + WALL + WIDTH / 2), abs=2e-3)


def test_two_nets_round_one_circle_nest() -> None:
    hole = Obstacle("hole", Circle((0.0, 0.0), 8.0), WALL)
    outer, inner = net("outer", [(-70.0, 20.0), (70.0, 20.0)]), net("inner", [(-60.0, 0.0), (60.0, 0.0)])
    fence = Obstacle("fence", Polygon(((-3.0, -90.0), (3.0, -90.0), (3.0, 0.0), (-3.0, 0.0))), WALL)
    length = routed([outer, inner], (hole, fence))
    r = 8.0 + WALL + WIDTH / 2
    assert length["inner"] == pytest.approx(round_a_circle(60.0, r), abs=2e-3)
    far, d = r + WIDTH + WALL, math.hypot(70.0, 20.0)
    turned = 2 * (math.asin(far / d) - math.atan2(20.0, 70.0))
    assert length["outer"] == pytest.approx(2 * math.sqrt(d * d - far * far) + far * turned, abs=2e-3)


def test_round_a_block() -> None:
    a, u, v = 70.0, 20.0, 15.0
    block = Obstacle("block", Polygon(((-u, -60.0), (u, -60.0), (u, v), (-u, v))), WALL)
    length = routed([net("a", [(-a, 0.0), (a, 0.0)])], (block,))["a"]
    r, d = WALL + WIDTH / 2, math.hypot(a - u, v)
    turned = math.atan2(v, a - u) + math.asin(r / d)
    assert length == pytest.approx(2 * math.sqrt(d * d - r * r) + 2 * r * turned + 2 * u, abs=2e-3)


def test_the_check_sees_a_hundredth_too_little() -> None:
    """A hand-set straight channel beside a hole: distance known, no router between."""
    from rillwright.layout.features import Line
    from rillwright.layout.pockets import Path
    from rillwright.layout.routing import Closest, RoutedLeg, Routing

    a = net("a", [(-50.0, 0.0), (50.0, 0.0)])
    for y, faults in ((9.0, 0), (9.0 - 5e-4, 0), (9.0 - 1e-2, 1)):
        hole = Obstacle("hole", Circle((0.0, y + 1.0), 4.0), WALL)  # needs 3 + 3 + 4 from the middle line
        problem = Problem(rectangle(260, 180), 3.0, (a,), (hole,), WALL, WALL)
        leg = RoutedLeg(Path((-50.0, 0.0), (Line((50.0, 0.0)),)), 0, ("a-0", "a-1"))
        found = check(problem, Routing({"a": (leg,)}, (), {}, {}, Closest(0.0, ("", ""), (0.0, 0.0))))
        assert len(found.faults) == faults
        assert found.smallest.spare == pytest.approx(y - 9.0, abs=3e-4)
        assert found.smallest.spare <= y - 9.0 + 1e-9


def test_the_check_sees_a_via_too_near_on_the_other_level() -> None:
    from rillwright.layout.features import Line
    from rillwright.layout.pockets import Path
    from rillwright.layout.routing import Closest, RoutedLeg, Routing

    a, b = net("a", [(-50.0, 0.0), (50.0, 0.0)]), net("b", [(0.0, 40.0), (0.0, 60.0)])
    problem = Problem(rectangle(260, 180), 3.0, (a, b), (), WALL, WALL, levels=2)
    legs = {
        "a": (RoutedLeg(Path((-50.0, 0.0), (Line((50.0, 0.0)),)), 0, ("a-0", "a-1")),),
        "b": (RoutedLeg(Path((0.0, 40.0), (Line((0.0, 60.0)),)), 0, ("b-0", "b-1")),),
    }
    via = Via("b", (0.0, 8.0), 6.0, "b-via")
    found = check(problem, Routing(legs, (via,), {}, {}, Closest(0.0, ("", ""), (0.0, 0.0))))
    assert [f for f in found.faults if "b-via" in f]
