"""Walls and webs in the face between a body and its cover, in plan. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

from ...layout.pockets import Point2
from ...spec.job import Limits
from ..finding import Outcome
from ..report import Case, outcome
from .cover_face import CoverFace, Shape, gap, near_pairs, on

Web = tuple[float, Point2, Point2]  # width, and a point on either side of it
WEDGE = 0.15  # width that is left at a wedge's tip, as a share of that at its mouth, by the chords and the arcs beside it
CRUMB = 0.02  # mm²: what is left of smaller area is the chords' own doing
METHOD = "distances of lines and arcs in plan"


def walls(faces: Sequence[CoverFace], limits: Limits) -> Outcome:
    """Flat between channels of different loops, and between channels and dry holes, as they open in a face, mm."""
    return outcome("cover.wall", [c for f in faces for c in _walls(f, limits.wall_wet)], METHOD)


def _walls(face: CoverFace, limit: float) -> Iterator[Case]:
    all_ = face.shapes
    wet = [s for s in all_ if s.kind == "channel"]
    rest = [s for s in all_ if s.kind in ("channel", "hole")]
    done: set[frozenset[int]] = set()
    for s in wet:
        strangers = [o for o in rest if o.loop != s.loop]
        for a, b in near_pairs([s], strangers, limit):
            if (pair := frozenset((id(a), id(b)))) in done:
                continue
            done.add(pair)
            width, p, q = gap(a, b)
            nets = tuple(sorted({n for n in (a.loop, b.loop) if n}))
            yield Case(face.body.name, (a.name, b.name), width, limit, "the wall between them is thin where they open",
                       f"move them {limit - width:.2f} mm apart, or make one narrower", on(face, p, q), nets)  # fmt: skip


def webs(faces: Sequence[CoverFace], limits: Limits) -> Outcome:
    """Thinnest web between folds of one loop's channels, mm; a loop without one counts as its limit."""
    cases = [c for f in faces for c in _webs(f, limits.wall_same)]
    return outcome("cover.web", cases, "what an opening by half the limit leaves of the face", bound="lower")


def _webs(face: CoverFace, limit: float) -> Iterator[Case]:
    import shapely

    if limit <= 0:
        return
    all_ = [s for s in face.shapes if s.kind == "channel"]
    for loop in sorted({s.loop or "" for s in all_}):
        own = [s for s in all_ if s.loop == loop]
        wet = shapely.union_all([s.region for s in own])
        thin = [w for piece in _leavings(wet, limit) if (w := _width(piece, wet)) is not None]
        for width, p, q in thin:
            names = tuple(sorted({_at(own, p), _at(own, q)}))
            yield Case(face.body.name, names, width, limit, "a web between two stretches of its loop is thin",
                       f"move them {limit - width:.2f} mm apart, or join them", on(face, p, q), (loop,))  # fmt: skip
        if not thin:
            yield Case(face.body.name, tuple(s.name for s in own[:1]), limit, limit, "", "", (), (loop,))


def _leavings(wet: Any, limit: float) -> list[Any]:
    """Parts of the face round a loop that a disc of the limit's diameter cannot reach."""
    x0, y0, x1, y1 = wet.bounds
    import shapely

    face = shapely.box(x0 - 4 * limit, y0 - 4 * limit, x1 + 4 * limit, y1 + 4 * limit).difference(wet)
    opened = face.buffer(-limit / 2, quad_segs=16).buffer(limit / 2 + 1e-3, join_style="mitre", mitre_limit=2)
    left = face.difference(opened)
    return [g for g in getattr(left, "geoms", [left]) if not g.is_empty and g.area > CRUMB]


def _width(piece: Any, wet: Any) -> Web | None:
    """Width of a thin part with its ends; None for the wedge where two channels meet, which narrows to nothing."""
    import shapely

    touched = shapely.line_merge(wet.boundary.intersection(piece.buffer(2e-3)))
    sides = [g for g in getattr(touched, "geoms", [touched]) if g.geom_type == "LineString" and g.length > 0.05]
    if len(sides) == 1:
        return _island(piece) if sides[0].is_closed else _fold(sides[0])
    apart = [_between(a, b) for i, a in enumerate(sides) for b in sides[:i]]
    return min((w for w in apart if w[0] > 1e-6 and not wet.contains(_middle(w))), default=None)


def _between(a: Any, b: Any) -> Web:
    import shapely

    (px, py), (qx, qy) = shapely.get_coordinates(shapely.shortest_line(a, b)).tolist()
    return math.hypot(qx - px, qy - py), (px, py), (qx, qy)


def _middle(w: Web) -> Any:
    import shapely

    (_, p, q) = w
    return shapely.Point((p[0] + q[0]) / 2, (p[1] + q[1]) / 2)


def _island(piece: Any) -> Web:
    """A part with coolant all round: the shorter side of the box round it."""
    import shapely

    a, b, c = shapely.get_coordinates(piece.minimum_rotated_rectangle.exterior)[:3].tolist()
    p, q = min(((a, b), (b, c)), key=lambda side: math.dist(*side))
    return math.dist(p, q), (p[0], p[1]), (q[0], q[1])


def _fold(side: Any) -> Web | None:
    """A part that one stretch goes round: its least width, unless inwards it narrows to nothing as a wedge does."""
    from shapely.ops import substring

    half = side.length / 2
    steps = [half * k / 32 for k in range(1, 33)]  # from the middle of the stretch, which is the root, outwards
    widths = [_between(side.interpolate(half - u), substring(side, half + u / 2, side.length)) for u in steps]
    if 2 * widths[15][0] - widths[31][0] < WEDGE * widths[31][0]:
        return None
    return min(w for w, u in zip(widths, steps, strict=True) if w[0] < 0.9 * u or u == half)


def _at(all_: Sequence[Shape], p: Point2) -> str:
    import shapely

    at = shapely.Point(p)
    return min(all_, key=lambda s: float(s.region.distance(at))).name
