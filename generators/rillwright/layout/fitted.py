"""Regions of shapely back into lines and true arcs, so that a CAM program sees arcs and no chords. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from .features import Arc, Line, Outline
from .outline import Impossible, arc_centre
from .pockets import Area, Point2

SAME = 2e-6  # mm: corners of one arc lie on its circle to double precision
CRUMB = 5e-5  # mm: shapely leaves steps of this size where outlines cross; a chord of the finest arc is ten times longer
FLAT = 1e-7  # mm: three points nearer to a line than this have no circle
CHORD = 0.12  # mm: a shorter straight piece after an arc is one of its chords
STRAY = 5e-4  # mm that the end of such a chord may lie off the arc
WIDEST = math.radians(6)  # turn of one chord: 32 a quarter are 2.8° each, two of them at an arc's ends may be joined


def areas(region: Any) -> list[Area]:
    """Every polygon of a region with its islands, large ones first. Arcs need 16 chords a quarter turn or more."""
    polygons = [g for g in getattr(region, "geoms", [region]) if not g.is_empty]
    polygons.sort(key=lambda g: -g.area)
    return [Area(_outline(p.exterior), tuple(_outline(i) for i in p.interiors)) for p in polygons]


def _outline(ring: Any) -> Outline:
    points = [(float(x), float(y)) for x, y in (ring if ring.is_ccw else ring.reverse()).coords[:-1]]
    points = _plain(points)
    if len(points) < 3:
        raise Impossible((), "a region without area", "make it larger")
    first = _break(points)
    return outlined([*points[first:], *points[: first + 1]])


def _plain(points: Sequence[Point2]) -> list[Point2]:
    """Without points that come twice or lie on the line between their neighbours."""
    out = _swept([p for i, p in enumerate(points) if math.dist(p, points[i - 1]) > SAME])
    return [p for i, p in enumerate(out) if abs(_area(out[i - 1], p, out[(i + 1) % len(out)])) > FLAT]


def _swept(points: list[Point2]) -> list[Point2]:
    """With one point for each two that are a crumb apart: the one on an arc, where either is."""
    n, gone = len(points), set()
    for i, q in enumerate(points):
        if math.dist(q, points[i - 1]) < CRUMB and i - 1 not in gone:
            a, b, p, c, d = (points[(i + k) % n] for k in (-3, -2, -1, 1, 2))
            stays = _goes_on(a, b, p, c) or _goes_on(b, p, c, d) or not (_goes_on(a, b, q, c) or _goes_on(b, q, c, d))
            gone.add(i if stays else (i - 1) % n)
    return [p for i, p in enumerate(points) if i not in gone]


def _area(a: Point2, b: Point2, c: Point2) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _break(points: list[Point2]) -> int:
    """A corner at which no arc runs on; 0 for a full circle."""
    n = len(points)
    for i in range(n):
        before, here, after = (points[(i + k) % n] for k in (-1, 0, 1))
        if not _goes_on(points[i - 2], before, here, after):
            return i
    return 0


def _goes_on(a: Point2, b: Point2, c: Point2, d: Point2) -> bool:
    """Whether four points lie on one arc of short chords."""
    try:
        (m, r), (m2, r2) = arc_centre(a, b, c), arc_centre(b, c, d)
    except Impossible:
        return False
    near = math.dist(m, m2) < 1e-3 * max(1.0, r) and abs(r - r2) < 1e-3 * max(1.0, r)
    return near and abs(math.dist(m, d) - r) < SAME * 10 and all(
        math.dist(p, q) < 2 * r * math.sin(WIDEST) for p, q in ((a, b), (b, c), (c, d))
    )


def outlined(points: Sequence[Point2]) -> Outline:
    """A closed run of points, the first one again at its end, as lines and arcs. Arcs need three chords or more."""
    pieces: list[Line | Arc] = []
    i, last = 0, len(points) - 1
    while i < last:
        j = i + 3
        if j <= last and _goes_on(*points[i : i + 4]):
            while j < last and _goes_on(*points[j - 2 : j + 2]):
                j += 1
            pieces += _arcs(points[i : j + 1])
            i = j
        else:
            pieces.append(Line(points[i + 1]))
            i += 1
    return _closed(points[0], _joined(points[0], pieces))


def _closed(start: Point2, pieces: list[Line | Arc]) -> Outline:
    """The ring, with a chord of its last arc that came to stand at its beginning given back to that arc."""
    first, last = pieces[0], pieces[-1]
    begins = pieces[-2].end if len(pieces) > 2 else start
    if isinstance(first, Line) and isinstance(last, Arc) and len(pieces) > 2 and _runs_on(begins, last, first.end):
        return Outline(first.end, (*pieces[1:-1], Arc(last.middle, first.end)))
    return Outline(start, tuple(pieces))


def _joined(start: Point2, pieces: list[Line | Arc]) -> list[Line | Arc]:
    """Chords left between two arcs that touch are given to the arc before them."""
    out: list[Line | Arc] = []
    begins = start  # of the last piece
    for p in pieces:
        last = out[-1] if out else None
        if isinstance(last, Arc) and isinstance(p, Line) and _runs_on(begins, last, p.end):
            out[-1] = Arc(last.middle, p.end)
        else:
            begins = last.end if last else start
            out.append(p)
    return out


def _runs_on(begins: Point2, arc: Arc, end: Point2) -> bool:
    """Whether a short straight piece goes on along an arc's end."""
    if math.dist(arc.end, end) > CHORD:
        return False
    (x, y), r = arc_centre(begins, arc.middle, arc.end)
    return abs(math.dist((x, y), end) - r) < STRAY


def _arcs(on: Sequence[Point2]) -> list[Line | Arc]:
    """One arc through these points, or two for more than half a turn: three near points would not tell it well."""
    centre, r = arc_centre(on[0], on[len(on) // 2], on[-1] if math.dist(on[0], on[-1]) > SAME else on[len(on) // 4])
    start = math.atan2(on[0][1] - centre[1], on[0][0] - centre[0])
    left = _area(on[0], on[1], on[2]) > 0
    steps = [math.atan2(q[1] - centre[1], q[0] - centre[0]) for q in on]
    sweep = sum(((b - a) % math.tau) if left else -((a - b) % math.tau) for a, b in pairwise(steps))
    parts = 2 if abs(sweep) > math.pi * 0.9 else 1

    def at(share: float) -> Point2:
        return (centre[0] + r * math.cos(start + share * sweep), centre[1] + r * math.sin(start + share * sweep))

    ends = [at(1 / parts), on[-1]] if parts == 2 else [on[-1]]
    return [Arc(at((k + 0.5) / parts), end) for k, end in enumerate(ends)]
