"""Which feature or pocket each face of a finished plate belongs to, found from the geometry and not from how it was made.

A face belongs to a feature when every mesh vertex of it (these lie exactly on the surface) and the middles of its
largest triangles lie on the feature's surface of revolution, or on the pocket's walls and floor; to the outside
when it lies on the outline's surfaces.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np
import numpy.typing as npt

from ...layout.edge_break import turns
from ...layout.features import Arc, Cut, Feature, Outline, PlateLayout
from ...layout.outline import arc_centre
from ...layout.pockets import Pocket
from .pocket_faces import plan_box, pocket_distance, to_arc, to_line

Floats = npt.NDArray[np.float64]
ON = 1e-3  # mm: a vertex this near to a surface lies on it; the kernel's own tolerance is 1e-7
LOOKED_AT = 9  # triangles: one alone may stray further, on a cone near its point that something else cuts into


@dataclass(frozen=True, slots=True, eq=False)
class Group:
    """Faces that belong together: a feature's passage, its spotface, or one outer surface of the plate."""

    name: str
    feature: Cut | None
    kind: str  # passage, spotface, face, edge, bevel (the chamfer along an edge)


def profile_distance(feature: Feature, points: Floats) -> Floats:
    """Distance (n,) of points (n, 3) in the plate's frame to the feature's surface of revolution, mm."""
    rel = points - np.asarray(feature.origin)
    z = rel @ np.asarray(feature.axis)
    r = np.sqrt(np.maximum((rel**2).sum(axis=1) - z**2, 0.0))
    best = np.full(len(points), np.inf)
    ends = [*feature.profile[1:], feature.profile[0]]
    for (r0, z0), (r1, z1) in zip(feature.profile, ends, strict=True):
        if max(r0, r1) < 1e-9:
            continue  # the axis itself is no surface
        dr, dz = r1 - r0, z1 - z0
        t = np.clip(((r - r0) * dr + (z - z0) * dz) / (dr * dr + dz * dz), 0.0, 1.0)
        best = np.minimum(best, np.hypot(r - r0 - t * dr, z - z0 - t * dz))
    return best


def groups_of(plate: PlateLayout, vertices: Floats, triangles: npt.NDArray[Any], faces: npt.NDArray[Any],
              slack: float) -> list[Group | None]:  # fmt: skip
    """Group of each face index, None for a face that nothing explains.

    vertices (n, 3) in the plate's frame (z out of the material), triangles (m, 3), faces (m,) face of each triangle,
    slack: how far the middle of a triangle may lie off a curved surface, mm.
    """
    finder = _Finder(plate, slack)
    order = np.argsort(faces, kind="stable")
    starts = np.searchsorted(faces[order], np.arange(faces.max() + 2))
    return [finder.find(vertices, triangles[order[starts[i] : starts[i + 1]]]) for i in range(faces.max() + 1)]


