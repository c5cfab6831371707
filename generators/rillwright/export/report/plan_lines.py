"""Lines in plan as SVG path data: outlines, milled strokes and areas. mm; y points down in SVG and is turned here."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from ...layout.features import Arc, Line, Outline
from ...layout.pockets import Area, Pocket, Stroke
from .markup import Markup, el

Point2 = tuple[float, float]


def box(outline: Outline) -> tuple[Point2, Point2]:
    """Lower left and upper right corner of all points that the outline is told by, mm."""
    middles = [p.middle for p in outline.pieces if isinstance(p, Arc)]
    points = [outline.start, *(p.end for p in outline.pieces), *middles]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return (min(xs), min(ys)), (max(xs), max(ys))


def line(start: Point2, pieces: Iterable[Line | Arc], closed: bool) -> str:
    """Path data of a line of straight pieces and arcs."""
    at, told = start, [f"M{start[0]:.3f} {-start[1]:.3f}"]
    for p in pieces:
        x, y = p.end
        if isinstance(p, Arc):
            radius, turn, wide = _arc(at, p)
            told.append(f"A{radius:.3f} {radius:.3f} 0 {wide} {turn} {x:.3f} {-y:.3f}")
        else:
            told.append(f"L{x:.3f} {-y:.3f}")
        at = p.end
    return "".join([*told, "Z" if closed else ""])


def outline_path(outline: Outline) -> str:
    """Path data of a closed outline."""
    return line(outline.start, outline.pieces, True)


def pockets(found: Sequence[Pocket], size: float) -> list[Markup]:
    """Milled shapes: strokes as wide as they are cut, areas with their islands left out. `size`: mm of a thin line."""
    return [_pocket(p, size) for p in found]


def _pocket(p: Pocket, size: float) -> Markup:
    kind = f"pocket {p.role}"
    if isinstance(p.shape, Stroke):
        path = p.shape.path
        return el("path", d=line(path.start, path.pieces, path.closed), class_=f"{kind} stroke", stroke_width=p.shape.width)
    assert isinstance(p.shape, Area)
    data = "".join(outline_path(o) for o in (p.shape.outside, *p.shape.islands))
    return el("path", d=data, class_=f"{kind} area", stroke_width=size, fill_rule="evenodd")


def _arc(start: Point2, arc: Arc) -> tuple[float, int, int]:
    """Radius, SVG's sweep flag and large-arc flag of an arc through its middle."""
    (ax, ay), (bx, by), (cx, cy) = start, arc.middle, arc.end
    cross = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
    sides = math.dist(start, arc.middle) * math.dist(arc.middle, arc.end) * math.dist(start, arc.end)
    radius = sides / (2 * abs(cross)) if cross else math.dist(start, arc.end)
    dot = (ax - bx) * (cx - bx) + (ay - by) * (cy - by)  # an angle under 90° at the middle: more than half a turn
    return radius, int(cross < 0), int(dot > 0)
