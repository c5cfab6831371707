"""A taut string: straight between its ends and the circles that it is bent round, tangent to each. Lengths mm, rad."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from ..features import Arc, Line
from ..pockets import Path
from .problem import Point2

SHORT = 1e-7  # mm: shorter pieces are left out
ROUND = 4e-8  # mm²: radius² · angle³ below which the three points of an arc are as good as in a line


@dataclass(frozen=True, slots=True)
class Turn:
    """A circle that the string is bent round: its centre is on the left where `side` is +1. `hint` is the angle that
    it turns by, roughly."""

    centre: Point2
    radius: float
    side: int
    hint: float = 0.0
    fixed: bool = False  # the string has to touch it: a way point


@dataclass(frozen=True, slots=True)
class Bent:
    """Where a string lies on one of its turns: touching points, angle of travel in and angle turned."""

    turn: Turn
    enter: Point2
    leave: Point2
    heading: float
    sweep: float

    @property
    def outside(self) -> tuple[float, float]:
        """Unit vector from the centre to the middle of the arc."""
        a = self.heading + self.sweep / 2 - self.turn.side * math.pi / 2
        return (math.cos(a), math.sin(a))

    @property
    def middle(self) -> Point2:
        (x, y), r, (ux, uy) = self.turn.centre, self.turn.radius, self.outside
        return (x + r * ux, y + r * uy)


@dataclass(frozen=True, slots=True)
class Tight:
    """A string that fits its turns."""

    start: Point2
    end: Point2
    bends: tuple[Bent, ...]

    @property
    def turns(self) -> list[Turn]:
        return [b.turn for b in self.bends]

    @property
    def length(self) -> float:
        total, at = 0.0, self.start
        for b in self.bends:
            total += math.dist(at, b.enter) + abs(b.sweep) * b.turn.radius
            at = b.leave
        return total + math.dist(at, self.end)

    def path(self) -> Path:
        """Lines and tangent arcs."""
        pieces: list[Line | Arc] = []
        at = self.start
        for b in self.bends:
            arc = b.turn.radius**2 * abs(b.sweep) ** 3 > ROUND
            if math.dist(at, b.enter) > SHORT:
                pieces.append(Line(b.enter if arc else b.middle))
                at = pieces[-1].end
            if arc:
                pieces.append(Arc(b.middle, b.leave))
                at = b.leave
        if math.dist(at, self.end) > SHORT or not pieces:
            pieces.append(Line(self.end))
        return Path(self.start, tuple(pieces))


def heading(a: Turn, b: Turn) -> float | None:
    """Angle of travel along the common tangent from one turn to the next; None where there is none."""
    dx, dy = b.centre[0] - a.centre[0], b.centre[1] - a.centre[1]
    d, k = math.hypot(dx, dy), b.side * b.radius - a.side * a.radius
    if d < SHORT or abs(k) > d * (1 + 1e-12):
        return None
    return math.atan2(dy, dx) - math.asin(max(-1.0, min(1.0, k / d)))


def wrapped(angle: float) -> float:
    return (angle + math.pi) % math.tau - math.pi


def tightened(start: Point2, turns: list[Turn], end: Point2) -> Tight | None:
    """The string over the turns in order; those that it does not lean on are left out. None where it cannot be."""
    turns = list(turns)
    while True:
        stops = [Turn(start, 0.0, 1), *turns, Turn(end, 0.0, 1)]
        ways = [heading(a, b) for a, b in pairwise(stops)]
        loose = next((i for i, w in enumerate(ways) if w is None), None)
        if loose is not None:
            return None
        sure = [w for w in ways if w is not None]
        sweeps = [_sweep(t, a, b) for t, a, b in zip(turns, sure, sure[1:], strict=False)]
        slack = [i for i, (t, s) in enumerate(zip(turns, sweeps, strict=True)) if t.side * s < -1e-9 and not t.fixed]
        if not slack:
            bends = tuple(
                Bent(t, _touch(t, a), _touch(t, b), a, s)
                for t, a, b, s in zip(turns, sure, sure[1:], sweeps, strict=False)
            )
            return Tight(start, end, bends)
        worst = min(slack, key=lambda i: turns[i].side * sweeps[i])
        del turns[worst]


def _sweep(t: Turn, a: float, b: float) -> float:
    turned = wrapped(b - a)
    return turned + math.tau * round((t.side * t.hint - turned) / math.tau) if t.hint else turned


def _touch(t: Turn, way: float) -> Point2:
    r = t.side * t.radius
    return (t.centre[0] + r * math.sin(way), t.centre[1] - r * math.cos(way))
