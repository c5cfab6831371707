"""What is drawn on a view beside its lines: centre marks, threads, tags, running dimensions, the datum. mm of paper."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from ...layout import paths
from ...layout.features import Feature, Line, PlateLayout, Vec3
from ...layout.pockets import Pocket
from ...standards import threads
from . import dims
from .canvas import Canvas, Point
from .crowd import FAINT, Crowd
from .frames import Eye, in_part
from .symbols import arrow
from .tags import Group, Tagged, number, short
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
    crosses = []
    for (x, y), r in drawn.items():
        out = r + OVER * (0.6 if r < 3 else 1.0)
        crosses += [((x - out, y), (x + out, y)), ((x, y - out), (x, y + out))]
    for a, b in crosses:
        spot.canvas.line(a, b, "centre")
    crowd.lines([(*a, *b) for a, b in crosses], FAINT)


def axes(plate: PlateLayout, eye: Eye, spot: Spot, found: list[Group]) -> None:
    """Centre lines of bores that lie in the plane of the view, or slant to it."""
    for f in (m.item for g in found for m in g.members):
        if isinstance(f, Feature) and abs(f.axis[2]) < 0.999:
            a, b = (spot.at(eye.sees(in_part(plate, f.at(d)))) for d in (-3.0 / spot.scale, f.depth + 3.0 / spot.scale))
            spot.canvas.line(a, b, "centre")


def _thread(spot: Spot, p: Point, f: Feature, crowd: Crowd) -> None:
    if f.role not in ("port", "plug", "mounting") or not f.thread:
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


def levels(
    plate: PlateLayout, eye: Eye, spot: Spot, found: list[Group], edge: str, tall: bool
) -> list[tuple[float, str]]:
    """Places of an edge's features between the faces, and of the seal face that they are measured from."""
    values = along(plate, eye, spot, found, [edge], 2)
    return [*values, (spot.at(eye.sees((0.0, 0.0, 0.0)))[0 if tall else 1], "0 (A)")] if values else []


def origin(eye: Eye, spot: Spot, corner: Point, crowd: Crowd) -> None:
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


def from_middle(
    plate: PlateLayout, eye: Eye, spot: Spot, found: list[Group], edge: str
) -> list[tuple[float, str]]:
    """Running dimensions along an edge at an angle, from its middle."""
    side = _side(plate, edge)
    middle = eye.sees((*side, 0.0))[0]
    out = {}
    for m in on_face(found, edge):
        along_edge = eye.sees(in_part(plate, m.at))[0]
        out[number(along_edge - middle)] = spot.at((along_edge, 0.0))[0]
    return [(p, text) for text, p in out.items()]


def _side(plate: PlateLayout, edge: str) -> Point:
    """Middle of a straight edge of a polygon, in plan."""
    starts = [plate.outline.start, *(p.end for p in plate.outline.pieces)]
    sides = [(a, p.end) for a, p in zip(starts, plate.outline.pieces, strict=False) if isinstance(p, Line)]
    (ax, ay), (bx, by) = sides[int(edge.removeprefix("edge-")) - 1]
    return (ax + bx) / 2, (ay + by) / 2


def corners(plate: PlateLayout, eye: Eye, spot: Spot, crowd: Crowd) -> None:
    """Radius of the outline's corners, once for each, at the lowest corner on the right."""
    bows = [p for p in paths.pieces(plate.outline) if isinstance(p, paths.Bow)]
    for radius in dict.fromkeys(round(b.radius, 3) for b in bows):
        alike = [b for b in bows if round(b.radius, 3) == radius]
        seen = [(spot.at(eye.sees((*b.on(b.first + b.sweep / 2), 0.0))), b) for b in alike]
        tip, bow = max(seen, key=lambda v: v[0][0] - v[0][1])
        c = spot.at(eye.sees((*bow.centre, 0.0)))
        n = math.dist(tip, c)
        out = ((tip[0] - c[0]) / n, (tip[1] - c[1]) / n)
        knee = (tip[0] + 9 * out[0], tip[1] + 9 * out[1])
        text = f"R{short(radius)}" + (f" ({len(alike)}×)" if len(alike) > 1 else "")
        dims.leader(spot.canvas, tip, knee, text)
        crowd.box(knee[0], knee[1] - 1, knee[0] + 15, knee[1] + 4)


def cut_threads(
    plate: PlateLayout, eye: Eye, spot: Spot, found: list[Group], on_plane: Callable[[Vec3], bool]
) -> None:
    """Threads that a section runs along: major diameter thin, end of full thread wide, ISO 6410-1."""
    for f in (m.item for g in found for m in g.members):
        if not isinstance(f, Feature) or f.role not in ("port", "plug", "mounting") or not f.thread:
            continue
        if not all(on_plane(in_part(plate, f.at(d))) for d in (0.0, 10.0)):
            continue
        major = (threads.metric(f.thread).diameter if f.role == "mounting" else threads.pipe(f.thread).major_diameter) / 2
        top, full = f.facts.get("spotface_depth", 0.0), f.facts.get("full_thread", f.depth)
        a, b = (eye.sees(in_part(plate, f.at(d))) for d in (top, full))
        ux, uy = (b[0] - a[0]) / (full - top), (b[1] - a[1]) / (full - top)
        ends = []
        for s in (-major, major):
            p, q = (spot.at((v[0] - s * uy, v[1] + s * ux)) for v in (a, b))
            spot.canvas.line(p, q, "thin")
            ends.append(q)
        spot.canvas.line(ends[0], ends[1], "visible")


def overall(canvas: Canvas, box: Box, length: float, width: float, crowd: Crowd) -> None:
    """Length above and width right of the main view."""
    left, low, right, high = box
    dims.across(canvas, (left, high), (right, high), high + 8, short(length))
    dims.upright(canvas, (right, low), (right, high), right + 14, short(width))
    crowd.box(left, high + 6, right, high + 12)
    crowd.box(right + 9, low, right + 15, high)
