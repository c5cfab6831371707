"""Where the seam of a tool of revolution may run: a surface that closes on itself has an edge along which it does.

Where that edge passes through the corner at which the edges of other cuts meet (two drillings of one diameter), or
touches one, the file that the kernel writes is not the solid that it had: read back, its wires cross. So such a tool
is turned about its axis. Plate frame, mm; numbers only.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Any

import numpy as np
import numpy.typing as npt

from ..layout import paths
from ..layout.features import Cut, Feature, PlateLayout, Profile, Vec3
from ..layout.pockets import Pocket

GRAZES = 0.005  # below this, of `clearance`, a seam is led elsewhere
ENOUGH = 0.2  # above this one place is as good as another, and the nearest is taken
TURN = 15.0  # degrees from one place that is tried to the next
STEP = 0.25  # mm along a seam; of a thin tool an eighth of its radius
_CHORD = 5e-3  # mm that chords may leave an arc by
_NEAR = 1e-6  # mm: the same place, the same axis
_FAR = 1.0  # mm: what is further off than this from the tool's box does not matter

Floats = npt.NDArray[np.float64]
Distance = Callable[[Floats], Floats]  # of points (n, 3) from a cut's surface, below 0 within it


def seam(tool: Feature, cuts: Sequence[Cut], plate: PlateLayout, usual: Vec3) -> Vec3:
    """Unit vector from the axis to where the seam shall run: `usual` unless that grazes another of the `cuts`."""
    others = [_distance(c, plate) for c in _beside(tool, cuts, plate)]
    if not others:
        return usual
    pieces = _pieces(tool)
    axis, first = np.array(tool.axis), np.array(usual)
    across = np.cross(axis, first)
    best, found = clearance(tool, pieces, others, first), first
    if best >= GRAZES:
        return usual
    for k in sorted(range(1, round(360 / TURN)), key=lambda k: min(k, 360 / TURN - k)):
        a = math.radians(TURN * k)
        way = math.cos(a) * first + math.sin(a) * across
        if best < ENOUGH and (c := clearance(tool, pieces, others, way)) > best:
            best, found = c, way
    x, y, z = (float(v) for v in found)
    return x, y, z


def clearance(tool: Feature, pieces: Sequence[Floats], others: Sequence[Distance], way: Floats) -> float:
    """How well the seam in direction `way` keeps clear: the least distance of it from the surfaces of other cuts, as a
    share of the tool's radius; 0 where it touches one, runs along it, or passes through the place where two meet or
    where the tool has an edge. Where it passes through a surface, the depth in which a chord at that slope reaches into
    a circle counts, half the square of the slope."""
    origin, axis = np.array(tool.origin), np.array(tool.axis)
    least = math.inf
    for piece in pieces:
        points = origin + piece[:, :1] * way + piece[:, 1:] * axis
        far = np.array([distance(points) for distance in others])
        walked = np.r_[0.0, np.cumsum(np.hypot(*np.diff(piece, axis=0).T))]
        share = np.abs(far) / piece[:, 0].max()
        least = min(least, share[:, [i for i in (0, -1) if piece[i, 0] > _NEAR]].min(initial=math.inf))
        least = min(least, float(np.maximum(share, np.gradient(far, walked, axis=1) ** 2 / 2).min()))
        least = min(least, _meetings(far, piece[:, 0].max()))
    return least


def _meetings(far: Floats, radius: float) -> float:
    """Where a seam enters or leaves all others together: the least distance there from any second one, over `radius`."""
    least = math.inf
    whole = far.min(axis=0)
    for i in np.flatnonzero(whole[:-1] * whole[1:] < 0):
        part = whole[i] / (whole[i] - whole[i + 1])
        there = np.sort(np.abs(far[:, i] + part * (far[:, i + 1] - far[:, i])))
        least = min(least, *there[1:2] / radius) if len(there) > 1 else least
    return least


def _pieces(tool: Feature) -> list[Floats]:
    """Points (radius, distance along the axis) on each side of a tool's profile that turns into a surface of the plate."""
    found = []
    for (r0, s0), (r1, s1) in pairwise((*tool.profile, tool.profile[0])):
        length = math.hypot(r1 - r0, s1 - s0)
        if max(r0, r1) < _NEAR or length < _NEAR or (max(s0, s1) <= 0 and tool.face in tool.mouths):
            continue
        count = max(3, math.ceil(length / min(STEP, max(r0, r1) / 8)) + 1)
        part = np.linspace(0.0, 1.0, count)
        found.append(np.c_[r0 + part * (r1 - r0), s0 + part * (s1 - s0)])
    return found


