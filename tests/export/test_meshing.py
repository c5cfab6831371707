"""Meshes are closed, look outwards and enclose what the solid encloses."""

from __future__ import annotations

import math

import cadquery as cq
import numpy as np
import pytest
import trimesh

from rillwright.solids.meshing import Mesh, MeshError, mesh

TILT = cq.Location(cq.Vector(1, 2, 3), cq.Vector(1, 1, 0), 33)
SHAPES = {
    # name: shape, volume in closed form, Euler characteristic V - E + F, edges drawn (no seams, no poles)
    "box": (cq.Solid.makeBox(2, 3, 5), 30.0, 2, 12),
    "sphere": (cq.Solid.makeSphere(5, angleDegrees1=-90), 4 / 3 * math.pi * 125, 2, 0),
    "cone with apex": (cq.Solid.makeCone(5, 0, 8), math.pi * 25 * 8 / 3, 2, 1),
    "torus": (cq.Solid.makeTorus(10, 2), 2 * math.pi**2 * 10 * 4, 0, 0),
    "moved cone": (cq.Solid.makeCone(5, 0, 8).moved(TILT), math.pi * 25 * 8 / 3, 2, 1),
    "two cylinders": (
        cq.Compound.makeCompound(
            [cq.Solid.makeCylinder(3, 7), cq.Solid.makeCylinder(3, 7).moved(TILT * TILT)]
        ),
        2 * math.pi * 9 * 7,
        4,
        4,
    ),
    "block with a bore": (
        cq.Workplane().box(20, 20, 10).faces(">Z").workplane().hole(6).val(),
        20 * 20 * 10 - math.pi * 9 * 10,
        0,
        14,
    ),
}


def as_trimesh(m: Mesh) -> trimesh.Trimesh:
    return trimesh.Trimesh(m.vertices, m.triangles, process=False)


@pytest.mark.parametrize("name", SHAPES)
def test_closed_outward_and_of_the_right_kind(name: str) -> None:
    shape, volume, euler, drawn = SHAPES[name]
    m = mesh(shape, 0.002, 0.05)
    t = as_trimesh(m)
    assert t.is_watertight
    assert t.is_winding_consistent
    assert t.euler_number == euler
    assert m.volume == pytest.approx(volume, rel=2e-3)
    assert t.volume == pytest.approx(m.volume, rel=1e-9)
    assert len(m.edges) == drawn
    assert len(np.unique(m.triangles)) == len(m.vertices), "a vertex that no triangle uses"


def test_plate_with_a_hundred_holes(plate: cq.Shape, plate_mesh: Mesh) -> None:
    t = as_trimesh(plate_mesh)
    assert t.is_watertight
    assert t.is_winding_consistent
    assert t.euler_number == 2 - 2 * 100  # each through hole is a handle
    assert t.volume == pytest.approx(plate.Volume(), rel=2e-4)


def test_deflection_is_absolute_and_held() -> None:
    """The middle of a chord lies r(1 - cos(a/2)) inside the circle: all facets stay in [r - d, r]."""
    m = mesh(cq.Solid.makeCylinder(50, 10), 0.01, 1.0)
    rim = m.vertices[:, :2]
    middles = (rim[m.triangles] + rim[np.roll(m.triangles, 1, axis=1)]) / 2
    wall = m.face_of_triangle == [f.geomType() for f in cq.Solid.makeCylinder(50, 10).Faces()].index(
        "CYLINDER"
    )
    assert np.linalg.norm(rim, axis=1).max() == pytest.approx(50, abs=1e-9)
    assert np.linalg.norm(middles[wall], axis=2).min() >= 50 - 0.01 - 1e-9


def test_a_cached_coarse_mesh_is_thrown_away() -> None:
    shape = cq.Solid.makeCylinder(50, 10)
    coarse = len(mesh(shape, 1.0, 1.0).triangles)
    fine = len(mesh(shape, 0.01, 0.1).triangles)
    assert fine > 3 * coarse
    assert len(mesh(shape, 1.0, 1.0).triangles) == coarse


def test_face_of_triangle_points_at_the_face(plate: cq.Shape, plate_mesh: Mesh) -> None:
    areas = [f.Area() for f in plate.Faces()]
    corners = plate_mesh.vertices[plate_mesh.triangles]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    found = np.bincount(plate_mesh.face_of_triangle, np.linalg.norm(cross, axis=1) / 2, len(areas))
    assert found == pytest.approx(areas, rel=0.02)


def test_thin_gap_is_not_welded_shut() -> None:
    """Two blocks 1e-7 apart, under any sensible rounding, stay two closed bodies."""
    low, high = (
        cq.Solid.makeBox(4, 4, 1),
        cq.Solid.makeBox(4, 4, 1).moved(cq.Location(cq.Vector(0, 0, 1 + 1e-7))),
    )
    t = as_trimesh(mesh(cq.Compound.makeCompound([low, high])))
    assert t.is_watertight
    assert t.body_count == 2


def test_same_mesh_every_run(plate: cq.Shape, plate_mesh: Mesh) -> None:
    again = mesh(plate)
    assert again.vertices.tobytes() == plate_mesh.vertices.tobytes()
    assert again.triangles.tobytes() == plate_mesh.triangles.tobytes()


def test_edges_lie_on_the_mesh_and_skip_seams() -> None:
    m = mesh(cq.Solid.makeCylinder(3, 7))
    assert len(m.edges) == 2
    for edge in m.edges:
        assert np.ptp(edge[:, 2]) == 0, "a rim lies in a plane; the seam would run along z"
        assert edge[0] == pytest.approx(edge[-1])
    known = {tuple(v) for v in m.vertices}
    assert all(tuple(p) in known for edge in m.edges for p in edge)


def test_arrays_are_read_only(plate_mesh: Mesh) -> None:
    with pytest.raises(ValueError, match="read-only"):
        plate_mesh.vertices[0] = 0


def test_open_shell_is_refused_with_its_place() -> None:
    box = cq.Solid.makeBox(2, 3, 5)
    with pytest.raises(MeshError, match=r"open.*4 sides.*near \("):
        mesh(cq.Shell.makeShell(box.Faces()[:5]))


def test_inside_out_solid_is_refused() -> None:
    box = cq.Solid.makeBox(2, 3, 5)
    with pytest.raises(MeshError, match="inside out"):
        mesh(cq.Shape.cast(box.wrapped.Reversed()))


@pytest.mark.parametrize(
    ("deflection", "angle", "named"), [(0, 0.2, "deflection_mm"), (0.02, math.nan, "angle_rad")]
)
def test_senseless_settings_are_refused(deflection: float, angle: float, named: str) -> None:
    with pytest.raises(ValueError, match=named):
        mesh(cq.Solid.makeBox(1, 1, 1), deflection, angle)
