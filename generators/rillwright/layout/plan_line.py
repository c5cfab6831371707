"""Length and sharpest turn of a line in plan made of straight pieces and arcs. Lengths in mm."""

from __future__ import annotations

import math

from .features import Arc
from .outline import arc_centre
from .pockets import Path, Point2

SMOOTH = 1e-3  # radians: pieces that meet at less have no corner


def length(path: Path) -> float:
    """Length along the line, mm."""
    total, at = 0.0, path.start
    for piece in path.pieces:
        if isinstance(piece, Arc):
            radius, sweep = _arc(at, piece)
            total += radius * abs(sweep)
        else:
            total += math.dist(at, piece.end)
        at = piece.end
    return total


def least_radius(path: Path) -> float:
    """Smallest radius of its arcs, mm; 0 where two pieces meet in a corner, infinite for a straight line."""
    at, ways = path.start, []
    least = math.inf
    for piece in path.pieces:
        if isinstance(piece, Arc):
            least = min(least, _arc(at, piece)[0])
        ways.append(_directions(at, piece) if isinstance(piece, Arc) else _straight(at, piece.end))
        at = piece.end
    following = [*ways[1:], *([ways[0]] if path.closed else [])]
    for (_, out), (into, _) in zip(ways, following, strict=False):
        if abs(math.remainder(into - out, math.tau)) > SMOOTH:
            return 0.0
    return least


def is_circle(path: Path) -> bool:
    """Whether a closed line is one circle: arcs only, about one centre."""
    at, centres = path.start, []
    for piece in path.pieces:
        if not isinstance(piece, Arc):
            return False
        centres.append(arc_centre(at, piece.middle, piece.end)[0])
        at = piece.end
    return path.closed and bool(centres) and all(math.dist(c, centres[0]) < SMOOTH for c in centres)


def measured_to(path: Path) -> Point2:
    """The place in plan that a line is told by: the middle of a circle, else where it starts."""
    first = path.pieces[0]
    if is_circle(path) and isinstance(first, Arc):
        return arc_centre(path.start, first.middle, first.end)[0]
    return path.start


def _arc(start: Point2, arc: Arc) -> tuple[float, float]:
    """Radius and swept angle (positive counter-clockwise, radians)."""
    centre, radius = arc_centre(start, arc.middle, arc.end)
    a, m, b = (math.atan2(p[1] - centre[1], p[0] - centre[0]) for p in (start, arc.middle, arc.end))
    sweep = (b - a) % math.tau
    return radius, sweep if (m - a) % math.tau <= sweep else sweep - math.tau


def _directions(start: Point2, arc: Arc) -> tuple[float, float]:
    """Direction along the arc at its start and at its end, radians."""
    centre, _ = arc_centre(start, arc.middle, arc.end)
    turn = math.copysign(math.pi / 2, _arc(start, arc)[1])
    first, last = (math.atan2(p[1] - centre[1], p[0] - centre[0]) + turn for p in (start, arc.end))
    return first, last


def _straight(a: Point2, b: Point2) -> tuple[float, float]:
    way = math.atan2(b[1] - a[1], b[0] - a[0])
    return way, way
