"""Screw and mounting holes: patterns, and the hole itself."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Protocol

from ..spec.plate import Circle, Grid, Holes, Perimeter, Plate, Row
from ..standards import screws, threads
from . import profiles
from .features import Feature, Outline, Profile
from .geometry import segment_distance
from .outline import Impossible, Point, distance_to, require_on_plate, sampled
from .run_out import full_thread

MOST_HOLES = 3000  # on one plate: the walls between all pairs are measured, and no sheet of this trade has more


def pattern(h: Holes, plate: Plate, outline: Outline) -> list[Point]:
    """Plan places of the holes, mm."""
    return places(h) if h.perimeter is None else _perimeter(h.perimeter, plate, outline)


class Placed(Protocol):
    """What says where holes are: one of these is given."""

    @property
    def at(self) -> list[Point] | None: ...
    @property
    def row(self) -> Row | None: ...
    @property
    def grid(self) -> Grid | None: ...
    @property
    def circle(self) -> Circle | None: ...


def places(h: Placed) -> list[Point]:
    """Plan places of a pattern that needs no outline, mm."""
    if h.at is not None:
        return list(h.at)
    if h.row is not None:
        return _row(h.row)
    if h.grid is not None:
        return _grid(h.grid)
    assert h.circle is not None
    return _circle(h.circle)


def _row(r: Row) -> list[Point]:
    n = r.count - 1
    return [tuple(a + (b - a) * i / n for a, b in zip(r.start, r.to, strict=True)) for i in range(r.count)]  # type: ignore[misc]


def _grid(g: Grid) -> list[Point]:
    (cx, cy), (px, py) = g.centre, g.pitch
    xs = [cx + (i - (g.columns - 1) / 2) * px for i in range(g.columns)]
    return [(x, cy + (j - (g.rows - 1) / 2) * py) for j in range(g.rows) for x in xs]


def _circle(c: Circle) -> list[Point]:
    turns = [math.radians(c.start_angle) + math.tau * i / c.count for i in range(c.count)]
    return [(c.centre[0] + c.diameter / 2 * math.cos(t), c.centre[1] + c.diameter / 2 * math.sin(t)) for t in turns]


def _perimeter(p: Perimeter, plate: Plate, outline: Outline) -> list[Point]:
    o = plate.outline
    if o.polygon is not None:
        return _along(outline, p)
    assert o.length is not None
    assert o.width is not None
    x, y = o.length / 2 - p.inset, o.width / 2 - p.inset
    if min(x, y) <= 0:
        raise Impossible(("perimeter", "inset"), f"an inset of {p.inset:g} mm leaves no room", "give a smaller one")
    k = max(0.0, o.corner_radius - p.inset) * (1 - math.sqrt(0.5))  # corner holes stand on the inset arc
    corners = [(-x + k, -y + k), (x - k, -y + k), (x - k, y - k), (-x + k, y - k)]
    out: list[Point] = []
    for i, (a, b) in enumerate(pairwise([*corners, corners[0]])):
        n = math.ceil(math.dist(a, b) / p.pitch - 1e-9)
        out.append(a)
        for j in range(1, n):
            along = tuple(u + (v - u) * j / n for u, v in zip(a, b, strict=True))
            out.append((along[0], math.copysign(y, a[1])) if i % 2 == 0 else (math.copysign(x, a[0]), along[1]))
    return out


def _along(outline: Outline, p: Perimeter) -> list[Point]:
    """Evenly along the inset curve of any outline: shifted samples that keep the full distance."""
    points = [outline.start, *sampled(outline, 0.5)]
    path: list[Point] = []
    for a, b in pairwise(points):
        n = math.dist(a, b)
        normal = (-(b[1] - a[1]) / n, (b[0] - a[0]) / n)
        for j in range(max(1, math.ceil(n / 0.5))):
            t = j * 0.5 / n
            q = (a[0] + t * (b[0] - a[0]) + p.inset * normal[0], a[1] + t * (b[1] - a[1]) + p.inset * normal[1])
            if distance_to(outline, q) >= p.inset - 0.01:
                path.append(q)
    if len(path) < 3:
        raise Impossible(("perimeter", "inset"), f"an inset of {p.inset:g} mm leaves no room", "give a smaller one")
    path.append(path[0])
    reach = [0.0]
    for a, b in pairwise(path):
        reach.append(reach[-1] + math.dist(a, b))
    n_holes = max(2, math.ceil(reach[-1] / p.pitch))
    picked = []
    for i in range(n_holes):
        at = reach[-1] * i / n_holes
        j = next(k for k in range(1, len(reach)) if reach[k] >= at)
        t = (at - reach[j - 1]) / max(reach[j] - reach[j - 1], 1e-12)
        picked.append(tuple(round(u + t * (v - u), 3) for u, v in zip(path[j - 1], path[j], strict=True)))
    return picked  # type: ignore[return-value]


def hole_features(
    h: Holes, plate: Plate, outline: Outline, others: list[Feature]
) -> tuple[list[Feature], list[Point]]:
    """Holes of one pattern, and the places left out because something stood too near (`avoid`)."""
    made: list[Feature] = []
    left_out: list[Point] = []
    places = pattern(h, plate, outline)
    if len(others) + len(places) > MOST_HOLES:
        what = f"{len(places)} holes here and {len(others)} features before them are more than {MOST_HOLES} on one plate"
        raise Impossible((), what, "take fewer holes or a wider pitch")
    reaches = [(o, _reach(o)) for o in others]
    for i, at in enumerate(places, 1):
        hole = _hole(h, plate, h.name if len(places) == 1 else f"{h.name}-{i}", at)
        require_on_plate(outline, at, hole.name, ())
        if h.avoid is not None and _beside(hole, reaches, h.avoid):
            left_out.append(at)
        else:
            made.append(hole)
            reaches.append((hole, _reach(hole)))
    return made, left_out


def _reach(f: Feature) -> float:
    """Circle in plan round the origin that a feature stays in, mm."""
    return f.radius + (f.depth if abs(f.axis[2]) < 1 else 0.0)


def _beside(hole: Feature, others: list[tuple[Feature, float]], gap: float) -> bool:
    """Whether a vertical hole comes nearer than `gap`, mm, to any of the features, each with its reach in plan."""
    (x, y, _), around = hole.origin, hole.radius + gap
    for o, reach in others:
        u, v, _ = o.origin
        if (x - u) ** 2 + (y - v) ** 2 <= (around + reach) ** 2 and _near(hole, o, gap):
            return True
    return False


def _near(a: Feature, b: Feature, gap: float) -> bool:
    """Whether two features' enclosing cylinders come nearer than `gap`, mm: may say yes too early, never too late."""
    apart = math.dist(a.origin[:2], b.origin[:2])
    if b.role == "tube-channel":
        return b.facts["inner_radius"] - gap < apart + a.radius and apart - a.radius < b.facts["outer_radius"] + gap
    seg = [(f.at(max(0.0, min(z for _, z in f.profile))), f.at(f.depth)) for f in (a, b)]
    return segment_distance(seg[0], seg[1]) < a.radius + b.radius + gap


