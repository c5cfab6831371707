"""Bones, the curves at a distance round them, and where two such curves meet. Lengths mm, angles radians."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from .outline import Impossible
from .paths import ON, Bow, Piece, Straight
from .pockets import Point2

NEAR = 4.0  # mm between a sample and the meeting that it announces, at most
HAIR = 1e-6  # radians: a turn smaller than that, either way, is none


@dataclass(frozen=True, slots=True)
class Bone:
    """A point, line or arc in the middle of something of half width `reach`, mm; a point is a line of no length."""

    piece: Piece
    reach: float


def point_bone(at: Point2, reach: float) -> Bone:
    return Bone(Straight(at, at), reach)


@dataclass(frozen=True, slots=True)
class Curve:
    """What the line follows for a while: a circle round `centre`, or the side of a straight bone.

    `turn` is 1 where the circle bends round the bone's own matter (a round end, the outside of an arc), −1 on the
    inside of an arc, 0 for a straight one, whose unit normal away from the bone is `normal`.
    """

    key: tuple[object, ...]
    turn: Literal[-1, 0, 1]
    centre: Point2
    radius: float
    normal: Point2 = (0.0, 0.0)
    ends: tuple[tuple[Point2, Point2], ...] = ()  # ends of the bone, and the normal there

    def away(self, v: Point2) -> Point2:
        """Unit normal from the bone to a point on the curve."""
        if self.turn == 0:
            return self.normal
        n = math.dist(v, self.centre) * self.turn
        return ((v[0] - self.centre[0]) / n, (v[1] - self.centre[1]) / n)

    def miss(self, v: Point2) -> float:
        """How far a point is off the curve, mm."""
        if self.turn == 0:
            return abs((v[0] - self.centre[0]) * self.normal[0] + (v[1] - self.centre[1]) * self.normal[1])
        return abs(math.dist(v, self.centre) - self.radius)


def is_outer(b: Bone, part: int, at: Point2) -> bool:
    """On which side of the bone a point lies: outside of an arc, left of a line."""
    if part != 1:
        return True
    if isinstance(b.piece, Bow):
        return math.dist(at, b.piece.centre) > b.piece.radius
    (ax, ay), (ex, ey) = b.piece.start, b.piece.end
    return (ex - ax) * (at[1] - ay) - (ey - ay) * (at[0] - ax) > 0


def curve_of(b: Bone, i: int, part: int, at: Point2, d: float) -> Curve:
    if part != 1:
        c = b.piece.start if part == 0 else b.piece.end
        return Curve(("point", round(c[0], 6), round(c[1], 6), round(d, 6)), 1, c, d)
    outer, a, e = is_outer(b, part, at), b.piece.start, b.piece.end
    if isinstance(b.piece, Bow):
        turn: Literal[-1, 1] = 1 if outer else -1
        c, r = b.piece.centre, b.piece.radius
        ends = tuple((q, (turn * (q[0] - c[0]) / r, turn * (q[1] - c[1]) / r)) for q in (a, e))
        return Curve(("arc", i, outer), turn, c, r + turn * d, ends=ends)
    n = math.dist(a, e) * (1 if outer else -1)
    normal = (-(e[1] - a[1]) / n, (e[0] - a[0]) / n)
    on = (a[0] + d * normal[0], a[1] + d * normal[1])
    return Curve(("line", i, outer), 0, on, 0.0, normal, ((a, normal), (e, normal)))


def between(f: Curve, g: Curve, near: Point2, way: int) -> list[tuple[Curve, Curve]]:
    """The pairs that meet from one curve to the next: a joint of two bones with a round end too short for a sample."""
    for p, n in f.ends:
        for q, m in g.ends:
            if math.dist(p, q) < ON and abs(_off_bone(f, p, n) - _off_bone(g, q, m)) < ON:
                d = _off_bone(f, p, n)
                turn = n[0] * m[1] - n[1] * m[0]
                if way * turn > HAIR and math.dist(p, near) < d + NEAR:
                    cap = Curve(("point", round(p[0], 6), round(p[1], 6), round(d, 6)), 1, p, d)
                    return [(f, cap), (cap, g)]
    return [(f, g)]


def _off_bone(c: Curve, end: Point2, normal: Point2) -> float:
    """Distance of a curve from its own bone, mm."""
    if c.turn == 0:
        return (c.centre[0] - end[0]) * normal[0] + (c.centre[1] - end[1]) * normal[1]
    return abs(c.radius - math.dist(end, c.centre))


def meeting(f: Curve, g: Curve, near: Point2) -> Point2:
    """Where two curves meet near a point: at an end that both know (they touch there), or where they cross."""
    ends = [
        v
        for c, other in ((f, g), (g, f))
        for p, n in c.ends
        if other.miss(v := (p[0] + _off_bone(c, p, n) * n[0], p[1] + _off_bone(c, p, n) * n[1])) < ON
        and math.dist(v, near) < NEAR
    ]
    found = ends or crossings(f, g)
    if not found:
        raise Impossible((), f"a closed line breaks off near x {near[0]:.2f}, y {near[1]:.2f}",
                         "move one of the parts there by half a millimetre")  # fmt: skip
    return min(found, key=lambda v: math.dist(v, near))


def crossings(f: Curve, g: Curve) -> list[Point2]:
    if f.turn == 0 and g.turn == 0:
        cross = f.normal[0] * g.normal[1] - f.normal[1] * g.normal[0]
        if abs(cross) < 1e-12:
            return []
        h = [c.centre[0] * c.normal[0] + c.centre[1] * c.normal[1] for c in (f, g)]
        return [((h[0] * g.normal[1] - h[1] * f.normal[1]) / cross, (h[1] * f.normal[0] - h[0] * g.normal[0]) / cross)]
    if f.turn == 0:
        f, g = g, f
    if g.turn == 0:
        off = (g.centre[0] - f.centre[0]) * g.normal[0] + (g.centre[1] - f.centre[1]) * g.normal[1]
        foot, along = (f.centre[0] + off * g.normal[0], f.centre[1] + off * g.normal[1]), (-g.normal[1], g.normal[0])
    else:
        d = math.dist(f.centre, g.centre)
        if d < 1e-12:
            return []
        n = ((g.centre[0] - f.centre[0]) / d, (g.centre[1] - f.centre[1]) / d)
        off = (d * d + f.radius**2 - g.radius**2) / (2 * d)
        foot, along = (f.centre[0] + off * n[0], f.centre[1] + off * n[1]), (-n[1], n[0])
    half = f.radius**2 - off**2
    if half < -1e-6 * f.radius:
        return []
    s = math.sqrt(max(0.0, half))
    return [(foot[0] + k * s * along[0], foot[1] + k * s * along[1]) for k in (1, -1)]
