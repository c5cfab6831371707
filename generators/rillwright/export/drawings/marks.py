"""What is drawn on a view beside its lines: centre marks, threads, tags, running dimensions, the datum. mm of paper."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ...layout.features import Feature, PlateLayout
from ...layout.pockets import Pocket
from ...standards import threads
from . import dims
from .canvas import Canvas, Point
from .crowd import FAINT, Crowd
from .frames import Eye, in_part
from .symbols import arrow
from .tags import Group, Tagged, number
from .views import Spot

FEW = 6  # a pattern of more holes gives its outermost places only; the table has the rest
OVER = 2.0  # how far a centre mark stands out of its circle
Box = tuple[float, float, float, float]


def on_face(found: list[Group], face: str) -> list[Tagged]:
    """What is cut from a face."""
    return [m for g in found for m in g.members if m.item.face == face]


def opening(found: list[Group], face: str) -> list[Tagged]:
    """What opens a face: cut from it, or through to it."""
    return [m for g in found for m in g.members if face in (m.item.face, *m.item.mouths)]


def point(plate: PlateLayout, eye: Eye, spot: Spot, m: Tagged) -> Point:
    """Where a tagged item is on the paper."""
    return spot.at(eye.sees(in_part(plate, m.at)))


def reach(item: Feature | Pocket) -> float:
    """Radius at its mouth, mm; 0 for a pocket."""
    return item.radius if isinstance(item, Feature) else 0.0


def centres(
    plate: PlateLayout, eye: Eye, spot: Spot, members: Sequence[Tagged], face: str, crowd: Crowd
) -> None:
    """Centre marks and, for tapped holes, the three quarter circle of ISO 6410-1."""
    drawn: dict[Point, float] = {}
    for m in members:
        if isinstance(m.item, Pocket):
            continue
        p = point(plate, eye, spot, m)
        key = (round(p[0], 2), round(p[1], 2))
        drawn[key] = max(drawn.get(key, 0.0), m.item.radius * spot.scale)
        if m.item.face == face:
            _thread(spot, p, m.item, crowd)
    for (x, y), r in drawn.items():
        out = r + OVER * (0.6 if r < 3 else 1.0)
        for a, b in (((x - out, y), (x + out, y)), ((x, y - out), (x, y + out))):
            spot.canvas.line(a, b, "centre")
            crowd.line(a, b, FAINT)


def axes(plate: PlateLayout, eye: Eye, spot: Spot, found: list[Group]) -> None:
    """Centre lines of bores that lie in the plane of the view, or slant to it."""
    for f in (m.item for g in found for m in g.members):
        if isinstance(f, Feature) and abs(f.axis[2]) < 0.999:
            a, b = (spot.at(eye.sees(in_part(plate, f.at(d)))) for d in (-3.0 / spot.scale, f.depth + 3.0 / spot.scale))
            spot.canvas.line(a, b, "centre")


def _thread(spot: Spot, p: Point, f: Feature, crowd: Crowd) -> None:
    if f.role not in ("port", "plug", "mounting"):
        return
    known = threads.pipe(f.thread).major_diameter if f.role != "mounting" else threads.metric(f.thread).diameter
    spot.canvas.arc(p, known / 2 * spot.scale, 100, 350, "thin")
    crowd.bow(p, known / 2 * spot.scale, 100, 350, FAINT)


def tag_all(plate: PlateLayout, eye: Eye, spot: Spot, members: Sequence[Tagged], crowd: Crowd) -> None:
    """One tag a place; features on one axis share it, as in `B1 C1`."""
    at: dict[tuple[float, float], list[Tagged]] = {}
    for m in members:
        p = point(plate, eye, spot, m)
        at.setdefault((round(p[0], 2), round(p[1], 2)), []).append(m)
    # Large ones first: they have least choice; a ring's tag stands at its rim.
    for p, there in sorted(at.items(), key=lambda v: -max(reach(m.item) for m in v[1])):
        rings = [m for m in there if m.item.role == "tube-channel"]
        plain = [m for m in there if m not in rings]
        for some in (rings, plain):
            if some:
                radius = max(reach(m.item) for m in some) * spot.scale
                crowd.tag(spot.canvas, p, radius, " ".join(m.tag for m in some))


def along(
    plate: PlateLayout, eye: Eye, spot: Spot, found: list[Group], faces: Sequence[str], axis: int
) -> list[tuple[float, str]]:
    """Values of a row of running dimensions: (place on the paper, text), for axis 0 (x), 1 (y) or 2 (z) of the plate."""
    horizontal = abs((eye.right, eye.up)[0][axis]) > 0.5
    out: dict[str, float] = {}
    for g in found:
        members = [m for m in g.members if m.item.face in faces]
        values = sorted({m.at[axis] for m in members})
        if len(members) > FEW and g.first.role in ("screw", "mounting"):
            values = [values[0], values[-1]]
        for m in members:
            if m.at[axis] in values:
                p = point(plate, eye, spot, m)
                out[number(m.at[axis])] = p[0] if horizontal else p[1]
    return [(p, text) for text, p in out.items()]


def origin(plate: PlateLayout, eye: Eye, spot: Spot, corner: Point, crowd: Crowd) -> None:
    """The datum of x and y, marked in the view, and its axes beside it at `corner`."""
    c = spot.canvas
    p = spot.at(eye.sees((0.0, 0.0, 0.0)))
    quarter = [(p[0] + 1.6 * math.cos(math.radians(t)), p[1] + 1.6 * math.sin(math.radians(t))) for t in range(0, 91, 15)]
    c.circle(p, 1.6)
    c.fill([p, *quarter])
    c.fill([p, *((2 * p[0] - x, 2 * p[1] - y) for x, y in quarter)])
    crowd.box(p[0] - 2, p[1] - 2, p[0] + 2, p[1] + 2, 10)
    for name, v in (("x", (1.0, 0.0, 0.0)), ("y", (0.0, 1.0, 0.0))):
        dx, dy = eye.sees(v)
        tip = (corner[0] + 9 * dx, corner[1] + 9 * dy)
        c.line(corner, tip)
        arrow(c, tip, corner)
        c.label((corner[0] + 11.5 * dx, corner[1] + 11.5 * dy), name, 2.5)
    c.circle(corner, 0.8)


def overall(canvas: Canvas, box: Box, length: float, width: float, crowd: Crowd) -> None:
    """Length above and width right of the main view."""
    left, low, right, high = box
    dims.across(canvas, (left, high), (right, high), high + 8, f"{length:g}")
    dims.upright(canvas, (right, low), (right, high), right + 14, f"{width:g}")
    crowd.box(left, high + 6, right, high + 12)
    crowd.box(right + 9, low, right + 15, high)
