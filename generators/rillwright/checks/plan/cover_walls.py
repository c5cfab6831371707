"""Walls and webs in the face between a body and its cover, in plan. Lengths in mm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from ...layout.pockets import Point2
from ...spec.job import Limits
from ..finding import Outcome
from ..report import Case, outcome
from .cover_face import CoverFace, Shape, gap, near_pairs, on

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


def _width(piece: Any, wet: Any) -> tuple[float, Point2, Point2] | None:
    """Width of a thin part between the two stretches that it touches, with its ends; None for the wedge where two
    stretches meet, which has one stretch round it."""
    import shapely

    touched = shapely.line_merge(wet.boundary.intersection(piece.buffer(2e-3)))
    sides = [g for g in getattr(touched, "geoms", [touched]) if g.geom_type == "LineString" and g.length > 0.05]
    found: tuple[float, Point2, Point2] | None = None
    for i, a in enumerate(sides):
        for b in sides[:i]:
            if a.distance(b) < 1e-6:
                continue
            (px, py), (qx, qy) = shapely.get_coordinates(shapely.shortest_line(a, b)).tolist()
            width = shapely.Point(px, py).distance(shapely.Point(qx, qy))
            middle = shapely.Point((px + qx) / 2, (py + qy) / 2)
            if (found is None or width < found[0]) and not wet.contains(middle):
                found = (width, (px, py), (qx, qy))
    return found


def _at(all_: Sequence[Shape], p: Point2) -> str:
    import shapely

    at = shapely.Point(p)
    return min(all_, key=lambda s: float(s.region.distance(at))).name
