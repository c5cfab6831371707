"""Whether two passages run into each other, from their placed numbers: a drill's flat end and point counted as they are.

Two axes that cross are not enough, and neither is a distance less both radii: a drilling ends in a cone, not in a
ball. A figure of 0 is always a true meeting; one above 0 may be a little too large, never too small.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from ...layout import geometry, paths
from ...layout.features import Feature, Vec3
from ...layout.pockets import Pocket, Stroke

TURNS = 24  # places round a rim
_RIM = [(math.cos(math.tau * i / TURNS), math.sin(math.tau * i / TURNS)) for i in range(TURNS)]


def gap_between(a: Feature, b: Feature) -> float:
    """Material left between two passages, mm; 0 where they meet. A spotface is no passage."""
    crossing, miss = _crossing(a, b)
    if crossing and miss <= _core(a) + _core(b):
        return 0.0  # most do: no need to walk their rims
    ends = _nearest(b, _caps(a))
    ends = min(ends, _nearest(a, _caps(b))) if ends > 0 else ends
    return min(ends, max(0.0, miss - _core(a) - _core(b))) if crossing else ends


def cross(a: Feature, b: Feature) -> bool:
    """Whether the full bores of two passages run through each other: quick, and never wrong where it says yes."""
    crossing, miss = _crossing(a, b)
    return crossing and miss <= _core(a) + _core(b)


def gap_at_least(a: Feature, b: Feature) -> float:
    """A figure that `gap_between` never falls below, mm, quickly: each passage lies within its radius of its axis."""
    axes = [(f.at(_start(f)), f.at(max(f.depth, _end(f)))) for f in (a, b)]
    return geometry.segment_distance(axes[0], axes[1]) - _core(a) - _core(b)


def _crossing(a: Feature, b: Feature) -> tuple[bool, float]:
    """Whether the axes pass each other within both full bores, and how far apart they do, mm."""
    s, miss = geometry.axis_parameter(a.origin, a.axis, (b.origin, b.at(1.0)))
    t, _ = geometry.axis_parameter(b.origin, b.axis, (a.origin, a.at(1.0)))
    return _start(a) <= s <= _end(a) and _start(b) <= t <= _end(b), miss


def gap_to_channel(f: Feature, channel: Pocket, thickness: float) -> float:
    """Material left between a passage and a milled channel, mm; 0 where they meet, else by points of the passage."""
    if not isinstance(channel.shape, Stroke):
        return math.inf
    low, high = (-channel.depth, 0.0) if channel.face == "seal" else (-thickness, channel.depth - thickness)
    steps = [f.at(_start(f) + (_end(f) - _start(f)) * i / TURNS) for i in range(TURNS + 1)]
    best = math.inf
    for x, y, z in (*steps, *_caps(f)):
        plan = max(0.0, paths.distance(channel.shape.path, (x, y)) - channel.shape.width / 2)
        best = min(best, math.hypot(plan, max(0.0, low - z, z - high)))
    return best


def _core(f: Feature) -> float:
    return f.facts["diameter"] / 2 if f.role == "drilling" else f.facts["bore_radius"]


def _start(f: Feature) -> float:
    return max(0.0, f.facts.get("start", 0.0))


def _end(f: Feature) -> float:
    """Where the full diameter ends, mm along the axis."""
    return f.facts["length"] if f.role == "drilling" else f.facts["bore_depth"]


def _caps(f: Feature) -> Iterator[Vec3]:
    """Points on both ends of a passage: axis, half radius and rim, and the point of the drill."""
    u = geometry.unit(_across(f.axis))
    v = (
        f.axis[1] * u[2] - f.axis[2] * u[1],
        f.axis[2] * u[0] - f.axis[0] * u[2],
        f.axis[0] * u[1] - f.axis[1] * u[0],
    )
    yield f.at(f.depth)
    for z in (_start(f), _end(f)):
        middle = f.at(z)
        yield middle
        for r in (_core(f) / 2, _core(f)):
            for cos, sin in _RIM:
                yield geometry.add(geometry.add(middle, u, r * cos), v, r * sin)


def _across(axis: Vec3) -> Vec3:
    """Some direction across an axis."""
    small = min(range(3), key=lambda i: abs(axis[i]))
    way = tuple(float(i == small) for i in range(3))
    return geometry.add((way[0], way[1], way[2]), axis, -axis[small])


def _outside(w: Vec3, axis: Vec3, radius: float, start: float, end: float, tip: float) -> float:
    """Distance of a point, `w` from a passage's origin, from that passage, mm; 0 inside it."""
    z = geometry.dot(w, axis)
    r = math.sqrt(max(0.0, geometry.dot(w, w) - z * z))
    if start <= z <= end:
        return max(0.0, r - radius)
    if z < start:
        return math.hypot(max(0.0, r - radius), start - z)
    if tip - end < 1e-9:
        return math.hypot(max(0.0, r - radius), z - end)
    return _from_point(r, z - end, radius, tip - end)


def _nearest(f: Feature, points: Iterator[Vec3]) -> float:
    """Smallest distance of any of the points from a passage, mm; the first inside ends the search."""
    best = math.inf
    radius, start, end, tip = _core(f), _start(f), _end(f), max(f.depth, _end(f))
    for p in points:
        best = min(best, _outside(geometry.sub(p, f.origin), f.axis, radius, start, end, tip))
        if best == 0:
            break
    return best


def _from_point(r: float, z: float, radius: float, high: float) -> float:
    """Distance of (r, z) from a cone that stands on radius at z = 0 and ends in a point at z = high, mm."""
    side = r * high + z * radius - radius * high
    if side <= 0:
        return 0.0
    along = ((r - radius) * -radius + z * high) / (radius * radius + high * high)
    along = min(1.0, max(0.0, along))
    return math.hypot(r - radius * (1 - along), z - high * along)
