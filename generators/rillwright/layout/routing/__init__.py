"""Channels in plan: one tree a net, clear of each other and of everything else, of lines and tangent arcs.

`route` and `given` load numpy, scipy and shapely when they are called, not before.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from .problem import (
    Circle,
    Closest,
    Net,
    NoRoute,
    Obstacle,
    Point2,
    Polygon,
    Problem,
    RoutedLeg,
    Routing,
    Terminal,
    Unexplained,
    Via,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from .hand import Waypoint

__all__ = [
    "Circle", "Closest", "Net", "NoRoute", "Obstacle", "Point2", "Polygon", "Problem", "RoutedLeg", "Routing",
    "Terminal", "Unexplained", "Via", "given", "route",
]  # fmt: skip


def route(problem: Problem, explained: bool = True) -> Routing:
    """Routes every net that is not given; raises NoRoute, or Unexplained where the reason is not wanted yet."""
    from .router import solve

    return solve(problem, explained=explained)


def given(net: Net, waypoints: Sequence[Waypoint], level: int = 0) -> tuple[RoutedLeg, ...]:
    """Legs of a net drawn by hand, see `hand.legs`."""
    from .hand import legs

    return legs(net, waypoints, level)
