"""Smallest walls of a finished plate: between every two voids, and between voids and the outside.

Boxes first (a free lower bound), then the kernel's exact distance between the faces of the finished solid, and the
same pairs once more on the exported STL with a collision library.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise
from typing import Any

import cadquery as cq
import fcl
import numpy as np
import numpy.typing as npt
from OCP.BRep import BRep_Builder
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.TopoDS import TopoDS_Compound

from ...layout.features import Cut, PlateLayout
from ...layout.pockets import Pocket
from ...spec.job import Limits
from ..asked import land_of, wall_between
from ..finding import Point
from ..remedy import ThinWall, wall_remedy
from ..report import UNEXPECTED, Case, Cases
from .attribution import Group
from .methods import WALL_RULES

MEETS = 1e-6  # mm
Floats = npt.NDArray[np.float64]
SEARCH = 12.0  # mm: where the boxes lie further apart than this and the limit, their gap is answer enough


@dataclass(frozen=True, slots=True, eq=False)
class Wall:
    """Two groups of faces that must keep a distance, mm."""

    a: Group
    b: Group
    rule: str
    limit: float
    measured: float
    at: tuple[Point, ...]
    first: Surface
    second: Surface
    by_mesh: float | None = None  # the mesh's figure where `measured` is the solid's


@dataclass(frozen=True, slots=True, eq=False)
class Surface:
    """Faces of one group: kernel compound, and corner points (n, 3) of its triangles in the plate's frame."""

    group: Group
    shape: Any
    low: Floats
    high: Floats


def surfaces(plate: PlateLayout, faces: list[Any], groups: list[Group | None], corners: list[Floats]) -> list[Surface]:
    """Collect the faces of each group. corners[i] are the (n, 3) mesh points of face i in the plate's frame."""
    builder = BRep_Builder()
    found: dict[Group, tuple[TopoDS_Compound, list[Floats]]] = {}
    for face, group, piece in zip(faces, groups, corners, strict=True):
        if group is None:
            continue
        if group not in found:
            compound = TopoDS_Compound()
            builder.MakeCompound(compound)
            found[group] = (compound, [])
        builder.Add(found[group][0], face.wrapped)
        found[group][1].append(piece)
    out = []
    for group, (compound, points) in found.items():
        low, high = np.concatenate(points).min(axis=0), np.concatenate(points).max(axis=0)
        shape = cq.Shape.cast(compound) if group.kind != "face" else _bare(low, high, plate.side)
        out.append(Surface(group, shape, low, high))
    return out


def _bare(low: Floats, high: Floats, side: float) -> Any:
    """A plate's plane face without its holes: distances to it are never larger than to the face, and far quicker."""
    size = 2 * float((high - low).max())
    middle = (low + high) / 2
    return cq.Face.makePlane(size, size, (middle[0], middle[1], side * middle[2]))


def required(a: Group, b: Group, limits: Limits, channels: Sequence[Cut] = ()) -> tuple[str, float] | None:
    """Rule and limit for two groups, or None where they may meet. `channels`: tube channels of the plate."""
    fa, fb = a.feature, b.feature
    if fa is None and fb is None:
        return None
    if fa is None or fb is None:
        inside, outside = (b, a) if fa is None else (a, b)
        return _to_coolant(inside, outside, limits, channels) or _to_outside(inside, outside, limits)
    asked = wall_between(fa, fb, limits)
    if asked is None and _side_by_side(a, b):
        return "wall.same-loop", limits.wall_same
    if asked is not None and asked[0] in ("wall.loops", "wall.wet-dry") and "spotface" in (a.kind, b.kind):
        return "wall.dry", limits.wall_dry
    return asked


def _side_by_side(a: Group, b: Group) -> bool:
    """Whether two groups are passages of one loop that may meet; where they do not, a web stands between them."""
    fa, fb = a.feature, b.feature
    if fa is None or fb is None or fa is fb or "spotface" in (a.kind, b.kind):
        return False
    passages = all(f.role in ("port", "drilling", "channel") for f in (fa, fb))
    return passages and fa.loop == fb.loop and fb.name not in fa.joins and fa.name not in fb.joins


def _to_coolant(g: Group, outside: Group, limits: Limits, channels: Sequence[Cut]) -> tuple[str, float] | None:
    """What a blind screw hole under or inside a tube owes: coolant stands on the seal face there, or in the hole."""
    f = g.feature
    assert f is not None
    if isinstance(f, Pocket) or f.role not in ("screw", "mounting") or len(f.mouths) > 1 or outside.kind != "face":
        return None
    if not any(math.dist(c.origin[:2], f.origin[:2]) < c.facts["inner_radius"] + f.radius for c in channels):
        return None
    if f.face == "outer" and outside.name == "seal face":
        return "wall.wet-dry", limits.wall_wet
    if f.face == "seal" and outside.name == "outer face":
        return "wall.outside", limits.wall_outside
    return None


