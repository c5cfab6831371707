"""Lines and true arcs in plan: length, area, places along them, parallels, and their regions for shapely.

Everything exact but `region`, `line_string` and `polygon`, whose arcs are chords: at least 32 a quarter turn. Lengths mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from .features import Arc, Line, Outline
from .line_pieces import NOTHING, QUARTER, Bow, Piece, Straight
from .outline import Impossible, arc_centre
from .pockets import Area, Path, Pocket, Point2, Stroke

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = [
    "NOTHING", "ON", "QUARTER", "Bow", "Piece", "Straight", "Way", "along", "area", "circle", "corners", "distance",
    "length", "line_string", "merged", "path", "pieces", "place", "polygon", "region", "reversed_path", "smallest_radius",
    "turn",
]  # fmt: skip

ON = 1e-6  # mm: nearer is the same place

Way = Path | Outline


def pieces(way: Way) -> list[Piece]:
    """The pieces of a path or outline with their centres, radii and angles."""
    out: list[Piece] = []
    at = way.start
    for p in way.pieces:
        if isinstance(p, Arc):
            c, r = arc_centre(at, p.middle, p.end)
            a0, am, a1 = (math.atan2(q[1] - c[1], q[0] - c[0]) for q in (at, p.middle, p.end))
            forward = (am - a0) % math.tau < (a1 - a0) % math.tau
            out.append(Bow(c, r, a0, (a1 - a0) % math.tau if forward else -((a0 - a1) % math.tau)))
        elif math.dist(at, p.end) > NOTHING:
            out.append(Straight(at, p.end))
        at = p.end
    return out


def path(of: Iterable[Piece], closed: bool = False) -> Path:
    """The path that pieces make, each beginning where the one before ended; pieces of no length are left out."""
    kept = [p for p in of if p.length > NOTHING]
    if not kept:
        raise Impossible((), "a path of no length", "give it a length")
    out: list[Line | Arc] = []
    for p in kept:
        if isinstance(p, Straight) or p.flat:
            out.append(Line(p.end))
        else:
            parts = 2 if abs(p.sweep) > 1.9 * math.pi else 1  # three points of a near full circle are no arc
            for i in range(parts):
                a, half = p.first + p.sweep * i / parts, p.sweep / parts / 2
                out.append(Arc(p.on(a + half), p.on(a + 2 * half)))
    if closed and math.dist(kept[0].start, out[-1].end) < ON:
        out[-1] = replace(out[-1], end=kept[0].start)  # to the last digit: a line that all but closes crosses itself
    return Path(kept[0].start, tuple(out), closed)


def merged(of: Iterable[Piece], closed: bool = False) -> list[Piece]:
    """The pieces, those that go on in the same line or round the same circle made one; none of no length."""
    out: list[Piece] = []
    for p in of:
        if p.length <= NOTHING:
            continue
        if out and (one := _one(out[-1], p)) is not None:
            out[-1] = one
        else:
            out.append(p)
    if closed and len(out) > 2 and (one := _one(out[-1], out[0])) is not None:
        out[0] = one
        out.pop()
    return out


def _one(a: Piece, b: Piece) -> Piece | None:
    if isinstance(a, Straight) and isinstance(b, Straight) and abs(turn(a, b)) < ON / (a.length + b.length):
        return Straight(a.start, b.end)
    if isinstance(a, Bow) and isinstance(b, Bow) and a.sweep * b.sweep > 0 and math.dist(a.centre, b.centre) < ON:
        return Bow(a.centre, a.radius, a.first, a.sweep + b.sweep) if abs(a.radius - b.radius) < ON else None
    return None


def circle(centre: Point2, radius: float) -> Path:
    """A closed circle, counter-clockwise."""
    return path([Bow(centre, radius, 0.0, math.pi), Bow(centre, radius, math.pi, math.pi)], closed=True)


def length(way: Way) -> float:
    """Length, mm, exact."""
    return sum(p.length for p in pieces(way))


def area(way: Way) -> float:
    """Area inside a closed path or outline, mm², exact (Green); negative for a clockwise one."""
    total = 0.0
    for p in pieces(way):
        (ax, ay), (bx, by) = p.start, p.end
        total += (ax * by - bx * ay) / 2
        if isinstance(p, Bow):
            total += p.radius**2 * (p.sweep - math.sin(p.sweep)) / 2
    return total


def place(way: Way, s: float) -> tuple[Point2, Point2]:
    """Point and unit direction of travel at `s` mm from the start; on a closed path `s` runs on round it."""
    all_, total = pieces(way), length(way)
    s = s % total if not isinstance(way, Path) or way.closed else min(total, max(0.0, s))
    for p in all_:
        if s <= p.length:
            return p.at(s)
        s -= p.length
    return all_[-1].at(all_[-1].length)


def along(way: Way, step: float) -> list[tuple[float, Point2, Point2]]:
    """(distance from the start, point, direction) at even steps of at most `step` mm, ends included; a closed
    path's start comes once."""
    all_ = pieces(way)
    lengths = [p.length for p in all_]
    total = sum(lengths)
    n = max(1, math.ceil(total / step - 1e-9))
    closed = not isinstance(way, Path) or way.closed
    out, before, k = [], 0.0, 0
    for i in range(n if closed else n + 1):
        s = total * i / n
        while k + 1 < len(all_) and s - before > lengths[k]:
            before, k = before + lengths[k], k + 1
        out.append((s, *all_[k].at(min(s - before, lengths[k]))))
    return out