def _beside(tool: Feature, cuts: Sequence[Cut], plate: PlateLayout) -> list[Cut]:
    """The cuts that may come near a tool and are not on its axis: those on it look alike from everywhere on it."""
    low, high = _box(tool, plate)
    out = []
    for c in cuts:
        if c is tool or (isinstance(c, Feature) and _coaxial(tool, c)):
            continue
        there, beyond = _box(c, plate)
        if (there < high + _FAR).all() and (low < beyond + _FAR).all():
            out.append(c)
    return out


def _coaxial(a: Feature, b: Feature) -> bool:
    between, axis = np.subtract(b.origin, a.origin), np.array(a.axis)
    apart = np.linalg.norm(np.cross(between, axis))
    return bool(np.linalg.norm(np.cross(axis, b.axis)) < _NEAR and apart < _NEAR)


def _box(c: Cut, plate: PlateLayout) -> tuple[Floats, Floats]:
    if isinstance(c, Pocket):
        x0, y0, x1, y1 = paths.region(c, _CHORD).bounds
        low, high = _heights(c, plate)
        return np.array((x0, y0, low)), np.array((x1, y1, high))
    ends = np.array([c.at(min(s for _, s in c.profile)), c.at(c.depth)])
    radius = max(r for r, _ in c.profile)
    return ends.min(axis=0) - radius, ends.max(axis=0) + radius


def _heights(c: Pocket, plate: PlateLayout) -> tuple[float, float]:
    if len(c.mouths) > 1:
        return -plate.thickness, 0.0
    return (-c.depth, 0.0) if c.face == "seal" else (-plate.thickness, c.depth - plate.thickness)


def _distance(c: Cut, plate: PlateLayout) -> Distance:
    return _from_pocket(c, plate) if isinstance(c, Pocket) else _from_feature(c)


def _from_feature(f: Feature) -> Distance:
    origin, axis = np.array(f.origin), np.array(f.axis)

    def distance(points: Floats) -> Floats:
        between = points - origin
        along = between @ axis
        return _from_profile(f.profile, np.linalg.norm(between - np.outer(along, axis), axis=1), along)

    return distance


def _from_profile(profile: Profile, radius: Floats, along: Floats) -> Floats:
    """Of points from a closed polygon's sides, but for those on the axis; below 0 within."""
    far, inside = np.full(len(radius), math.inf), np.zeros(len(radius), bool)
    for (r0, s0), (r1, s1) in pairwise((*profile, profile[0])):
        dr, ds = r1 - r0, s1 - s0
        length = dr * dr + ds * ds
        if length < _NEAR**2:
            continue
        if s0 != s1:
            inside ^= ((s0 > along) != (s1 > along)) & (radius < r0 + dr * (along - s0) / ds)
        if max(r0, r1) > _NEAR:
            part = np.clip(((radius - r0) * dr + (along - s0) * ds) / length, 0.0, 1.0)
            far = np.minimum(far, np.hypot(radius - r0 - part * dr, along - s0 - part * ds))
    return np.where(inside, -far, far)


def _from_pocket(c: Pocket, plate: PlateLayout) -> Distance:
    import shapely

    region: Any = paths.region(c, _CHORD)
    low, high = _heights(c, plate)
    open_low, open_high = (len(c.mouths) > 1 or c.face == face for face in ("outer", "seal"))

    def distance(points: Floats) -> Floats:
        there = shapely.points(points[:, :2])
        plan = shapely.distance(region.boundary, there) * np.where(shapely.contains(region, there), -1.0, 1.0)
        z = points[:, 2]
        floor = low - z if not open_low else np.full(len(z), -math.inf)
        roof = z - high if not open_high else np.full(len(z), -math.inf)
        far: Floats = np.maximum(plan, np.maximum(floor, roof))
        return far

    return distance
