"""Parallels of paths and outlines: exact lines and arcs beside them, round them and within them. Lengths mm."""

from __future__ import annotations

import math
from itertools import pairwise

from . import paths
from .contour import contour
from .curves import Bone
from .outline import Impossible
from .paths import Bow, Piece, Straight, Way
from .pockets import Path, Point2

TANGENT = 1e-9  # mm between the ends of two parallels that touch


def parallel(way: Way, left: float) -> Path:
    """The line `left` mm to the left of an open or closed path (to its right for a negative one).

    Round an outer corner goes an arc, at an inner one the neighbours are cut where they meet. Raises Impossible where a
    piece is too short or too tight for it; a line that comes back upon itself elsewhere is the caller's business.
    """
    closed = not isinstance(way, Path) or way.closed
    moved: list[Piece] = []
    all_ = paths.pieces(way)
    for p in all_:
        if (q := p.parallel(left)) is None:
            raise _too_tight(p.start, left)
        moved.append(q)
    joints = list(pairwise(range(len(all_)))) + ([(len(all_) - 1, 0)] if closed else [])
    arcs: dict[int, Bow] = {}
    for i, j in joints:
        if math.dist(moved[i].end, moved[j].start) < TANGENT:
            continue
        if paths.turn(all_[i], all_[j]) * left < 0:
            arcs[i] = _round(all_[j].start, moved[i].end, moved[j].start, left)
        else:
            moved[i], moved[j] = _cut(moved[i], moved[j], left)
    return paths.path([q for i, p in enumerate(moved) for q in (p, *([arcs[i]] if i in arcs else []))], closed)


def outset(way: Way, distance: float, rounding: float = 0.0) -> Path:
    """The closed line `distance` mm outside of a closed path, round at its corners; its hollows rounded by arcs of
    `rounding` mm. The exact boundary of all points so near, holes left out."""
    radius = distance + rounding
    region = paths.polygon(way).buffer(radius, quad_segs=64)
    return contour(region, [Bone(p, 0.0) for p in paths.pieces(way)], radius, rounding)


def inset(way: Way, distance: float, rounding: float = 0.0) -> Path:
    """The closed line `distance` mm inside of a closed path, its corners rounded by arcs of `rounding` mm.

    Raises Impossible where nothing is left, or where it falls into several.
    """
    radius = distance + rounding
    region = paths.polygon(way).buffer(-radius, quad_segs=64)
    if region.is_empty or region.geom_type != "Polygon":
        raise Impossible((), f"nothing whole is left {radius:g} mm within a closed line that starts at "
                             f"x {way.start[0]:.1f}, y {way.start[1]:.1f}", "take less, or make it larger")  # fmt: skip
    return contour(region, [Bone(p, 0.0) for p in paths.pieces(way)], radius, rounding, inside=True)


def _too_tight(at: Point2, left: float) -> Impossible:
    return Impossible((), f"a line {abs(left):g} mm beside another has no room at x {at[0]:.2f}, y {at[1]:.2f}",
                      "make the bend there wider, or the distance smaller")  # fmt: skip


def _round(corner: Point2, a: Point2, b: Point2, left: float) -> Bow:
    first, last = (math.atan2(p[1] - corner[1], p[0] - corner[0]) for p in (a, b))
    way = -1 if left > 0 else 1
    return Bow(corner, abs(left), first, way * ((way * (last - first)) % math.tau))


def _cut(a: Piece, b: Piece, left: float) -> tuple[Piece, Piece]:
    """Two parallels that overrun each other at an inner corner, ended and begun where they meet."""
    for p in sorted(meetings(a, b), key=lambda p: math.dist(p, a.end)):
        one, two = _part(a, p, True), _part(b, p, False)
        if one is not None and two is not None:
            return one, two
    raise _too_tight(a.end, left)


def meetings(a: Piece, b: Piece) -> list[Point2]:
    """Where the whole lines or circles that two pieces lie on cross."""
    from .curves import Curve, crossings

    def curve(p: Piece) -> Curve:
        if isinstance(p, Bow):
            return Curve((), 1, p.centre, p.radius)
        _, (tx, ty) = p.at(0.0)
        return Curve((), 0, p.start, 0.0, (-ty, tx))

    return crossings(curve(a), curve(b))


def _part(p: Piece, at: Point2, begin: bool) -> Piece | None:
    """The piece from its start to a point on it, or from there to its end; None where the point is off it."""
    if p.distance(at) > paths.ON:
        return None
    if isinstance(p, Straight):
        return Straight(p.start, at) if begin else Straight(at, p.end)
    sign = math.copysign(1.0, p.sweep)
    angle = math.atan2(at[1] - p.centre[1], at[0] - p.centre[0])
    done = (sign * (angle - p.first)) % math.tau
    done = 0.0 if done > abs(p.sweep) + 1e-6 else done
    return Bow(p.centre, p.radius, p.first, sign * done) if begin else Bow(
        p.centre, p.radius, p.first + sign * done, p.sweep - sign * done)  # fmt: skip
