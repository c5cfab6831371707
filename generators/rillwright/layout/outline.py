"""Plan outlines: from the file's rectangle or polygon to pieces, and the edges that ports are placed on."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from .features import Arc, Line, Outline

if TYPE_CHECKING:
    from ..spec.plate import Outline as OutlineSpec

Point = tuple[float, float]
Loc = tuple[str | int, ...]


class Impossible(ValueError):
    """Something in the file cannot be placed: `loc` is its key path, `what` and `do` are in plain words."""

    def __init__(self, loc: Loc, what: str, do: str) -> None:
        super().__init__(f"{what}; {do}")
        self.loc, self.what, self.do = loc, what, do


@dataclass(frozen=True, slots=True)
class Edge:
    """A straight side of a plate: middle, unit tangent (counter-clockwise) and unit inward normal, mm."""

    name: str
    start: Point
    end: Point

    @property
    def length(self) -> float:
        return math.dist(self.start, self.end)

    @property
    def middle(self) -> Point:
        return ((self.start[0] + self.end[0]) / 2, (self.start[1] + self.end[1]) / 2)

    @property
    def inward(self) -> Point:
        n = self.length
        return (-(self.end[1] - self.start[1]) / n, (self.end[0] - self.start[0]) / n)

    def place(self, along: float) -> Point:
        """Point on the edge. On left, right, front and back `along` is the plate's own x or y, mm; on any
        other edge the distance from the middle, counter-clockwise."""
        if self.name in ("front", "back"):
            return (along, self.start[1])
        if self.name in ("left", "right"):
            return (self.start[0], along)
        m, n = self.middle, self.length
        t = ((self.end[0] - self.start[0]) / n, (self.end[1] - self.start[1]) / n)
        return (m[0] + along * t[0], m[1] + along * t[1])

    def holds(self, p: Point) -> bool:
        """Whether a point lies on the edge between its ends."""
        return math.dist(self.start, p) + math.dist(p, self.end) <= self.length + 1e-6


def outline(spec: OutlineSpec) -> Outline:
    """The outline of a plate, counter-clockwise, its origin at the centre of its bounding box."""
    if spec.polygon is not None:
        return _polygon(spec)
    assert spec.length is not None
    assert spec.width is not None
    x, y, r = spec.length / 2, spec.width / 2, spec.corner_radius
    if r == 0:
        return Outline((-x, -y), (Line((x, -y)), Line((x, y)), Line((-x, y)), Line((-x, -y))), spec.chamfer)
    k = r * (1 - math.sqrt(0.5))
    pieces: list[Line | Arc] = [
        Line((x - r, -y)), Arc((x - k, -y + k), (x, -y + r)),
        Line((x, y - r)), Arc((x - k, y - k), (x - r, y)),
        Line((-x + r, y)), Arc((-x + k, y - k), (-x, y - r)),
        Line((-x, -y + r)), Arc((-x + k, -y + k), (-x + r, -y)),
    ]  # fmt: skip
    kept = [p for a, p in pairwise([Line((-x + r, -y)), *pieces]) if math.dist(a.end, p.end) > 1e-9]
    return Outline((-x + r, -y), tuple(kept), spec.chamfer)


def _polygon(spec: OutlineSpec) -> Outline:
    from ..spec.plate import ArcTo  # models cost a process that only draws its start

    assert spec.polygon is not None
    first = spec.polygon[0]
    assert not isinstance(first, ArcTo)
    pieces: list[Line | Arc] = [
        Arc(p.through, p.to) if isinstance(p, ArcTo) else Line(p) for p in spec.polygon[1:]
    ]
    start: Point = first
    if math.dist(pieces[-1].end, start) > 1e-6:
        pieces.append(Line(start))
    raw = Outline(start, tuple(pieces), spec.chamfer)
    points = list(sampled(raw))
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise([*points, points[0]])) / 2
    if abs(area) < 1:
        raise Impossible(("polygon",), "the polygon encloses no area", "give its corners in order round the plate")
    if _crosses_itself(points):
        raise Impossible(("polygon",), "the polygon crosses itself", "give its corners in order round the plate")
    if area < 0:
        raw = _reversed(raw)
    xs, ys = zip(*points, strict=True)
    return moved(raw, -(min(xs) + max(xs)) / 2, -(min(ys) + max(ys)) / 2)


def _reversed(o: Outline) -> Outline:
    starts = [o.start, *(p.end for p in o.pieces)]
    back: list[Line | Arc] = [
        Arc(p.middle, s) if isinstance(p, Arc) else Line(s)
        for s, p in reversed(list(zip(starts, o.pieces, strict=False)))
    ]
    return Outline(o.pieces[-1].end, tuple(back), o.chamfer)


def moved(o: Outline, dx: float, dy: float) -> Outline:
    """The same outline elsewhere, mm."""

    def m(p: Point) -> Point:
        return (p[0] + dx, p[1] + dy)

    pieces = tuple(Arc(m(p.middle), m(p.end)) if isinstance(p, Arc) else Line(m(p.end)) for p in o.pieces)
    return Outline(m(o.start), pieces, o.chamfer)


def arc_centre(a: Point, b: Point, c: Point) -> tuple[Point, float]:
    """Centre and radius of the circle through three points, mm; raises Impossible for points in a line."""
    d = 2 * (a[0] * (b[1] - c[1]) + b[0] * (c[1] - a[1]) + c[0] * (a[1] - b[1]))
    if abs(d) < 1e-9:
        raise Impossible(("polygon",), "an arc's three points lie in a line", "give a corner instead of an arc")
    sa, sb, sc = (p[0] ** 2 + p[1] ** 2 for p in (a, b, c))
    x = (sa * (b[1] - c[1]) + sb * (c[1] - a[1]) + sc * (a[1] - b[1])) / d
    y = (sa * (c[0] - b[0]) + sb * (a[0] - c[0]) + sc * (b[0] - a[0])) / d
    return (x, y), math.dist((x, y), a)


def sampled(o: Outline, step: float = 1.0) -> Iterator[Point]:
    """Points along the outline: ends of lines, and arcs at `step` mm or finer (each end once)."""
    at = o.start
    for p in o.pieces:
        if isinstance(p, Arc):
            (cx, cy), r = arc_centre(at, p.middle, p.end)
            a0, am, a1 = (math.atan2(q[1] - cy, q[0] - cx) for q in (at, p.middle, p.end))
            ccw = (am - a0) % math.tau < (a1 - a0) % math.tau
            sweep = (a1 - a0) % math.tau if ccw else -((a0 - a1) % math.tau)
            n = max(8, math.ceil(abs(sweep) * r / step))
            for i in range(1, n):
                t = a0 + sweep * i / n
                yield (cx + r * math.cos(t), cy + r * math.sin(t))
        yield p.end
        at = p.end


def _crosses_itself(points: list[Point]) -> bool:
    n = len(points)
    sides = [(points[i], points[(i + 1) % n]) for i in range(n)]

    def turn(a: Point, b: Point, c: Point) -> float:
        return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])

    for i in range(n):
        for j in range(i + 2, n - (i == 0)):
            (a, b), (c, d) = sides[i], sides[j]
            if turn(a, b, c) * turn(a, b, d) < 0 and turn(c, d, a) * turn(c, d, b) < 0:
                return True
    return False


def edges(spec: OutlineSpec, o: Outline) -> dict[str, Edge]:
    """Straight edges by name: left, right, front, back of a rectangle; edge-1, edge-2 … of a polygon."""
    starts = [o.start, *(p.end for p in o.pieces)]
    straight = [(a, p.end) for a, p in zip(starts, o.pieces, strict=False) if isinstance(p, Line)]
    if spec.polygon is not None:
        return {f"edge-{i}": Edge(f"edge-{i}", a, b) for i, (a, b) in enumerate(straight, 1)}
    named = {}
    for a, b in straight:
        name = ("front" if b[0] > a[0] else "back") if a[1] == b[1] else ("right" if b[1] > a[1] else "left")
        named[name] = Edge(name, a, b)
    return named


def distance_to(o: Outline, p: Point) -> float:
    """Distance of a plan point to the outline, mm."""
    starts = [o.start, *(q.end for q in o.pieces)]
    return min(
        _to_arc(p, a, q) if isinstance(q, Arc) else _to_segment(p, a, q.end)
        for a, q in zip(starts, o.pieces, strict=False)
    )


def encloses(o: Outline, p: Point) -> bool:
    """Whether a plan point lies inside the outline: rays through the chords, and the bows of the arcs exactly."""
    inside, a = False, o.start
    p = _off_chords(o, p)
    for q in o.pieces:
        b = q.end
        if (a[1] > p[1]) != (b[1] > p[1]) and p[0] < a[0] + (p[1] - a[1]) * (b[0] - a[0]) / (b[1] - a[1]):
            inside = not inside
        if isinstance(q, Arc) and _in_bow(p, a, q):
            inside = not inside
        a = b
    return inside


def _off_chords(o: Outline, p: Point) -> Point:
    """A point on the chord of an arc, a hair into its bow: both sides of a chord are in, or both out."""
    a = o.start
    for q in o.pieces:
        if isinstance(q, Arc) and _to_segment(p, a, q.end) < 1e-7:
            away = math.dist(p, q.middle)
            return (p[0] + 1e-6 * (q.middle[0] - p[0]) / away, p[1] + 1e-6 * (q.middle[1] - p[1]) / away)
        a = q.end
    return p


def _in_bow(p: Point, start: Point, arc: Arc) -> bool:
    centre, r = arc_centre(start, arc.middle, arc.end)

    def side(q: Point) -> float:
        return (arc.end[0] - start[0]) * (q[1] - start[1]) - (arc.end[1] - start[1]) * (q[0] - start[0])

    return math.dist(p, centre) < r and side(p) * side(arc.middle) > 0


def require_on_plate(o: Outline, p: Point, name: str, loc: Loc) -> None:
    """Raises Impossible for the centre of a feature that lies off the plate."""
    if not encloses(o, p):
        raise Impossible(
            loc, f"{name!r} would stand at x {p[0]:.2f}, y {p[1]:.2f}, off the plate",
            "move it, or make the plate larger",
        )  # fmt: skip


def _to_arc(p: Point, start: Point, arc: Arc) -> float:
    centre, r = arc_centre(start, arc.middle, arc.end)
    a0, am, a1, at = (math.atan2(q[1] - centre[1], q[0] - centre[0]) for q in (start, arc.middle, arc.end, p))
    if (am - a0) % math.tau > (a1 - a0) % math.tau:
        a0, a1 = a1, a0
    if (at - a0) % math.tau <= (a1 - a0) % math.tau:
        return abs(math.dist(p, centre) - r)
    return min(math.dist(p, start), math.dist(p, arc.end))


def _to_segment(p: Point, a: Point, b: Point) -> float:
    d = (b[0] - a[0], b[1] - a[1])
    n = d[0] ** 2 + d[1] ** 2
    t = 0.0 if n == 0 else min(1.0, max(0.0, ((p[0] - a[0]) * d[0] + (p[1] - a[1]) * d[1]) / n))
    return math.dist(p, (a[0] + t * d[0], a[1] + t * d[1]))
