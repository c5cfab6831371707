"""All that is measured on one finished plate and its exported mesh."""

from __future__ import annotations

from typing import Any

import numpy as np

from ...layout.features import PlateLayout
from ...solids.meshing import Mesh
from ...spec.job import Limits
from ..report import Cases
from . import walls
from .attribution import Group, groups_of, groups_of_triangles
from .bodies import Body, body_cases
from .countersinks import countersink_cases
from .stl import StlMesh

# Two chords of `deflection` face each other across a wall, and the file keeps 24 bits of each coordinate.
MESH_SLACK = 2.5
CLASSIFY = 2.0  # times the deflection: cones cut at an angle were seen to stray 1.6 times


def plate_cases(
    plate: PlateLayout, limits: Limits, solid: Any, mesh: Mesh, stl: StlMesh, deflection: float
) -> Cases:
    """All cases of one plate: `solid` and `mesh` in the part frame, `stl` as read back from the exported file."""
    faces, groups, corners = _faces(plate, solid, mesh, deflection)
    body = Body(plate, solid, stl, sum(g is None for g in groups), solid.Volume())
    triangles = stl.triangles * np.array([1.0, 1.0, plate.side])
    again = groups_of_triangles(plate, triangles, CLASSIFY * deflection)
    mesh_path = walls.MeshPath(triangles, again, MESH_SLACK * deflection)
    measured = walls.measure(walls.surfaces(plate, faces, groups, corners), mesh_path, limits, plate.side)
    sinks = countersink_cases(plate, faces, groups, corners, limits.under_countersink)
    return {**body_cases(body), **walls.cases(plate, measured, mesh_path.slack), "countersink.under": sinks}


def _faces(
    plate: PlateLayout, solid: Any, mesh: Mesh, deflection: float
) -> tuple[list[Any], list[Group | None], list[Any]]:
    """Faces of a solid, their groups, and their mesh points in the plate's frame."""
    points = mesh.vertices * np.array([1.0, 1.0, plate.side])
    groups = groups_of(plate, points, mesh.triangles, mesh.face_of_triangle, CLASSIFY * deflection)
    faces = solid.Faces()
    order = np.argsort(mesh.face_of_triangle, kind="stable")
    starts = np.searchsorted(mesh.face_of_triangle[order], np.arange(len(faces) + 1))
    corners = [points[mesh.triangles[order[starts[i] : starts[i + 1]]]].reshape(-1, 3) for i in range(len(faces))]
    return faces, groups, corners