def distance(way: Way, p: Point2) -> float:
    """Smallest distance of a point to the line itself, mm, exact."""
    return min(q.distance(p) for q in pieces(way))


def smallest_radius(way: Way, allowed: float = 1e-4) -> float:
    """Smallest radius of its arcs, mm; infinite without arcs, 0 with a corner."""
    radii = [p.radius for p in pieces(way) if isinstance(p, Bow)]
    return 0.0 if corners(way, allowed) else min(radii, default=math.inf)


def corners(way: Way, allowed: float = 1e-4) -> list[Point2]:
    """Places where the direction jumps by more than `allowed` radians."""
    all_ = pieces(way)
    closed = not isinstance(way, Path) or way.closed
    pairs = [*pairwise(all_), (all_[-1], all_[0])] if closed else list(pairwise(all_))
    return [b.start for a, b in pairs if abs(turn(a, b)) > allowed]


def turn(a: Piece, b: Piece) -> float:
    """Angle from the direction at the end of one piece to that at the start of the next, radians, left positive."""
    t, u = a.at(a.length)[1], b.at(0.0)[1]
    return math.atan2(t[0] * u[1] - t[1] * u[0], t[0] * u[0] + t[1] * u[1])


def reversed_path(way: Path) -> Path:
    """The same line walked the other way."""
    back: list[Piece] = [
        Straight(p.end, p.start) if isinstance(p, Straight) else Bow(p.centre, p.radius, p.first + p.sweep, -p.sweep)
        for p in reversed(pieces(way))
    ]
    return path(back, way.closed)


def line_string(way: Way, tolerance: float = 5e-4) -> Any:
    """A shapely line: chords that leave an arc by `tolerance` mm at most, 32 or more a quarter turn."""
    import shapely

    return shapely.linestrings(_points(way, tolerance))


def polygon(way: Way, tolerance: float = 5e-4) -> Any:
    """The inside of a closed path or outline for shapely."""
    import shapely

    return shapely.polygons(_points(way, tolerance))


def _points(way: Way, tolerance: float) -> NDArray[np.float64]:
    """Ends of the chords, (n, 2) mm; a closed line's last is its first to the last digit."""
    import numpy as np

    parts = [np.array([way.start])]
    for p in pieces(way):
        if isinstance(p, Straight):
            parts.append(np.array([p.end]))
        else:
            angle = p.first + p.sweep * np.arange(1, (n := p.chord_count(tolerance)) + 1)[:, None] / n
            parts.append(np.array(p.centre) + p.radius * np.hstack([np.cos(angle), np.sin(angle)]))
    out = np.concatenate(parts)
    if math.dist(out[0], out[-1]) < ON:
        out[-1] = out[0]
    return out


def region(shape: Pocket | Stroke | Area, tolerance: float = 5e-4) -> Any:
    """What a pocket covers in plan, for shapely: chords inside the true arcs, 32 or more a quarter turn."""
    import shapely

    shape = shape.shape if isinstance(shape, Pocket) else shape
    if isinstance(shape, Area):
        whole = polygon(shape.outside, tolerance)
        return shapely.difference(whole, shapely.union_all([polygon(i, tolerance) for i in shape.islands]))
    r = shape.width / 2
    bend = math.acos(max(0.0, 1 - tolerance / r))
    return line_string(shape.path, tolerance).buffer(r, quad_segs=max(QUARTER, math.ceil(math.pi / 4 / bend)))
