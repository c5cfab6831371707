"""All that is measured on one finished plate and its exported mesh."""

from __future__ import annotations

from typing import Any

import numpy as np

from ...layout.features import PlateLayout
from ...solids.meshing import Mesh
from ...spec.job import Limits
from ..report import Cases
from . import walls
from .attribution import Finder
from .bodies import Body, body_cases
from .countersinks import countersink_cases
from .patches import patches
from .stl import StlMesh

# Two chords of `deflection` face each other across a wall, and the file keeps 24 bits of each coordinate.
MESH_SLACK = 2.5
CLASSIFY = 2.0  # times the deflection: cones cut at an angle were seen to stray 1.6 times


def plate_cases(
    plate: PlateLayout, limits: Limits, solid: Any, mesh: Mesh, stl: StlMesh, deflection: float
) -> Cases:
    """All cases of one plate: `solid` and `mesh` in the part frame, `stl` as read back from the exported file."""
    own = np.array([1.0, 1.0, plate.side])  # from the part's frame to the plate's
    finder, faces = Finder(plate, CLASSIFY * deflection), solid.Faces()
    pieces = patches(mesh.vertices * own, mesh.triangles, mesh.face_of_triangle)
    groups, corners = finder.of_faces(pieces), [pieces.points_of(i) for i in range(len(pieces))]
    body = Body(plate, solid, stl, sum(g is None for g in groups), solid.Volume())
    read = stl.vertices * own
    mesh_path = walls.MeshPath(read[stl.faces], *finder.of_triangles(read, stl.faces), MESH_SLACK * deflection)
    measured = walls.measure(walls.surfaces(plate, faces, groups, corners), mesh_path, limits, plate.side)
    sinks = countersink_cases(plate, faces, groups, corners, limits.under_countersink)
    return {**body_cases(body), **walls.cases(plate, measured, mesh_path.slack), "countersink.under": sinks}

