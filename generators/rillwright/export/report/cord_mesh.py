"""A long cord as the stage shows it: its section led along its line, without the kernel. Lengths in mm."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from ...layout import paths
from ...layout.features import Hardware
from ...layout.line_pieces import Bow
from ...layout.pockets import Path
from ...solids.meshing import Mesh

OFF, TURN = 0.15, 0.5  # mm and rad between the line and its chords; nobody looks at a cord closely
ROUND = 13  # corners of the section at most
Floats = npt.NDArray[np.float64]


def cord_mesh(part: Hardware) -> Mesh:
    """Mesh of a cord that runs along a closed line, in the frame of the assembly. Raises ValueError for an open line."""
    if part.path is None or not part.path.closed:
        raise ValueError(f"{part.name}: a cord's line must be closed")
    at, left = _stations(part.path)
    section = np.array(part.profile[:: max(1, math.ceil(len(part.profile) / ROUND))])
    z = part.origin[2] + part.axis[2] * section[:, 1]
    plan = at[:, None, :] + section[None, :, 0, None] * left[:, None, :]
    vertices = np.concatenate([plan, np.broadcast_to(z[None, :, None], (*plan.shape[:2], 1))], axis=2).reshape(-1, 3)
    triangles = _tube(len(at), len(section))
    made = Mesh(vertices, triangles, np.zeros(len(triangles), np.int32), ())
    return made if made.volume > 0 else Mesh(vertices, triangles[:, ::-1], made.face_of_triangle, ())


def _stations(way: Path) -> tuple[Floats, Floats]:
    """Places along a closed line, and how far to its left a step of 1 mm goes there, longer where it bends."""
    at = []
    for p in paths.pieces(way):
        n = 1
        if isinstance(p, Bow):
            n = math.ceil(abs(p.sweep) / min(TURN, 2 * math.acos(max(0.0, 1 - OFF / p.radius))))
        at += [p.at(p.length * i / n)[0] for i in range(n)]
    places = np.array(at)
    ahead = np.roll(places, -1, axis=0) - places
    ahead /= np.linalg.norm(ahead, axis=1, keepdims=True)
    square = np.column_stack([-ahead[:, 1], ahead[:, 0]])
    both = square + np.roll(square, 1, axis=0)
    return places, both * (2 / np.maximum((both**2).sum(axis=1), 0.5))[:, None]


def _tube(long: int, round_: int) -> npt.NDArray[np.int32]:
    """Triangles between neighbouring sections of a closed ring of sections."""
    i, j = (v.ravel() for v in np.meshgrid(np.arange(long), np.arange(round_), indexing="ij"))
    after, beside = (i + 1) % long, (j + 1) % round_
    a, b, c, d = i * round_ + j, after * round_ + j, after * round_ + beside, i * round_ + beside
    return np.concatenate([np.column_stack([a, b, c]), np.column_stack([a, c, d])]).astype(np.int32)