def _to_outside(g: Group, outside: Group, limits: Limits) -> tuple[str, float] | None:
    f = g.feature
    assert f is not None
    surface = outside.name.removesuffix(" bevel")
    if surface.removesuffix(" face").removesuffix(" edge") in f.mouths:
        return None
    if outside.kind == "bevel" and f.role != "groove" and (f.role == "tube-channel" or not f.wet):
        return "wall.lip", limits.lip  # a broken edge takes nothing from the wall that carries the seal or the screw
    if f.role == "groove" and outside.kind != "face":
        return "wall.land", land_of(f, limits)
    if g.kind == "spotface":
        return None if outside.name.startswith(f.face) else ("wall.lip", limits.lip)
    if f.role == "plug" or (f.role == "port" and outside.name == f"{f.face} edge"):
        mouth = outside.name.startswith(f.face)
        return None if mouth else ("wall.outside", limits.wall_outside)
    if f.role == "tube-channel" and outside.kind == "edge":
        return "wall.tube-channel", f.facts["wall"]
    if f.wet:
        return "wall.outside", limits.wall_outside
    if outside.kind == "edge":
        hole = f.facts.get("hole_radius")
        if hole is None:
            return "wall.lip", limits.lip
        return "hole.edge-distance", limits.edge_distance * 2 * hole - hole
    return "wall.lip", limits.lip


def measure(found: list[Surface], mesh: MeshPath, limits: Limits, side: float) -> list[Wall]:
    """Every wall that could break its limit, and the thinnest one of each rule, exactly on the finished faces.

    Boxes put aside what is far; the mesh's distance less its slack, what is safely thick. Those keep the figure they
    were put aside by, which the wall is not thinner than.
    """
    features = {s.group.feature.name: s.group.feature for s in found if s.group.feature is not None}
    channels = [f for f in features.values() if f.role == "tube-channel"]
    gaps = _gaps(found).tolist()
    walls: list[Wall] = []
    for (i, a), (j, b) in combinations(enumerate(found), 2):
        asked = required(a.group, b.group, limits, channels)
        if asked is not None:
            walls.append(Wall(a.group, b.group, *asked, gaps[i][j], (), a, b))
    exact: dict[int, Wall] = {}
    for rule in WALL_RULES:
        order = sorted((n for n, w in enumerate(walls) if w.rule == rule), key=lambda n: walls[n].measured - walls[n].limit)
        exact |= _told({n: walls[n] for n in order}, mesh, side)
    told = [exact[n] for n in range(len(walls))]
    return [w for w in told if w.measured > MEETS or not _side_by_side(w.a, w.b)]


def _told(walls: dict[int, Wall], mesh: MeshPath, side: float) -> dict[int, Wall]:
    """The walls of one rule, nearest boxes first: the mesh is asked while it may tell of a thinner one, or one too thin."""
    least: tuple[float, int] | None = None  # margin and number of the thinnest
    for n, w in walls.items():
        margin = w.measured - w.limit
        telling = margin < mesh.slack or least is None or margin <= least[0] or not mesh.has(w)
        if telling and w.measured <= max(SEARCH, w.limit):
            by_mesh = mesh.distance(w.a, w.b)
            walls[n] = replace(w, measured=by_mesh, by_mesh=by_mesh)
            margin = by_mesh - w.limit
        if least is None or (margin, n) < least:
            least = margin, n
    return {n: _exact(w, mesh, side) if w.measured - mesh.slack < w.limit or (least and n == least[1]) else
            replace(w, by_mesh=None) for n, w in walls.items()}  # fmt: skip


def _gaps(found: list[Surface]) -> Floats:
    """Distances (n, n) between the boxes of surfaces, mm."""
    low, high = (np.array([getattr(s, k) for s in found]).reshape(-1, 1, 3) for k in ("low", "high"))
    apart = np.maximum(low - high.transpose(1, 0, 2), low.transpose(1, 0, 2) - high)
    distance: Floats = np.sqrt((np.maximum(apart, 0.0) ** 2).sum(axis=2))
    return distance


