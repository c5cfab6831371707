"""The edge of what a cutter leaves along a line in plan, in true lines and arcs. Lengths in mm."""

from __future__ import annotations

import math
from itertools import pairwise

from . import paths
from .features import Outline
from .outline import distance_to, encloses
from .paths import NOTHING, Bow, Piece, Straight
from .pockets import Area, Path, Pocket, Point2, Stroke

SHARP = math.radians(1)  # rad: what a cutter leaves in a corner of less is below 4e-5 of its radius
STRAIGHT_ON = 1e-4  # rad: pieces that turn by less than this where they meet run on smoothly


def turns(path: Path | Outline) -> list[float]:
    """Turns (rad, left positive) between pieces that meet in a corner; smooth joints are left out."""
    every = paths.pieces(path)
    pairs = list(pairwise(every))
    if isinstance(path, Outline) or path.closed:
        pairs.append((every[-1], every[0]))
    found = []
    for a, b in pairs:
        t, u = a.at(a.length)[1], b.at(0.0)[1]
        found.append(math.atan2(t[0] * u[1] - t[1] * u[0], t[0] * u[0] + t[1] * u[1]))
    return [t for t in found if abs(t) > STRAIGHT_ON]


def smooth(stroke: Stroke) -> bool:
    """Whether one run round both sides bounds it: no corners, and no arc tighter than half its width."""
    radii = [p.radius for p in paths.pieces(stroke.path) if isinstance(p, Bow)]
    return not turns(stroke.path) and all(r > stroke.width / 2 - NOTHING for r in radii)


def boundary(stroke: Stroke) -> tuple[Outline, tuple[Outline, ...]]:
    """Outer edge and holes of a smooth stroke, each counter-clockwise.

    An open one has round ends and no hole; a closed one has the two edges of its band. Raises ValueError for a
    stroke that is not `smooth`.
    """
    if not smooth(stroke):
        raise ValueError("a stroke with corners, or arcs tighter than half its width, has no single run round it")
    half, line = stroke.width / 2, paths.pieces(stroke.path)
    left, right = _beside(line, half), _beside(line, -half)
    if stroke.path.closed:
        inner, outer = (left, right) if paths.area(stroke.path) > 0 else (right, left)
        return _outline(outer), (_outline(inner),)
    (_, way_in), (_, way_out) = line[0].at(0.0), line[-1].at(line[-1].length)
    ends = [_round_end(line[-1].end, way_out, half), _round_end(line[0].start, (-way_in[0], -way_in[1]), half)]
    return _outline([*right, *ends[0], *_turned(left), *ends[1]]), ()


def _round_end(at: Point2, way: Point2, half: float) -> list[Piece]:
    """Half circle from the right to the left of a direction, as two quarters."""
    t = math.atan2(way[1], way[0])
    return [Bow(at, half, t - math.pi / 2, math.pi / 2), Bow(at, half, t, math.pi / 2)]


def _beside(line: list[Piece], left: float) -> list[Piece]:
    """The line at a constant distance, positive to the left of travel; arcs that shrink to a point are left out."""
    return [q for p in line if (q := p.parallel(left)) is not None]


def _turned(line: list[Piece]) -> list[Piece]:
    """The same line run backwards."""
    return [
        Bow(p.centre, p.radius, p.first + p.sweep, -p.sweep) if isinstance(p, Bow) else Straight(p.end, p.start)
        for p in reversed(line)
    ]


def _outline(line: list[Piece]) -> Outline:
    path = paths.path(line, closed=True)
    path = path if paths.area(path) > 0 else paths.path(_turned(line), closed=True)
    return Outline(path.start, path.pieces)


def near(pocket: Pocket, p: Point2, reach: float) -> bool:
    """Whether a plan point lies in a pocket or nearer to its edge than `reach`, mm."""
    shape = pocket.shape
    if isinstance(shape, Stroke):
        return paths.distance(shape.path, p) < shape.width / 2 + reach
    within = encloses(shape.outside, p) and not any(encloses(i, p) for i in shape.islands)
    return within or any(distance_to(o, p) < reach for o in (shape.outside, *shape.islands))


def narrowest(shape: Stroke | Area) -> float:
    """Largest cutter (mm) that makes a shape: a stroke's width, twice the tightest inner corner of an area.

    An area with a sharp inner corner takes no cutter: 0.
    """
    if isinstance(shape, Stroke):
        return shape.width
    corner = min(_tightest(shape.outside, 1.0), *(_tightest(i, -1.0) for i in shape.islands), math.inf)
    ends = [p.end for p in paths.pieces(shape.outside)] + [p.at(p.length / 2)[0] for p in paths.pieces(shape.outside)]
    xs, ys = [p[0] for p in ends], [p[1] for p in ends]
    return min(corner, max(xs) - min(xs), max(ys) - min(ys))


def hollow(o: Outline) -> float:
    """Largest cutter (mm) that goes round a plate: twice its tightest hollow corner, 0 for a sharp one, else infinite."""
    return _tightest(o, -1.0)


def tightest_hollow(o: Outline) -> Point2 | None:
    """Where the tightest hollow corner of a plate is: the corner, or the middle of the arc; None where none is."""
    every = paths.pieces(o)
    sharp = [b.start for a, b in zip([every[-1], *every], every, strict=False) if paths.turn(a, b) < -SHARP]
    bows = [p for p in every if isinstance(p, Bow) and p.sweep < 0]
    if sharp or not bows:
        return sharp[0] if sharp else None
    least = min(bows, key=lambda p: p.radius)
    return least.at(least.length / 2)[0]


def _tightest(o: Outline, sign: float) -> float:
    """Twice the smallest radius that bends round the inside (`sign` +1) or round an island (−1), mm."""
    if any(sign * t > SHARP for t in turns(o)):
        return 0.0
    bows = (p for p in paths.pieces(o) if isinstance(p, Bow))
    return min((2 * p.radius for p in bows if sign * p.sweep > 0), default=math.inf)
