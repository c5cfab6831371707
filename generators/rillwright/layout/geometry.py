"""Small vector geometry in plain Python: quick to import, exact enough for placing (double precision)."""

from __future__ import annotations

import math

from .features import Vec3

Segment = tuple[Vec3, Vec3]


def add(a: Vec3, b: Vec3, scale: float = 1.0) -> Vec3:
    """a + scale·b."""
    return (a[0] + scale * b[0], a[1] + scale * b[1], a[2] + scale * b[2])


def sub(a: Vec3, b: Vec3) -> Vec3:
    return add(a, b, -1.0)


def dot(a: Vec3, b: Vec3) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def length(a: Vec3) -> float:
    return math.sqrt(dot(a, a))


def unit(a: Vec3) -> Vec3:
    """Unit vector along a; raises ValueError for the null vector."""
    n = length(a)
    if n < 1e-12:
        raise ValueError("a direction of no length")
    return (a[0] / n, a[1] / n, a[2] / n)


def axis_parameter(origin: Vec3, axis: Vec3, other: Segment) -> tuple[float, float]:
    """Distance along the line (origin, axis) nearest to the line through `other`, and how far the lines miss, mm.

    For parallel lines the foot of the first point of `other` is taken.
    """
    p, q = other
    v = unit(sub(q, p))
    w = sub(origin, p)
    b, d, e = dot(axis, v), dot(axis, w), dot(v, w)
    den = 1 - b * b
    s = -d if den < 1e-12 else (b * e - d) / den
    foot = add(origin, axis, s)
    t = dot(sub(foot, p), v)
    return s, length(sub(foot, add(p, v, t)))


def segment_distance(a: Segment, b: Segment) -> float:
    """Smallest distance between two straight segments, mm."""
    s, t = closest_parameters(a, b)
    return length(sub(add(a[0], sub(a[1], a[0]), s), add(b[0], sub(b[1], b[0]), t)))


def closest_parameters(a: Segment, b: Segment) -> tuple[float, float]:
    """Where two straight segments come nearest, 0 to 1 along each (Ericson, Real-Time Collision Detection, 5.1.9)."""
    d1, d2, r = sub(a[1], a[0]), sub(b[1], b[0]), sub(a[0], b[0])
    aa, ee, f = dot(d1, d1), dot(d2, d2), dot(d2, r)
    if aa < 1e-18 and ee < 1e-18:
        return 0.0, 0.0
    if aa < 1e-18:
        return 0.0, _clamp(f / ee)
    c = dot(d1, r)
    if ee < 1e-18:
        return _clamp(-c / aa), 0.0
    return _both(aa, ee, dot(d1, d2), c, f)


def _both(aa: float, ee: float, bb: float, c: float, f: float) -> tuple[float, float]:
    den = aa * ee - bb * bb
    s = _clamp((bb * f - c * ee) / den) if den > 1e-12 else 0.0
    t = (bb * s + f) / ee
    if t < 0:
        return _clamp(-c / aa), 0.0
    if t > 1:
        return _clamp((bb - c) / aa), 1.0
    return s, t


def _clamp(x: float) -> float:
    return min(1.0, max(0.0, x))