class _Finder:
    def __init__(self, plate: PlateLayout, slack: float) -> None:
        self.plate, self.slack = plate, slack
        self.sides, self.slopes = _sides(plate), _slopes(plate.outline)
        self.cuts = plate.cuts
        self.boxes = np.array([cut_box(c, plate.thickness) for c in self.cuts]).reshape(-1, 6)
        self.kinds: dict[tuple[str, str], Group] = {}

    def find(self, vertices: Floats, triangles: npt.NDArray[Any]) -> Group | None:
        corner = vertices[triangles]
        sizes = np.linalg.norm(np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]), axis=1)
        middle = corner[np.argsort(-sizes, kind="stable")[:LOOKED_AT]].mean(axis=1)
        points = corner.reshape(-1, 3)
        return self._outside(points, middle) or self._feature(points, middle)

    def _outside(self, points: Floats, middle: Floats) -> Group | None:
        z = points[:, 2]
        for name, level in (("seal face", 0.0), ("outer face", -self.plate.thickness)):
            if np.all(np.abs(z - level) < ON):
                return self.group(name, None, "face")
        few = np.vstack([points[:: max(1, len(points) // 4)], middle[:1]])
        if self.sides_of(few[None])[0][0] < 0:
            return None  # most faces lie inside the plate: a few points tell
        side, bevel = self.sides_of(np.vstack([points, middle[:1]])[None])
        return None if side[0] < 0 else self.edge(side[0], bevel[0])

    def edge(self, side: int, bevel: bool) -> Group:
        """The group of one side of the outline, or of the chamfer along it."""
        name = self.sides[side][0]
        return self.group(f"{name} bevel", None, "bevel") if bevel else self.group(name, None, "edge")

    def sides_of(self, corners: Floats) -> tuple[npt.NDArray[Any], npt.NDArray[np.bool_]]:
        """For each polygon (n, k, 3): index of the side of the outline it lies on or −1, and whether on its chamfer."""
        chamfer = self.plate.outline.chamfer
        found, bevel = np.full(len(corners), -1), np.zeros(len(corners), bool)
        if not len(corners):
            return found, bevel
        z = corners[:, :, 2]
        inset = chamfer - np.minimum(-z, self.plate.thickness + z)  # of the chamfer from the outline at this depth
        broken = np.all(inset > -ON, axis=1)
        flat = corners.reshape(-1, 3)[:, :2]
        for i, (_, distance) in enumerate(self.sides):
            far = distance(flat).reshape(z.shape)
            slope, reach = self.slopes[i]
            if far.min() > reach + ON + self.slack:
                continue
            off = slope(flat).reshape(z.shape)
            flush = (found < 0) & np.all(far < ON + self.slack, axis=1)
            near = (np.abs(off - inset) < ON + self.slack) & (far <= reach + ON + self.slack)
            bevelled = (found < 0) & ~flush & broken & np.all(near, axis=1)
            found[flush | bevelled] = i
            bevel |= bevelled
        return found, bevel

    def _feature(self, points: Floats, middle: Floats) -> Group | None:
        low, high = points.min(axis=0) - ON, points.max(axis=0) + ON
        near = np.flatnonzero(np.all((self.boxes[:, :3] <= high) & (self.boxes[:, 3:] >= low), axis=1))
        for i in near:
            f = self.cuts[i]
            if np.median(self.distance(f, middle)) < ON + self.slack and np.all(self.distance(f, points) < ON):
                shallow = isinstance(f, Feature) and bool(_in_spotface(f, points[None])[0])
                return self.group(f"{f.name} spotface" if shallow else f.name, f, "spotface" if shallow else "passage")
        return None

    def distance(self, cut: Cut, points: Floats) -> Floats:
        """Distance (n,) of points (n, 3) in the plate's frame to the surface of a feature or pocket, mm."""
        if isinstance(cut, Pocket):
            return pocket_distance(cut, self.plate.thickness, points)
        return profile_distance(cut, points)

    def group(self, name: str, f: Cut | None, kind: str) -> Group:
        return self.kinds.setdefault((name, kind), Group(name, f, kind))


def _in_spotface(f: Feature, corners: Floats) -> npt.NDArray[np.bool_]:
    """Which polygons (n, k, 3) of a feature lie no deeper than its spotface."""
    spot = f.facts.get("spotface_depth", 0.0) if f.role in ("port", "plug") else 0.0
    if spot <= 0:
        return np.zeros(len(corners), bool)
    deepest: npt.NDArray[np.bool_] = ((corners - np.asarray(f.origin)) @ np.asarray(f.axis)).max(axis=1) < spot + ON
    return deepest


def cut_box(f: Cut, thickness: float) -> list[float]:
    """Smallest x, y, z and largest x, y, z of a feature or pocket, mm, a hair wide."""
    if isinstance(f, Pocket):
        x0, y0, x1, y1 = plan_box(f)
        through = len(f.mouths) > 1
        low, high = (-f.depth, 0.0) if f.face == "seal" else (-thickness, f.depth - thickness)
        low, high = (-thickness, 0.0) if through else (low, high)
        return [x0 - ON, y0 - ON, low - ON, x1 + ON, y1 + ON, high + ON]
    b = np.array(f.at(f.depth))
    rim = max(r for r, _ in f.profile) * np.sqrt(np.maximum(0, 1 - np.asarray(f.axis) ** 2)) + ON
    low = min(z for _, z in f.profile)
    a = np.array(f.at(low))
    return [*(np.minimum(a, b) - rim), *(np.maximum(a, b) + rim)]


Side = Callable[[Floats], Floats]


def _sides(plate: PlateLayout) -> list[tuple[str, Side]]:
    """Each piece of the outline as a function from plan points (n, 2) to distances (n,), with its name.

    A plate whose features call its edges by number keeps the numbers, also for an edge that looks to the front.
    """
    o = plate.outline
    numbered = any(m.startswith("edge-") for f in plate.features for m in (f.face, *f.mouths))
    sides: list[tuple[str, Side]] = []
    at, straight = o.start, 0
    for p in o.pieces:
        if isinstance(p, Arc):
            name = f"corner at {p.middle[0]:.0f}, {p.middle[1]:.0f}"
            sides.append((name, partial(to_arc, at, p)))
        else:
            straight += 1
            name = f"edge-{straight}" if numbered else _edge_name(at, p.end, straight)
            sides.append((name, partial(to_line, at, p.end)))
        at = p.end
    return sides


def _slopes(o: Outline) -> list[tuple[Side, float]]:
    """For each piece how far plan points (n, 2) are from its whole line or circle, which its chamfer keeps to, and how
    far from the piece itself a point of its chamfer can be: in a corner that points into the plate it goes beyond its end.
    """
    corners = turns(o)
    slopes: list[tuple[Side, float]] = []
    at = o.start
    for i, p in enumerate(o.pieces):
        turn = min(corners[i], corners[(i + 1) % len(corners)], 0.0)
        reach = o.chamfer * (2.0 / math.cos(turn / 2) if turn < -1e-6 else 1.0)  # twice: arcs bend on the way
        slopes.append((partial(_to_circle, at, p) if isinstance(p, Arc) else partial(_to_whole_line, at, p.end), reach))
        at = p.end
    return slopes


def _to_whole_line(a: tuple[float, float], b: tuple[float, float], points: Floats) -> Floats:
    d = np.subtract(b, a)
    found: Floats = np.abs((points - a) @ np.array([-d[1], d[0]])) / np.hypot(*d)
    return found


def _to_circle(start: tuple[float, float], arc: Arc, points: Floats) -> Floats:
    centre, r = arc_centre(start, arc.middle, arc.end)
    found: Floats = np.abs(np.hypot(*(points - np.asarray(centre)).T) - r)
    return found


def _edge_name(a: tuple[float, float], b: tuple[float, float], number: int) -> str:
    if a[1] == b[1]:
        return "front edge" if b[0] > a[0] else "back edge"
    if a[0] == b[0]:
        return "right edge" if b[1] > a[1] else "left edge"
    return f"edge-{number}"


def groups_of_triangles(plate: PlateLayout, corners: Floats, slack: float) -> list[Group | None]:
    """Group of each triangle of a mesh read back from its file: corners (m, 3, 3) in the plate's frame, mm."""
    finder = _Finder(plate, slack)
    m = len(corners)
    found: list[Group | None] = [None] * m
    flat, middle = corners.reshape(-1, 3), corners.mean(axis=1)
    z = corners[:, :, 2]
    open_ = np.ones(m, bool)
    for name, level in (("seal face", 0.0), ("outer face", -plate.thickness)):
        hit = np.all(np.abs(z - level) < ON, axis=1)
        _assign(found, np.flatnonzero(hit), finder.group(name, None, "face"))
        open_ &= ~hit
    low, high = corners.min(axis=1) - ON, corners.max(axis=1) + ON
    for f, box in zip(finder.cuts, finder.boxes, strict=True):
        at = np.flatnonzero(open_ & np.all((box[:3] <= low + 2 * ON) & (box[3:] >= high - 2 * ON), axis=1))
        if not len(at):
            continue
        on = finder.distance(f, flat.reshape(m, 3, 3)[at].reshape(-1, 3)).reshape(-1, 3).max(axis=1) < ON
        at = at[on & (finder.distance(f, middle[at]) < ON + slack)]
        shallow = _in_spotface(f, corners[at]) if isinstance(f, Feature) else np.zeros(len(at), bool)
        _assign(found, at[shallow], finder.group(f"{f.name} spotface", f, "spotface"))
        _assign(found, at[~shallow], finder.group(f.name, f, "passage"))
        open_[at] = False
    rest = np.flatnonzero(open_)
    sides, bevel = finder.sides_of(np.concatenate([corners[rest], middle[rest, None]], axis=1))
    for i in range(len(finder.sides)):
        for broken in (False, True):
            _assign(found, rest[(sides == i) & (bevel == broken)], finder.edge(i, broken))
    return found


def _assign(found: list[Group | None], at: npt.NDArray[Any], group: Group) -> None:
    for i in at:
        found[i] = group
