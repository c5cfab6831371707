"""Profiles of the revolved tools: closed polygons of (radius, distance along the axis into the material), mm."""

from __future__ import annotations

import math

from .features import Profile

TIP_ANGLE = 118.0  # point of a common twist drill, degrees
STAND_OUT = 1.0  # how far a tool stands out of the face it enters, mm


def tip_length(radius: float, tip: str) -> float:
    """Length of the cone under a bore, mm."""
    return radius / math.tan(math.radians(TIP_ANGLE / 2)) if tip == "drill" else 0.0


def stepped(steps: list[tuple[float, float]], tip: str = "flat", start: float = -STAND_OUT) -> Profile:
    """A hole that narrows (or widens) in steps.

    `steps` are (radius, distance where this radius ends), outermost first; the last may end in a drill's cone.
    """
    points = [(0.0, start)]
    z = start
    for radius, end in steps:
        if end - z > 1e-9:
            points += [(radius, z), (radius, end)]
            z = end
    if tip == "drill":
        points.append((0.0, z + tip_length(points[-1][0], tip)))
    else:
        points.append((0.0, z))
    return tuple(points)


def countersunk(
    head_radius: float, hole_radius: float, end: float, counterbore: float = 0.0, below: float = 0.0
) -> Profile:
    """A 90° countersink that seats a head of the given radius `below` mm under the face (or counterbore floor)."""
    top = counterbore + below
    points = [(0.0, -STAND_OUT)]
    if counterbore > 0:
        wide = head_radius + 0.25
        points += [(wide, -STAND_OUT), (wide, counterbore), (head_radius, counterbore)]
    else:
        points.append((head_radius, -STAND_OUT))
    points.append((head_radius, top))
    points += [(hole_radius, top + head_radius - hole_radius), (hole_radius, end), (0.0, end)]
    return tuple(p for i, p in enumerate(points) if i == 0 or math.dist(p, points[i - 1]) > 1e-9)


def ring(inner: float, outer: float, depth: float) -> Profile:
    """A ring-shaped pocket."""
    return ((inner, -STAND_OUT), (outer, -STAND_OUT), (outer, depth), (inner, depth))


def stepped_ring(
    inner: float, outer: float, depth: float, step_inner: float, step_outer: float, floor: float
) -> Profile:
    """A ring-shaped pocket with a narrower ring-shaped groove in its floor; `floor` is the groove's depth."""
    return (
        (inner, -STAND_OUT), (outer, -STAND_OUT), (outer, depth), (step_outer, depth), (step_outer, floor),
        (step_inner, floor), (step_inner, depth), (inner, depth),
    )  # fmt: skip


def volume_inside(profile: Profile, depth: float = math.inf) -> float:
    """Volume (mm³) of the revolved profile between distance 0 and `depth`, by Pappus over its clipped polygon."""
    total = 0.0
    kept = clipped(profile, depth)
    for (r0, z0), (r1, z1) in zip(kept, [*kept[1:], kept[0]], strict=True):
        total += (r0 * r0 + r0 * r1 + r1 * r1) * (z1 - z0)
    return abs(total) * math.pi / 3


def clipped(profile: Profile, depth: float = math.inf) -> Profile:
    """The part of a profile between the face (distance 0) and `depth`, mm."""
    return tuple(_clip(_clip(list(profile), 0.0, above=True), depth, above=False))


def _clip(points: list[tuple[float, float]], z: float, above: bool) -> list[tuple[float, float]]:
    if not math.isfinite(z):
        return points
    out: list[tuple[float, float]] = []
    for a, b in zip(points, [*points[1:], points[0]], strict=True):
        ina, inb = (a[1] >= z if above else a[1] <= z), (b[1] >= z if above else b[1] <= z)
        if ina:
            out.append(a)
        if ina != inb and a[1] != b[1]:
            t = (z - a[1]) / (b[1] - a[1])
            out.append((a[0] + t * (b[0] - a[0]), z))
    return out
