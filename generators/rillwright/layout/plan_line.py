"""Lines in plan that are circles, and the place by which a line is told. Lengths in mm."""

from __future__ import annotations

import math

from .features import Arc
from .outline import arc_centre
from .pockets import Path, Point2

ONE = 1e-3  # mm: centres nearer to each other than this are one


def is_circle(path: Path) -> bool:
    """Whether a closed line is one circle: arcs only, about one centre."""
    at, centres = path.start, []
    for piece in path.pieces:
        if not isinstance(piece, Arc):
            return False
        centres.append(arc_centre(at, piece.middle, piece.end)[0])
        at = piece.end
    return path.closed and bool(centres) and all(math.dist(c, centres[0]) < ONE for c in centres)


def measured_to(path: Path) -> Point2:
    """The place in plan that a line is told by: the middle of a circle, else where it starts."""
    first = path.pieces[0]
    if is_circle(path) and isinstance(first, Arc):
        return arc_centre(path.start, first.middle, first.end)[0]
    return path.start
