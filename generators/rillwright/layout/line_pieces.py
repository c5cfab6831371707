"""The two pieces that lines in plan are made of: straight ones and true arcs. Everything exact but chords. Lengths mm."""

from __future__ import annotations

import math
from dataclasses import dataclass

from .pockets import Point2

QUARTER = 32  # chords a quarter turn at least
NOTHING = 1e-9  # mm: shorter is no piece
FLAT = 1e-9  # mm²: chord times height of an arc whose three points lie in a line


@dataclass(frozen=True, slots=True)
class Straight:
    """A straight piece from `start` to `end`, mm."""

    start: Point2
    end: Point2

    @property
    def length(self) -> float:
        return math.dist(self.start, self.end)

    def at(self, s: float) -> tuple[Point2, Point2]:
        """Point and unit direction at `s` mm from the start."""
        n = self.length
        t = ((self.end[0] - self.start[0]) / n, (self.end[1] - self.start[1]) / n)
        return (self.start[0] + s * t[0], self.start[1] + s * t[1]), t

    def parallel(self, left: float) -> Straight:
        (_, (tx, ty)), (a, b) = self.at(0.0), (self.start, self.end)
        return Straight((a[0] - left * ty, a[1] + left * tx), (b[0] - left * ty, b[1] + left * tx))

    def chords(self, _tolerance: float) -> list[Point2]:
        return [self.end]

    def distance(self, p: Point2) -> float:
        """Smallest distance of a point, mm."""
        (x, y), (tx, ty) = self.at(0.0)
        s = min(self.length, max(0.0, (p[0] - x) * tx + (p[1] - y) * ty))
        return math.dist(p, (x + s * tx, y + s * ty))


@dataclass(frozen=True, slots=True)
class Bow:
    """A circular piece round `centre` from angle `first` (radians) through `sweep`, counter-clockwise positive."""

    centre: Point2
    radius: float
    first: float
    sweep: float

    @property
    def length(self) -> float:
        return self.radius * abs(self.sweep)

    @property
    def start(self) -> Point2:
        return self.on(self.first)

    @property
    def end(self) -> Point2:
        return self.on(self.first + self.sweep)

    def on(self, angle: float) -> Point2:
        return (self.centre[0] + self.radius * math.cos(angle), self.centre[1] + self.radius * math.sin(angle))

    def at(self, s: float) -> tuple[Point2, Point2]:
        """Point and unit direction at `s` mm from the start."""
        sign = math.copysign(1.0, self.sweep)
        angle = self.first + sign * s / self.radius
        return self.on(angle), (-sign * math.sin(angle), sign * math.cos(angle))

    def parallel(self, left: float) -> Bow | None:
        """None where the parallel has gone past the centre."""
        r = self.radius - left * math.copysign(1.0, self.sweep)
        return Bow(self.centre, r, self.first, self.sweep) if r > NOTHING else None

    def distance(self, p: Point2) -> float:
        """Smallest distance of a point, mm."""
        angle = math.atan2(p[1] - self.centre[1], p[0] - self.centre[0])
        turned = (angle - self.first) % math.tau if self.sweep > 0 else (self.first - angle) % math.tau
        if turned <= abs(self.sweep):
            return abs(math.dist(p, self.centre) - self.radius)
        return min(math.dist(p, self.start), math.dist(p, self.end))

    @property
    def flat(self) -> bool:
        """Whether its three points cannot be told from points in a line: a few micrometres, where curves all but touch."""
        return self.length * self.radius * (1 - math.cos(self.sweep / 2)) < FLAT

    def chord_count(self, tolerance: float) -> int:
        """Number of chords that leave the arc by `tolerance` mm at most, 32 or more a quarter turn."""
        bend = 2 * math.acos(max(-1.0, 1 - tolerance / max(self.radius, tolerance)))
        return max(1, math.ceil(abs(self.sweep) / min(bend, math.pi / 2 / QUARTER) - 1e-9))

    def chords(self, tolerance: float) -> list[Point2]:
        """Ends of those chords, the start left out."""
        n = self.chord_count(tolerance)
        return [self.on(self.first + self.sweep * i / n) for i in range(1, n + 1)]


Piece = Straight | Bow
