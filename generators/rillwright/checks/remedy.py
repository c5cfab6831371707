"""The nearest remedy for a wall that is too thin: which feature to move or shorten, which way and how far.

Directions and lengths are those of the parameter file (mm). Moving one of two bodies by t along an axis adds at least
t·|n| to their distance, n being that axis' part of the unit vector between their closest points, as long as both are
convex there (the plane across the closest points parts them): so the length given is enough, and the least where only
one axis counts.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from ..layout.features import Feature, PlateLayout, Vec3
from ..layout.geometry import add, axis_parameter, dot, length, sub, unit
from ..layout.operations import inward
from .plan.envelopes import apart

STEEP = 0.2  # an axis with less than this share of the way would have to move five times as far: no remedy
OWNED = ("tube-channel", "strut-seat", "strut-screw", "strut-groove")  # these move with their reservoir


@dataclass(frozen=True, slots=True)
class ThinWall:
    """A wall to cure: its features (`b` None: the outside called `outside`), closest points and figures, mm."""

    plate: PlateLayout
    a: Feature
    b: Feature | None
    outside: str
    at: tuple[Vec3, ...]
    measured: float
    limit: float


@dataclass(frozen=True, slots=True)
class Way:
    """Unit vector along which `a` has to go, seen from b, and by how much, mm."""

    along: Vec3
    short: float


def wall_remedy(w: ThinWall) -> str:
    """What to change, in one sentence; general words where no figure can be computed."""
    if w.b is not None and owner(w.a) == owner(w.b) and w.a.role in OWNED:
        return _within_reservoir(w)
    if w.b is not None and (w.b.name in w.a.joins or w.a.name in w.b.joins):
        end, other = (w.a, w.b) if w.b.name in w.a.joins else (w.b, w.a)
        return f"end {owner(end)} on a passage of its own loop {end.loop}: {owner(other)} belongs to {other.loop}"
    way = _way(w)
    if way is None:
        return f"move one of them until {w.limit:g} mm stand between them"
    cures = list(_cures(w, w.a, way))
    if w.b is not None:
        away = way.along
        cures += _cures(w, w.b, Way((-away[0], -away[1], -away[2]), way.short))
    if not cures:
        return f"bring them {way.short:.2f} mm further apart"
    return min(cures)[2]


def owner(f: Feature) -> str:
    """What stands for a feature in the file: its reservoir, or the thing of its own name."""
    return f.name.split(".")[0]


def _within_reservoir(w: ThinWall) -> str:
    assert w.b is not None
    short = w.limit - w.measured
    seat = next((f for f in (w.a, w.b) if f.role != "tube-channel"), None)
    ring = next((f for f in (w.a, w.b) if f.role == "tube-channel"), None)
    if seat is None or ring is None:
        return f"give the struts of {owner(w.a)} a pitch circle that keeps {w.limit:g} mm between them, or fewer struts"
    d = 2 * math.dist(seat.origin[:2], ring.origin[:2])
    outside = d / 2 > ring.facts["inner_radius"]
    return f"give the struts of {owner(w.a)} a pitch circle of {up(d + 2 * short) if outside else d - up(2 * short):.2f} mm"


def up(value: float) -> float:
    """Rounded up to 0.01 mm, so that the figure shown is enough."""
    return math.ceil(value * 100 - 1e-6) / 100


def _way(w: ThinWall) -> Way | None:
    if w.measured > 1e-6 and len(w.at) == 2:
        return Way(unit(sub(w.at[0], w.at[1])), w.limit - w.measured)
    if w.b is None:
        return _out_of_face(w)
    return _out_of_each_other(w.a, w.b, w.limit)


def _out_of_face(w: ThinWall) -> Way | None:
    face = w.outside.removesuffix(" face").removesuffix(" edge")
    try:
        n = inward(w.plate, face)
    except (KeyError, ValueError):
        return None  # a rounded corner has no one direction
    far = max(-dot(sub(p, _on(w.plate, face)), n) for p in _rims(w.a, n))
    return Way(n, w.limit + far)


def _on(plate: PlateLayout, face: str) -> Vec3:
    if face in ("seal", "outer"):
        return (0.0, 0.0, 0.0 if face == "seal" else -plate.thickness)
    n = inward(plate, face)
    corners = [plate.outline.start, *(p.end for p in plate.outline.pieces)]
    x, y = min(corners, key=lambda c: c[0] * n[0] + c[1] * n[1])
    return (x, y, 0.0)


def _rims(f: Feature, n: Vec3) -> Iterator[Vec3]:
    """Of each ring of the profile, the point that lies furthest against a direction."""
    across = add(n, f.axis, -dot(n, f.axis))
    size = length(across)
    for r, z in f.profile:
        if z >= -1e-9:
            yield f.at(z) if size < 1e-9 else add(f.at(z), across, -r / size)


def _core(f: Feature) -> float:
    facts = f.facts
    return facts["diameter"] / 2 if "diameter" in facts else facts.get("bore_radius", f.radius)


def _out_of_each_other(a: Feature, b: Feature, limit: float) -> Way | None:
    """For two features that run into each other: away from the other's axis."""
    if "tube-channel" in (a.role, b.role):
        return None  # in or out, over or under: the figures alone do not say which is meant
    along, miss = axis_parameter(a.origin, a.axis, (b.origin, b.at(1.0)))
    here = a.at(along)
    foot = b.at(dot(sub(here, b.origin), b.axis))
    away = sub(here, foot)
    if length(away) < 1e-6:
        c, d = a.axis, b.axis
        away = (c[1] * d[2] - c[2] * d[1], c[2] * d[0] - c[0] * d[2], c[0] * d[1] - c[1] * d[0])
    if length(away) < 1e-6:
        return None
    return Way(unit(away), limit + _core(a) + _core(b) - miss)


