"""The wet space once more, from the exported STL files and without the CAD kernel: a second opinion on every net.

Hardware is revolved here from its numbers, by another library. Bores and shafts become polygons, so whatever has to
seal does so on plane faces, which meshing does not move; what merely stands beside another part is drawn thinner by
more than the chords take away (`closing`).
"""

from __future__ import annotations

import math
from typing import Any

import manifold3d
import numpy as np

from ...layout import paths
from ...layout.features import Hardware, Vec3
from ...layout.nets import Assembly
from ...layout.pockets import Stroke
from .stl import StlMesh
from .voids import MARGIN, Recovered, sorted_out

PROBE = 1e-3  # mm, half the edge of the cube that asks whether a point lies in a void
FINEST, COARSEST = 24, 512  # segments of a circle


def recovered_again(assembly: Assembly, meshes: dict[str, StlMesh], parts: list[Hardware],
                    deflection: float) -> Recovered:  # fmt: skip
    """Voids of an assembly. `meshes` are read back from the STL files, in the plates' own frames, lengths in mm."""
    bodies = []
    for p in assembly.plates:
        body = solid_of(meshes[p.name])
        if body.status() != manifold3d.Error.NoError:
            return Recovered((), 0, fault=f"the mesh of plate {p.name} encloses no solid ({body.status().name})")
        bodies.append(body.translate((0.0, 0.0, p.height)))
    plates, bodies = bodies, [*bodies, *(_revolved(h, deflection) for h in parts)]
    box = np.array([b.bounding_box() for b in bodies])
    low, high = box[:, :3].min(axis=0) - MARGIN, box[:, 3:].max(axis=0) + MARGIN
    space = manifold3d.Manifold.cube(tuple(high - low)).translate(tuple(low))
    for plate in plates:
        space -= plate
    if parts:
        space -= manifold3d.Manifold.batch_boolean(bodies[len(plates) :], manifold3d.OpType.Add)
    spaces = _spaces(space)
    return sorted_out([(s, s.volume, bool(s.box[0] < low[0] + MARGIN / 2)) for s in spaces], assembly.terminals)


def _spaces(space: Any) -> list[_Space]:
    """Connected voids. The library parts a solid by surfaces: each inner one is given back to the void it hollows."""
    surfaces = sorted(space.decompose(), key=lambda m: float(m.volume()))
    voids = [_Space(space, [m]) for m in surfaces if m.volume() > 0]  # small to large
    for inner in (m for m in surfaces if m.volume() <= 0):
        x, y, z = (float(c) for c in inner.to_mesh64().vert_properties[0, :3])
        next(v for v in voids if _holds(v.surfaces[0], (x, y, z))).surfaces.append(inner)
    return voids


def solid_of(mesh: StlMesh) -> Any:
    """A closed mesh as a solid of the boolean library."""
    vertices = np.ascontiguousarray(mesh.vertices, np.float64)
    return manifold3d.Manifold(manifold3d.Mesh64(vertices, np.ascontiguousarray(mesh.faces, np.uint64)))


def volume_beyond(surfaces: list[Any], height: float, up: bool) -> float:
    """Volume of a void above (`up`) or below a height of the assembly, mm³; `surfaces` are its outer and inner ones."""
    normal, offset = (0.0, 0.0, 1.0 if up else -1.0), height if up else -height
    return float(sum(m.trim_by_plane(normal, offset).volume() for m in surfaces))


def _swept(h: Hardware, deflection: float) -> Any:
    """A cord along its line: its section's box over the region that it covers in plan."""
    assert h.path is not None
    across, up = [r for r, _ in h.profile], [z for _, z in h.profile]
    region = paths.region(Stroke(h.path, max(across) - min(across)), deflection / 10)
    rings = [list(r.coords)[:-1] for r in (region.exterior, *region.interiors)]
    section = manifold3d.CrossSection(rings, manifold3d.FillRule.EvenOdd)
    low, high = sorted(h.origin[2] + h.axis[2] * z for z in (min(up), max(up)))
    return manifold3d.Manifold.extrude(section, high - low).translate((0.0, 0.0, low))


def _revolved(h: Hardware, deflection: float) -> Any:
    if h.path is not None:
        return _swept(h, deflection)
    radius = max(r for r, _ in h.profile)
    turn = math.acos(1 - min(0.5, deflection / radius))
    segments = min(COARSEST, max(FINEST, math.ceil(math.pi / turn)))
    section = manifold3d.CrossSection([_counter_clockwise(h.profile)])
    return manifold3d.Manifold.revolve(section, segments).transform(_frame(h.origin, h.axis))


def _counter_clockwise(profile: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
    ends = [*profile[1:], profile[0]]
    area = sum(r0 * z1 - r1 * z0 for (r0, z0), (r1, z1) in zip(profile, ends, strict=True))
    return list(profile if area > 0 else profile[::-1])


def _frame(origin: Vec3, axis: Vec3) -> Any:
    """3 × 4 matrix that lays local z along the axis, at the origin."""
    w = np.asarray(axis, float)
    u = np.cross((0.0, 1.0, 0.0) if abs(w[1]) < 0.9 else (1.0, 0.0, 0.0), w)
    u /= np.linalg.norm(u)
    return np.column_stack([u, np.cross(w, u), w, origin])


class _Space:
    """One connected void, outer surface first, with what is asked of it."""

    def __init__(self, whole: Any, surfaces: list[Any]) -> None:
        self.whole, self.surfaces = whole, surfaces
        self.box = surfaces[0].bounding_box()
        self.middle: Vec3 = tuple((self.box[k] + self.box[3 + k]) / 2 for k in range(3))

    @property
    def shape(self) -> list[Any]:
        return self.surfaces

    @property
    def volume(self) -> float:
        return float(sum(m.volume() for m in self.surfaces))

    @property
    def area(self) -> float:
        return float(sum(m.surface_area() for m in self.surfaces))

    def holds(self, p: Vec3) -> bool:
        hollow = len(self.surfaces) > 1  # only then something else can stand inside the outer surface
        return _holds(self.surfaces[0], p) and (not hollow or _holds(self.whole, p))


def _holds(body: Any, p: Vec3) -> bool:
    """Whether a small cube round the point meets the body."""
    box = body.bounding_box()
    if not all(box[k] <= p[k] <= box[3 + k] for k in range(3)):
        return False
    return not (body ^ manifold3d.Manifold.cube((2 * PROBE,) * 3, True).translate(p)).is_empty()
