"""Every check on finished solids and exported meshes, run once over a job."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from ...layout.features import JobLayout, PlateLayout
from ...solids.meshing import Mesh
from ...spec.job import Limits
from ..finding import Outcome
from ..report import Case, outcome
from . import walls
from .attribution import Group, groups_of, groups_of_triangles
from .bodies import Body, body_checks, read_stl
from .countersinks import under_countersinks
from .nets import net_checks

# Two chords of `deflection` face each other across a wall, and the file keeps 24 bits of each coordinate.
MESH_SLACK = 2.5
CLASSIFY = 2.0  # times the deflection: cones cut at an angle were seen to stray 1.6 times


@dataclass(frozen=True, slots=True)
class Measured:
    """What solids and meshes answered: an outcome for each rule, and a row for each net (`volumes.net_rows`)."""

    outcomes: list[Outcome]
    nets: list[dict[str, Any]]


def measured_checks(
    layout: JobLayout, limits: Limits, solids: dict[str, Any], meshes: dict[str, Mesh], stls: dict[str, Path],
    deflection: float,
) -> list[Outcome]:  # fmt: skip
    """Outcomes of all rules that look at solids (part frame) or at the exported STL files; lengths in mm."""
    return measure(layout, limits, solids, meshes, stls, deflection).outcomes


def measure(
    layout: JobLayout, limits: Limits, solids: dict[str, Any], meshes: dict[str, Mesh], stls: dict[str, Path],
    deflection: float,
) -> Measured:  # fmt: skip
    """The same outcomes, with the nets that were found."""
    bodies, found, parts = [], [], []
    second: list[Case] = []
    for plate in layout.plates:
        solid, mesh = solids[plate.name], meshes[plate.name]
        faces, groups, corners = _faces(plate, solid, mesh, deflection)
        parts.append((plate, faces, groups, corners))
        stl = read_stl(stls[plate.name])
        bodies.append(Body(plate, solid, stl, sum(g is None for g in groups), solid.Volume()))
        triangles = np.asarray(stl.triangles) * np.array([1.0, 1.0, plate.side])
        again = groups_of_triangles(plate, triangles, CLASSIFY * deflection)
        mesh_path = walls.MeshPath(triangles, again, MESH_SLACK * deflection)
        surfaces = walls.surfaces(plate, faces, groups, corners)
        measured = walls.measure(surfaces, mesh_path, limits, plate.side)
        found += [(plate, w) for w in measured]
        second += walls.second_path(plate, measured, mesh_path.slack)
    agreed = outcome("wall.second-path", second, "triangle distance on the exported STL", bound="estimate")
    nets, rows = net_checks(layout, solids, {b.plate.name: b.mesh for b in bodies}, deflection)
    sinks = under_countersinks(parts, limits.under_countersink)
    return Measured([*body_checks(bodies), *walls.outcomes(found), agreed, sinks, *nets], rows)


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