def _cures(w: ThinWall, f: Feature, way: Way) -> Iterator[tuple[int, float, str]]:
    """Every single change of one feature that cures it: how much it disturbs, how far, and the words."""
    blind = len(f.mouths) < 2
    if blind and dot(f.axis, way.along) < -0.999 and f.role not in OWNED:
        yield 0, way.short, f"make {owner(f)} {up(way.short):.2f} mm shallower"
    rank = 2 if f.role in OWNED else 1 if f.role in ("screw", "mounting") else 0
    for i, name in enumerate("xyz"):
        part = way.along[i]
        if abs(part) > STEEP and name in _free(w.plate, f):
            group = _group(w, f, name)
            if not group:
                continue
            far = up(way.short / abs(part))
            yield rank, far, f"move {group} {far:.2f} mm to {'+' if part > 0 else '-'}{name}"


def _free(plate: PlateLayout, f: Feature) -> str:
    """Directions in which a feature can go without leaving its face."""
    n = inward(plate, f.face)
    return "".join(name for name, part in zip("xyz", n, strict=True) if abs(part) < 1e-9)


def _group(w: ThinWall, f: Feature, axis: str) -> str:
    """The feature and all that it joins, as far as their faces let them go this way: they have to stay joined.

    Empty where one of them sits on a slanted edge, which it would leave.
    """
    if f.role in OWNED:
        return owner(f)
    every = {g.name: g for g in w.plate.features if g.role not in OWNED}
    names, queue = {f.name}, [f]
    while queue:
        g = queue.pop()
        for o in every.values():
            if o.name not in names and (o.name in g.joins or (o.wet and o.loop == g.loop and apart(o, g) <= 0)):
                names.add(o.name)
                queue.append(o)
    if w.b is not None and (w.b if f is w.a else w.a).name in names:
        names = {f.name}
    if axis != "z" and any(_free(w.plate, every[n]) == "z" for n in names if n in every):
        return ""
    movable = [n for n in every if n in names and axis in _free(w.plate, every[n]) and "." not in n]
    ports = {n for n in movable if every[n].role == "port"}
    # what goes on from a port has its place from it
    listed = [n for n in movable if not (ports & set(every[n].joins) and _same_axis(every, n, ports))]
    return " and ".join([", ".join(listed[:-1]), listed[-1]] if len(listed) > 1 else listed) or owner(f)


def _same_axis(every: dict[str, Feature], name: str, ports: set[str]) -> bool:
    f = every[name]
    return any(math.dist(f.origin, every[p].origin) < 1e-9 for p in ports & set(f.joins))
