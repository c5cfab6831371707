"""Every check on finished solids and exported meshes, run once over a job."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import trimesh

from ...layout.features import JobLayout, PlateLayout
from ...layout.nets import assemblies
from ...solids.meshing import Mesh
from ...spec.job import Limits
from ..finding import Outcome
from ..report import Cases, outcome
from . import walls
from .attribution import Group, groups_of, groups_of_triangles
from .bodies import Body, body_cases, read_stl
from .countersinks import countersink_cases
from .nets import METHODS as NET_METHODS
from .nets import assembly_cases

# Two chords of `deflection` face each other across a wall, and the file keeps 24 bits of each coordinate.
MESH_SLACK = 2.5
CLASSIFY = 2.0  # times the deflection: cones cut at an angle were seen to stray 1.6 times


_BY_WALL = "exact distance between faces of the solid"
METHODS = {
    "mesh.sound": "mesh read back from the exported STL",
    "solid.sound": "the kernel's checks on the finished solid",
    "solid.explained": "geometry of each face of the finished solid",
    "volume.mesh": "divergence theorem on the exported STL",
    "volume.features": "closed forms against the finished solid",
    **dict.fromkeys(walls.WALL_RULES, _BY_WALL),
    "wall.second-path": "triangle distance on the exported STL",
    "countersink.under": "cone and hole faces of the finished solid",
}  # by rule, in the order of the report
ESTIMATES = ("wall.second-path",)


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
    read = {name: read_stl(path) for name, path in stls.items()}
    cases = [plate_cases(p, limits, solids[p.name], meshes[p.name], read[p.name], deflection) for p in layout.plates]
    nets = [assembly_cases(a, solids, read, deflection) for a in assemblies(layout)]
    return put_together(cases, nets)


def put_together(plates: list[Cases], nets: list[tuple[Cases, list[dict[str, Any]]]]) -> Measured:
    """Outcomes over all plates and assemblies, from their cases."""
    found = [
        outcome(rule, [c for cases in plates for c in cases.get(rule, [])], method,
                bound="estimate" if rule in ESTIMATES else "exact")
        for rule, method in METHODS.items()
    ]  # fmt: skip
    joined = [outcome(r, [c for cases, _ in nets for c in cases[r]], method) for r, method in NET_METHODS.items()]
    return Measured([*found, *joined], [row for _, rows in nets for row in rows])


def plate_cases(
    plate: PlateLayout, limits: Limits, solid: Any, mesh: Mesh, stl: trimesh.Trimesh, deflection: float
) -> Cases:
    """All cases of one plate: `solid` and `mesh` in the part frame, `stl` as read back from the exported file."""
    faces, groups, corners = _faces(plate, solid, mesh, deflection)
    body = Body(plate, solid, stl, sum(g is None for g in groups), solid.Volume())
    triangles = np.asarray(stl.triangles) * np.array([1.0, 1.0, plate.side])
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
