"""Where a mesh read back is not as it should be, whose surface that is, and what helps. Plate frame, mm."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from ...layout.features import Cut, PlateLayout
from ...layout.pockets import Pocket
from ..finding import Point
from .attribution import profile_distance
from .pocket_faces import pocket_distance
from .stl import StlMesh

SMALLEST = 1e-10  # mm²: a face below this has no area in single precision; 1e-5 mm over a kilometre of plate
OWN = 0.05  # mm: a surface that comes nearer to the fault than this, chords allowed for, is concerned
NAMED = 3
Floats = npt.NDArray[np.float64]


def mesh_fault(plate: PlateLayout, mesh: StlMesh) -> tuple[tuple[Point, ...], tuple[str, ...], str]:
    """Place of the first fault, the features whose surfaces lie there, nearest first, and a remedy."""
    place = first_fault(mesh)
    if place is None:
        return (), (), "look for features that cut the plate through"
    at = place * (1.0, 1.0, plate.side)
    far = sorted(((_distance(c, plate, at), c.name, c) for c in plate.cuts), key=lambda row: row[:2])
    found = [c for d, _, c in far if d < OWN][:NAMED]
    x, y, z = (round(float(v), 3) for v in at)
    return ((x, y, z),), tuple(c.name for c in found), _cure(found)


def first_fault(mesh: StlMesh) -> Floats | None:
    """Middle of the first side that has not one neighbour on it running the other way, else of the first face without
    area; in the file's frame, None where there is neither."""
    n = len(mesh.vertices)
    start, end = mesh.faces.ravel(), np.roll(mesh.faces, -1, axis=1).ravel()
    there, back = start * n + end, end * n + start
    sides, count = np.unique(there, return_counts=True)
    lone = np.r_[np.setxor1d(there, back), sides[count > 1]]
    if len(lone):
        a, b = divmod(int(lone[0]), n)
        return np.asarray((mesh.vertices[a] + mesh.vertices[b]) / 2)
    flat = np.flatnonzero(mesh.areas < SMALLEST)
    return np.asarray(mesh.triangles[flat[0]].mean(axis=0)) if len(flat) else None


def _distance(cut: Cut, plate: PlateLayout, at: Floats) -> float:
    points = at[None]
    found = pocket_distance(cut, plate.thickness, points) if isinstance(cut, Pocket) else profile_distance(cut, points)
    return abs(float(found[0]))


def _cure(found: list[Cut]) -> str:
    rounded = next((c for c in found if isinstance(c, Pocket) and c.floor_radius > 0), None)
    if rounded is not None:
        return f"give {rounded.name.split('.')[0]} another floor_radius than {rounded.floor_radius:g} mm, or 0"
    if found:
        return f"move {found[0].name} by 0.1 mm, or give another output.deflection"
    return "give another output.deflection"
