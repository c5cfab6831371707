"""Which feature or pocket each face of a finished plate belongs to, found from the geometry and not from how it was made.

A face belongs to a feature when every mesh vertex of it (these lie exactly on the surface) and the middles of its
largest triangles lie on the feature's surface of revolution, or on the pocket's walls and floor; to the outside
when it lies on the outline's surfaces.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from ...layout.features import Cut, Feature, PlateLayout
from ...layout.pockets import Pocket
from .outsides import Sides
from .patches import Patches, patches
from .pocket_faces import plan_box, pocket_distance

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Which = npt.NDArray[np.bool_]
ON = 1e-3  # mm: a vertex this near to a surface lies on it; the kernel's own tolerance is 1e-7


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
    return Finder(plate, slack).of_faces(patches(vertices, triangles, faces))


def groups_of_triangles(plate: PlateLayout, corners: Floats, slack: float) -> list[Group | None]:
    """Group of each triangle of a mesh read back from its file: corners (m, 3, 3) in the plate's frame, mm."""
    numbers, groups = Finder(plate, slack).of_triangles(corners.reshape(-1, 3), np.arange(3 * len(corners)).reshape(-1, 3))
    every = [*groups, None]
    return [every[n] for n in numbers.tolist()]


class Finder:
    """Asks whose surface something lies on. slack: how far the middle of a chord may lie off a curved surface, mm."""

    def __init__(self, plate: PlateLayout, slack: float) -> None:
        self.plate, self.slack = plate, slack
        self.sides = Sides(plate, ON, slack)
        self.cuts = plate.cuts
        self.boxes = np.array([cut_box(c, plate.thickness) for c in self.cuts]).reshape(-1, 6)
        self.faces = (("seal face", 0.0), ("outer face", -plate.thickness))
        self._known: dict[tuple[str, str], int] = {}
        self.groups: list[Group] = []

    def of_faces(self, p: Patches) -> list[Group | None]:
        """Group of each face of a mesh, None for one that nothing explains."""
        found = np.full(len(p), -1)
        for name, level in self.faces:
            flat = p.all_of(np.abs(p.points[:, 2] - level) < ON)
            found[flat & (found < 0)] = self._number(name, None, "face")
        self._edges(p, found)
        low, high = p.boxes
        for f, box in zip(self.cuts, self.boxes, strict=True):
            at = np.flatnonzero((found < 0) & np.all((box[:3] <= high + ON) & (box[3:] >= low - ON), axis=1))
            at = at[(self.distance(f, p.few(at).reshape(-1, 3)) < ON).reshape(-1, 4).all(axis=1)]  # most lie elsewhere
            if len(at):
                self._assign(f, p.only(at), at, found)
        every = [*self.groups, None]
        return [every[n] for n in found.tolist()]

    def _edges(self, p: Patches, found: Ints) -> None:
        """Faces on the sides of the outline and on their chamfers; most lie inside the plate, which a few points tell."""
        at = np.flatnonzero(found < 0)
        some = np.concatenate([p.few(at), p.middles[p.firsts[at], None]], axis=1)
        for i in at[self.sides.of(some)[0] >= 0].tolist():
            side, bevel = self.sides.of(np.vstack([p.points_of(i), p.middles_of(i)[:1]])[None])
            if side[0] >= 0:
                found[i] = self._edge(int(side[0]), bool(bevel[0]))

    def _assign(self, f: Cut, own: Patches, at: Ints, found: Ints) -> None:
        """Those of the faces `at`, whose points `own` holds, that lie on one feature or pocket."""
        on = own.all_of(self.distance(f, own.points) < ON)
        off = self.distance(f, own.middles)
        for i in np.flatnonzero(on).tolist():
            if np.median(off[own.firsts[i] : own.firsts[i + 1]]) < ON + self.slack:
                found[at[i]] = self._cut(f, bool(_in_spotface(f, own.points_of(i)[None])[0]))

    def of_triangles(self, vertices: Floats, triangles: Ints) -> tuple[Ints, list[Group]]:
        """For each triangle (m, 3) the number of its group or −1, and the groups."""
        found = np.full(len(triangles), -1)
        for name, level in self.faces:
            flat = (np.abs(vertices[:, 2] - level) < ON)[triangles].all(axis=1)
            found[flat] = self._number(name, None, "face")
        rest = np.flatnonzero(found < 0)
        corners = vertices[triangles[rest]]
        low, high = corners.min(axis=1), corners.max(axis=1)
        order = np.argsort(low[:, 0], kind="stable")
        rest, low, high = rest[order], low[order], high[order]
        for f, box in zip(self.cuts, self.boxes, strict=True):
            near = slice(*np.searchsorted(low[:, 0], (box[0] - 3 * ON, box[3] + 3 * ON)))
            held = np.all((box[:3] <= low[near] + ON) & (box[3:] >= high[near] - ON), axis=1) & (found[rest[near]] < 0)
            if held.any():
                self._assign_triangles(f, vertices, triangles, rest[near][held], found)
        rest = np.flatnonzero(found < 0)
        corners = vertices[triangles[rest]]
        sides, bevel = self.sides.of(np.concatenate([corners, corners.mean(axis=1)[:, None]], axis=1))
        for i, broken in {*zip(sides.tolist(), bevel.tolist(), strict=True)}:
            if i >= 0:
                found[rest[(sides == i) & (bevel == broken)]] = self._edge(i, broken)
        return found, self.groups

    def _assign_triangles(self, f: Cut, vertices: Floats, triangles: Ints, at: Ints, found: Ints) -> None:
        own, number = np.unique(triangles[at], return_inverse=True)
        at = at[(self.distance(f, vertices[own]) < ON)[number.reshape(-1, 3)].all(axis=1)]
        corners = vertices[triangles[at]]
        on = self.distance(f, corners.mean(axis=1)) < ON + self.slack
        at, shallow = at[on], _in_spotface(f, corners[on])
        for kind in (True, False):
            if (shallow == kind).any():
                found[at[shallow == kind]] = self._cut(f, kind)

    def distance(self, cut: Cut, points: Floats) -> Floats:
        """Distance (n,) of points (n, 3) in the plate's frame to the surface of a feature or pocket, mm."""
        if isinstance(cut, Pocket):
            return pocket_distance(cut, self.plate.thickness, points)
        return profile_distance(cut, points)

    def _cut(self, f: Cut, shallow: bool) -> int:
        return self._number(f"{f.name} spotface" if shallow else f.name, f, "spotface" if shallow else "passage")

    def _edge(self, side: int, bevel: bool) -> int:
        """The group of one side of the outline, or of the chamfer along it."""
        name = self.sides.names[side]
        return self._number(f"{name} bevel", None, "bevel") if bevel else self._number(name, None, "edge")

    def _number(self, name: str, f: Cut | None, kind: str) -> int:
        if (name, kind) not in self._known:
            self._known[name, kind] = len(self.groups)
            self.groups.append(Group(name, f, kind))
        return self._known[name, kind]


def _in_spotface(f: Cut, corners: Floats) -> Which:
    """Which polygons (n, k, 3) of a feature lie no deeper than its spotface."""
    spot = f.facts.get("spotface_depth", 0.0) if isinstance(f, Feature) and f.role in ("port", "plug") else 0.0
    if spot <= 0:
        return np.zeros(len(corners), bool)
    deepest: Which = ((corners - np.asarray(f.origin)) @ np.asarray(f.axis)).max(axis=1) < spot + ON
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