def _hole(h: Holes, plate: Plate, name: str, at: Point) -> Feature:
    t = plate.stock.thickness
    through = h.depth is None
    end = t + profiles.STAND_OUT if h.depth is None else h.depth
    z, up = (0.0, -1.0) if h.cut_from == "seal" else (-t, 1.0)
    profile, call, facts = _kind(h, end)
    deep = "through" if through else f"× {end:g}"
    other = "outer" if h.cut_from == "seal" else "seal"
    return Feature(
        name, "screw" if h.kind != "tapped" else "mounting", (at[0], at[1], z), (0.0, 0.0, up), profile, h.cut_from,
        (h.cut_from, other) if through else (h.cut_from,), call_out=f"{call} {deep}", facts=facts, thread=h.thread,
    )  # fmt: skip


def _kind(h: Holes, end: float) -> tuple[Profile, str, dict[str, float]]:
    if h.kind == "tapped":
        r = threads.metric(h.thread).tap_drill / 2
        if h.depth is None:
            return profiles.stepped([(r, end)]), f"{h.thread} tapped, bore Ø{2 * r:g}", {"hole_radius": r}
        full = full_thread(h.thread, h.depth)
        return (profiles.stepped([(r, end)], "drill"), f"{h.thread}, full thread {round(full, 2):g}, bore Ø{2 * r:g}",
                {"hole_radius": r, "full_thread": full})  # fmt: skip
    r = screws.clearance_hole(h.thread, h.fit) / 2
    if h.kind == "clearance":
        tip = "flat" if h.depth is None else "drill"
        return profiles.stepped([(r, end)], tip), f"Ø{2 * r:g}", {"hole_radius": r}
    if h.kind == "countersunk":
        mouth = screws.countersunk(h.thread, standard="ISO 10642").head_diameter_theoretical_max / 2
        facts = {"hole_radius": r, "mouth_radius": mouth, "countersink_end": mouth - r}
        return profiles.countersunk(mouth, r, end), f"Ø{2 * r:g}, countersink 90° Ø{2 * mouth:.2f}", facts
    cap = screws.cap(h.thread)
    wide, deep = cap.counterbore_diameter / 2, cap.counterbore_depth
    facts = {"hole_radius": r, "counterbore": deep, "mouth_radius": wide}
    return profiles.stepped([(wide, deep), (r, end)]), f"Ø{2 * r:g}, counterbore Ø{2 * wide:g} × {deep:g}", facts
