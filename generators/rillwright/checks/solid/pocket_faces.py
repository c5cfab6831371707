"""Where points lie against what is milled: the analytic walls, floor and floor radius of a pocket."""

from __future__ import annotations

import math
from functools import partial

import numpy as np
import numpy.typing as npt

from ...layout.features import Arc, Outline
from ...layout.outline import arc_centre
from ...layout.paths import Bow, pieces
from ...layout.pockets import Path, Pocket, Stroke

Floats = npt.NDArray[np.float64]
Point2 = tuple[float, float]
HAIR = (1.3e-7, 0.7e-7)  # mm


def to_line(a: Point2, b: Point2, points: Floats) -> Floats:
    """Distance (n,) of plan points (n, 2) to a straight piece, mm."""
    d = np.subtract(b, a)
    t = np.clip((points - a) @ d / (d @ d), 0, 1)
    distance: Floats = np.hypot(*(points - a - t[:, None] * d).T)
    return distance


def to_arc(start: Point2, arc: Arc, points: Floats) -> Floats:
    """Distance (n,) of plan points (n, 2) to a circular piece, mm."""
    centre, r = arc_centre(start, arc.middle, arc.end)
    rel = points - centre
    a0, am, a1 = (math.atan2(q[1] - centre[1], q[0] - centre[0]) for q in (start, arc.middle, arc.end))
    if (am - a0) % math.tau > (a1 - a0) % math.tau:
        a0, a1 = a1, a0
    inside = (np.arctan2(rel[:, 1], rel[:, 0]) - a0) % math.tau <= (a1 - a0) % math.tau
    ends = np.minimum(np.hypot(*(points - start).T), np.hypot(*(points - arc.end).T))
    distance: Floats = np.where(inside, np.abs(np.hypot(*rel.T) - r), ends)
    return distance


def to_path(path: Path | Outline, points: Floats) -> Floats:
    """Distance (n,) of plan points (n, 2) to a line of pieces, mm."""
    best = np.full(len(points), np.inf)
    at = path.start
    for p in path.pieces:
        piece = partial(to_arc, at, p) if isinstance(p, Arc) else partial(to_line, at, p.end)
        if isinstance(p, Arc) or math.dist(at, p.end) > 1e-9:
            best = np.minimum(best, piece(points))
        at = p.end
    return best


def inside(outline: Outline, points: Floats) -> npt.NDArray[np.bool_]:
    """Which plan points (n, 2) lie inside an outline: crossings of a ray, arcs as their chords and bows."""
    found = np.zeros(len(points), bool)
    points = points + HAIR  # corners of a mesh lie on chords exactly, where a chord and its bow must not disagree
    x, y = points.T
    b = outline.start
    for p in outline.pieces:
        a, b = b, p.end
        if a[1] != b[1]:
            crossed = ((a[1] > y) != (b[1] > y)) & (x < a[0] + (y - a[1]) * (b[0] - a[0]) / (b[1] - a[1]))
            found ^= crossed
        if isinstance(p, Arc):
            centre, r = arc_centre(a, p.middle, b)

            def side(q: Floats, a: Point2 = a, b: Point2 = b) -> Floats:
                return (b[0] - a[0]) * (q[..., 1] - a[1]) - (b[1] - a[1]) * (q[..., 0] - a[0])

            bow = (np.hypot(*(points - centre).T) < r) & (side(points) * side(np.asarray(p.middle)) > 0)
            found ^= bow
    return found


def inset(pocket: Pocket, points: Floats) -> Floats:
    """How far (n,) plan points (n, 2) lie inside a pocket's edge, mm; negative outside it."""
    if isinstance(pocket.shape, Stroke):
        return pocket.shape.width / 2 - to_path(pocket.shape.path, points)
    edges = [pocket.shape.outside, *pocket.shape.islands]
    near = np.min([to_path(e, points) for e in edges], axis=0)
    within = inside(edges[0], points)
    for island in edges[1:]:
        within &= ~inside(island, points)
    signed: Floats = np.where(within, near, -near)
    return signed


def pocket_distance(pocket: Pocket, thickness: float, points: Floats) -> Floats:
    """Distance (n,) of points (n, 3) in the plate's frame to the pocket's walls and floor, mm.

    A pocket is the sweep of one section, so the distance is that in the section: inset across, depth along.
    """
    s = inset(pocket, points[:, :2])
    deep = -points[:, 2] if pocket.face == "seal" else points[:, 2] + thickness
    depth, r = (thickness, 0.0) if len(pocket.mouths) > 1 else (pocket.depth, pocket.floor_radius)
    wall = np.hypot(s, np.maximum(0.0, np.maximum(-deep, deep - depth + r)))
    if len(pocket.mouths) > 1:
        return wall
    floor = np.hypot(np.maximum(0.0, r - s), deep - depth)
    best: Floats = np.minimum(wall, floor)
    if r > 0:
        round_ = np.abs(np.hypot(s - r, deep - depth + r) - r)
        best = np.where((s < r) & (deep > depth - r), np.minimum(best, round_), best)
    return best


def plan_box(pocket: Pocket) -> tuple[float, float, float, float]:
    """Smallest and largest x and y (x0, y0, x1, y1) of a pocket, mm; may be a little too large, never too small."""
    shape = pocket.shape
    line, grow = (shape.path, shape.width / 2) if isinstance(shape, Stroke) else (shape.outside, 0.0)
    xs, ys = zip(*_reached(line), strict=True)
    return min(xs) - grow, min(ys) - grow, max(xs) + grow, max(ys) + grow


def _reached(line: Path | Outline) -> list[Point2]:
    """Ends of all pieces, and where arcs reach furthest to each side."""
    out = [line.start]
    for p in pieces(line):
        out.append(p.end)
        if isinstance(p, Bow):
            first = p.first if p.sweep > 0 else p.first + p.sweep
            quarters = (k * math.pi / 2 for k in range(4))
            out += [p.on(q) for q in quarters if (q - first + 1e-9) % math.tau <= abs(p.sweep) + 2e-9]
    return out
