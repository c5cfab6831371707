"""Channels drawn by hand: way points, straight legs with filleted corners and arcs. Lengths mm, angles rad."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ..features import Arc, Line
from ..pockets import Path
from .problem import Net, Point2, RoutedLeg


@dataclass(frozen=True, slots=True)
class Waypoint:
    """The next point of a way. `radius` rounds the corner here; `through` makes the leg to here an arc through it."""

    at: Point2
    radius: float = 0.0
    through: Point2 | None = None


class NotDrawable(ValueError):
    """A way that cannot be drawn: `number` of the way point (from 0), `what` is wrong, what to `do`."""

    def __init__(self, number: int, what: str, do: str) -> None:
        super().__init__(f"way point {number + 1}: {what}; {do}")
        self.number, self.what, self.do = number, what, do


def legs(net: Net, waypoints: Sequence[Waypoint], level: int = 0) -> tuple[RoutedLeg, ...]:
    """Legs between the terminals and way points of a net, cut where the way passes a terminal.

    Raises NotDrawable for fewer than two points, a fillet that finds no room, or one beside an arc.
    """
    if len(waypoints) < 2:
        raise NotDrawable(0, "a way needs two points at least", "add the point where it ends")
    named = {t.at: t.name for t in net.terminals}
    out: list[RoutedLeg] = []
    begin = 0
    for i in range(1, len(waypoints)):
        last = i == len(waypoints) - 1
        name = _named(waypoints[i].at, named)
        if name or last:
            part = waypoints[begin : i + 1]
            ends = (_named(part[0].at, named) or f"{net.name}-start", name or f"{net.name}-end")
            out.append(RoutedLeg(_path(part, begin), level, ends))
            begin = i
    return tuple(out)


def _named(at: Point2, named: dict[Point2, str]) -> str:
    return next((n for p, n in named.items() if math.dist(p, at) < 1e-6), "")


def _path(points: Sequence[Waypoint], first: int) -> Path:
    pieces: list[Line | Arc] = []
    at = points[0].at
    for i in range(1, len(points)):
        w = points[i]
        if w.through is not None:
            pieces.append(Arc(w.through, w.at))
            at = w.at
            continue
        if i < len(points) - 1 and w.radius > 0:
            if points[i + 1].through is not None:
                raise NotDrawable(first + i, "a fillet beside an arc", "leave the radius out, or make the leg straight")
            enter, middle, leave = _fillet(points[i - 1].at, w, points[i + 1].at, first + i)
            if math.dist(points[i - 1].at, enter) < math.dist(points[i - 1].at, at) - 1e-9:
                raise NotDrawable(first + i, "its fillet runs into the one before", "make one of the radii smaller")
            if math.dist(at, enter) > 1e-9:
                pieces.append(Line(enter))
            if math.dist(enter, leave) > 1e-9:
                pieces.append(Arc(middle, leave))
            at = leave
        elif math.dist(at, w.at) > 1e-9:
            if math.dist(points[i - 1].at, w.at) < math.dist(points[i - 1].at, at) - 1e-9:
                raise NotDrawable(first + i, "the fillet before runs past it", "make that radius smaller")
            pieces.append(Line(w.at))
            at = w.at
    return Path(points[0].at, tuple(pieces))


def _fillet(a: Point2, w: Waypoint, c: Point2, number: int) -> tuple[Point2, Point2, Point2]:
    """Where a fillet begins, its middle and where it ends."""
    b = w.at
    lu, lv = math.dist(a, b), math.dist(b, c)
    if min(lu, lv) < 1e-9:
        raise NotDrawable(number, "it lies on its neighbour", "leave one of the two out")
    u = ((a[0] - b[0]) / lu, (a[1] - b[1]) / lu)
    v = ((c[0] - b[0]) / lv, (c[1] - b[1]) / lv)
    turn = math.pi - math.acos(max(-1.0, min(1.0, u[0] * v[0] + u[1] * v[1])))
    if turn < 1e-6:
        return b, b, b
    if turn > math.pi - 1e-6:
        raise NotDrawable(number, "the way turns straight back", "move the point")
    t = w.radius * math.tan(turn / 2)
    if t > min(lu, lv) + 1e-9:
        raise NotDrawable(number, f"a fillet of {w.radius:g} mm needs {t:.2f} mm of straight on both sides, "
                          f"there are {min(lu, lv):.2f}", "make the radius smaller or move the point")  # fmt: skip
    s = (u[0] + v[0], u[1] + v[1])
    n = math.hypot(*s)
    far = w.radius * (1 / math.cos(turn / 2) - 1)
    return (
        (b[0] + t * u[0], b[1] + t * u[1]), (b[0] + far * s[0] / n, b[1] + far * s[1] / n),
        (b[0] + t * v[0], b[1] + t * v[1]),
    )  # fmt: skip
