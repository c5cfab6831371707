"""Rooms of mounted parts as clear prisms for the GLB and the report: shown, never made. Lengths in mm."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ..layout.features import PlateLayout
from ..layout.job_layout import JobLayout
from ..layout.phantoms import Phantom, phantoms
from ..solids.meshing import Mesh
from .placed import Placed, Rgba

COLOUR: Rgba = (0.36, 0.44, 0.62, 0.12)
MARKED = "room of a mounted part, no part of any plate"


def placed_phantoms(layout: JobLayout) -> Iterator[tuple[Placed, Mesh]]:
    """Each phantom as a clear part of an assembly file, with its mesh in the assembly's frame."""
    plates = {p.name: p for p in layout.plates}
    for p in phantoms(layout):
        made = phantom_mesh(p, plates[p.plate])
        note = f"{MARKED} ({p.interface})"
        yield Placed(p.name, p, COLOUR, 0.0, MARKED, note, layout.stance(p.plate)), made


def phantom_mesh(p: Phantom, plate: PlateLayout) -> Mesh:
    """A closed prism in the frame of the plate's assembly."""
    low, high = sorted((p.z(plate, p.low), p.z(plate, p.high)))
    n = len(p.ring)
    flat = np.array(p.ring)
    points = np.vstack([np.column_stack([flat, np.full(n, z)]) for z in (low, high)])
    fan = np.array([(0, i, i + 1) for i in range(1, n - 1)])
    here, there = np.arange(n), np.roll(np.arange(n), -1)
    sides = np.vstack([np.column_stack([here, there, there + n]), np.column_stack([here, there + n, here + n])])
    wall = np.full(n, 2) if p.round else 2 + here  # one bent wall, or a wall for each side
    faces = np.concatenate([np.zeros(n - 2, int), np.ones(n - 2, int), wall, wall])
    rims = [points[[*range(k, k + n), k]] for k in (0, n)]
    posts = [] if p.round else [points[[i, i + n]] for i in range(n)]
    return Mesh(points, np.vstack([fan[:, ::-1], fan + n, sides]), faces, (*rims, *posts))
