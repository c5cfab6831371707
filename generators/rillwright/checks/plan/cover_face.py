"""What opens in the face between a body and its cover, as plan shapes that distances are measured between exactly.

Lengths mm. Nothing here knows how channels were routed or grooves placed: only what stands in the plates' layouts.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Literal

from ...layout import paths
from ...layout.features import Feature, PlateLayout
from ...layout.paths import Piece, Straight
from ...layout.pockets import Pocket, Point2, Stroke
from ..finding import Point
from .lands import mouth

EDGE = "the plate's edge"
ROUGH = 2e-3  # mm that chords may leave an arc by: distances are worked out from the arcs themselves
COVER_EDGE = "the cover's edge"


@dataclass(frozen=True)
class CoverFace:
    """A body's face with the cover on it, and what is asked of it, mm.

    `land`: flat beside a groove. `pitch`: most between screws along a groove, those that stand within `reach` of its
    middle line. `bond`: narrowest bonded flat; a face with one has no grooves. `cover` is None for a face looked at alone.
    """

    body: PlateLayout
    cover: PlateLayout | None
    side: Literal["seal", "outer"]
    land: float = 0.0
    pitch: float = math.inf
    reach: float = 0.0
    bond: float | None = None

    @cached_property
    def shapes(self) -> list[Shape]:
        """Everything that opens in the face, of body and cover (a hole of both once, as wide as its wider half), and
        their edges last."""
        found = list(_opening(self.body, self.side))
        edges = [_edge(self.body, EDGE)]
        if self.cover is not None:
            known = {(s.name, s.loop): s.reach for s in found}
            found += [s for s in _opening(self.cover, "seal") if s.reach > known.get((s.name, s.loop), -1.0)]
            if self.cover.outline != self.body.outline:
                edges.append(_edge(self.cover, COVER_EDGE))
        return [*found, *edges]


@dataclass(frozen=True, slots=True)
class Shape:
    """Something in plan: pieces with half a width round them, or an area (`reach` 0) with its inside."""

    name: str
    kind: Literal["channel", "groove", "hole", "edge"]
    loop: str | None
    pieces: tuple[Piece, ...]
    reach: float  # mm
    line: Any  # shapely: the pieces
    region: Any  # shapely: all that it covers

    @property
    def drawn(self) -> Any:
        """What tells quickly how near it may be: its line, or the whole of an area."""
        return self.region if self.reach == 0 and self.kind != "edge" else self.line


def _edge(plate: PlateLayout, name: str) -> Shape:
    o = plate.outline
    return Shape(name, "edge", None, tuple(paths.pieces(o)), o.chamfer, paths.line_string(o), paths.polygon(o))


def _opening(plate: PlateLayout, side: str) -> Iterator[Shape]:
    for p in plate.pockets:
        if side in p.mouths or p.face == side:
            yield _pocket(p)
    for f in plate.features:
        if side in f.mouths and (hole := _hole(f, 0.0 if side == "seal" else plate.thickness)) is not None:
            yield hole


def _pocket(p: Pocket) -> Shape:
    kind: Literal["channel", "groove", "hole"] = "groove" if p.role == "groove" else "channel" if p.wet else "hole"
    line = p.shape.path if isinstance(p.shape, Stroke) else p.shape.outside
    reach = p.shape.width / 2 if isinstance(p.shape, Stroke) else 0.0
    return Shape(p.name, kind, p.loop, tuple(paths.pieces(line)), reach, paths.line_string(line, ROUGH),
                 paths.region(p, ROUGH))  # fmt: skip


def _hole(f: Feature, down: float) -> Shape | None:
    """A bore where it opens in the face; None for one that runs along the face."""
    import shapely

    at, radius = mouth(replace(f, origin=(f.origin[0], f.origin[1], f.origin[2] + down)))
    if radius < 1e-9:
        return None
    point = shapely.Point(at)
    return Shape(f.name, "channel" if f.wet else "hole", f.loop, (Straight(at, at),), radius, point,
                 point.buffer(radius, quad_segs=paths.QUARTER))  # fmt: skip


def gap(a: Shape, b: Shape) -> tuple[float, Point2, Point2]:
    """Smallest distance between two shapes, mm, exact, and the nearest points of their middle lines; 0 where they meet.

    Shapely's answer on chords is the start; from there each point is set to the other line's nearest until both rest.
    """
    import shapely

    (px, py), (qx, qy) = shapely.get_coordinates(shapely.shortest_line(a.line, b.line)).tolist()
    p, q = (px, py), (qx, qy)
    covered = "edge" not in (a.kind, b.kind) and (a.reach == 0 or b.reach == 0) and a.region.intersects(b.region)
    if covered:
        return 0.0, p, q
    before = math.inf
    for _ in range(60):
        q = _nearest(b.pieces, p)
        p = _nearest(a.pieces, q)
        if before - (now := math.dist(p, q)) < 1e-10:
            break
        before = now
    return max(0.0, math.dist(p, q) - a.reach - b.reach), p, q


def _nearest(all_: Sequence[Piece], p: Point2) -> Point2:
    """The point on the pieces that is nearest to p."""
    piece = min(all_, key=lambda q: _distance(q, p))
    if isinstance(piece, Straight):
        n = piece.length
        if n < paths.NOTHING:
            return piece.start
        _, (tx, ty) = piece.at(0.0)
        s = min(n, max(0.0, (p[0] - piece.start[0]) * tx + (p[1] - piece.start[1]) * ty))
        return (piece.start[0] + s * tx, piece.start[1] + s * ty)
    away = math.dist(p, piece.centre)
    if away > paths.NOTHING and abs(piece.distance(p) - abs(away - piece.radius)) < 1e-12:
        k = piece.radius / away
        return (piece.centre[0] + k * (p[0] - piece.centre[0]), piece.centre[1] + k * (p[1] - piece.centre[1]))
    return min((piece.start, piece.end), key=lambda e: math.dist(e, p))


def _distance(piece: Piece, p: Point2) -> float:
    return math.dist(piece.start, p) if piece.length < paths.NOTHING else piece.distance(p)


def near_pairs(some: Sequence[Shape], others: Sequence[Shape], within: float) -> Iterator[tuple[Shape, Shape]]:
    """Pairs that may come nearer than `within` mm, and of each that has none nearer its nearest."""
    import shapely

    if not some or not others:
        return
    tree = shapely.STRtree([s.drawn for s in others])
    widest = max(s.reach for s in others)
    for s in some:
        hits = tree.query(s.drawn, predicate="dwithin", distance=within + 0.1 + s.reach + widest)
        if len(hits) == 0:
            hits = [tree.nearest(s.drawn)]
        yield from ((s, others[int(i)]) for i in hits)


def on(face: CoverFace, *points: Point2) -> tuple[Point, ...]:
    """Plan points as places in the body's frame."""
    z = 0.0 if face.side == "seal" else -face.body.thickness
    return tuple((x, y, z) for x, y in points)


def named(loop: str | None) -> tuple[str, ...]:
    """The net of a finding."""
    return (loop,) if loop else ()