def _exact(w: Wall, mesh: MeshPath, side: float) -> Wall:
    distance = BRepExtrema_DistShapeShape(w.first.shape.wrapped, w.second.shape.wrapped)
    p, q = distance.PointOnShape1(1), distance.PointOnShape2(1)
    at = tuple((round(u.X(), 4), round(u.Y(), 4), round(side * u.Z(), 4) + 0.0) for u in (p, q))
    by_mesh = mesh.distance(w.a, w.b) if w.by_mesh is None else w.by_mesh
    return replace(w, by_mesh=by_mesh, measured=distance.Value(), at=at)


def cases(plate: PlateLayout, walls: list[Wall], slack: float) -> Cases:
    """The walls of one plate under their rules, and both figures of those that were measured exactly."""
    found: Cases = {rule: [_case(plate, w) for w in walls if w.rule == rule] for rule in WALL_RULES}
    return {**found, "wall.second-path": second_path(plate, walls, slack)}


def _case(plate: PlateLayout, w: Wall) -> Case:
    measured, limit = w.measured, w.limit
    if w.rule == "hole.edge-distance":
        hole = next(f.facts["hole_radius"] for f in (w.a.feature, w.b.feature) if f is not None)
        measured, limit = (measured + hole) / (2 * hole), (limit + hole) / (2 * hole)
    if not w.at:  # far on the safe side: thousands, of which none is told
        return Case(plate.name, (w.a.name, w.b.name), measured, limit, "", "")
    nets = tuple(sorted({f.loop for f in (w.a.feature, w.b.feature) if f is not None and f.loop is not None}))
    what = "they run into each other" if w.measured < 1e-6 else "the wall between them is too thin"
    return Case(plate.name, (w.a.name, w.b.name), measured, limit, what, _remedy(plate, w), w.at, nets)


def _remedy(plate: PlateLayout, w: Wall) -> str:
    """Which of the two has to move, which way and how far."""
    first, second = (w.a, w.b) if w.a.feature is not None else (w.b, w.a)
    if isinstance(first.feature, Pocket) or isinstance(second.feature, Pocket):
        return f"bring them {w.limit - w.measured:.2f} mm further apart, or make one of them that much narrower"
    assert first.feature is not None
    at = w.at if first is w.a else w.at[::-1]
    return wall_remedy(ThinWall(plate, first.feature, second.feature, second.name, at, w.measured, w.limit))


def second_path(plate: PlateLayout, walls: list[Wall], slack: float) -> list[Case]:
    """Both figures of every wall that was measured exactly: solid and exported mesh must agree."""
    return [
        Case(plate.name, (w.a.name, w.b.name), abs(w.by_mesh - w.measured), slack,
             f"solid {w.measured:.4f} mm, mesh {w.by_mesh:.4f} mm", UNEXPECTED, w.at,
             at_most=True)
        for w in walls if w.by_mesh is not None
    ]  # fmt: skip


class MeshPath:
    """Distances between groups on the exported mesh.

    triangles (m, 3, 3) in the plate's frame, of (m,) the number of each one's group, found anew, or -1, slack: what
    chords may take away, mm.
    """

    def __init__(self, triangles: Floats, of: npt.NDArray[np.int64], groups: list[Group], slack: float) -> None:
        order = np.argsort(of, kind="stable")
        starts = np.searchsorted(of[order], np.arange(len(groups) + 1))
        runs = [order[a:b] for a, b in pairwise(starts)]
        self.corners = {g.name: triangles[run] for g, run in zip(groups, runs, strict=True) if len(run)}
        self.models: dict[str, Any] = {}
        self.slack = slack

    def has(self, w: Wall) -> bool:
        """Whether both groups were found in the mesh."""
        return w.a.name in self.corners and w.b.name in self.corners

    def distance(self, a: Group, b: Group) -> float:
        """Distance of two groups, mm; to a plane face as if it had no holes. 0 for a group the mesh does not have."""
        if a.name not in self.corners or b.name not in self.corners:
            return 0.0  # forces the exact path, which then disagrees
        for this, other in ((a, b), (b, a)):
            if this.kind == "face":
                level = self.corners[this.name][0, 0, 2]
                return float(np.abs(self.corners[other.name][:, :, 2] - level).min())
        gap = fcl.distance(self._model(a), self._model(b), fcl.DistanceRequest(), fcl.DistanceResult())
        return max(0.0, float(gap))

    def _model(self, g: Group) -> Any:
        if g.name not in self.models:
            self.models[g.name] = _model(self.corners[g.name])
        return self.models[g.name]


def _model(corners: Floats) -> Any:
    model = fcl.BVHModel()
    points = corners.reshape(-1, 3)
    model.beginModel(len(points), len(corners))
    model.addSubModel(points, np.arange(len(points)).reshape(-1, 3))
    model.endModel()
    return fcl.CollisionObject(model, fcl.Transform())
