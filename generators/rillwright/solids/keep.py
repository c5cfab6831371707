"""A plate's solid and mesh as bytes, and back."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import cadquery as cq
import numpy as np

from .meshing import Mesh


def packed(solid: Any, mesh: Mesh) -> bytes:
    """Boundary representation (with the triangles on it) and mesh in one file of arrays."""
    shape, out = BytesIO(), BytesIO()
    solid.exportBin(shape)
    ends = np.cumsum([len(e) for e in mesh.edges], dtype=np.int64)
    lines = np.concatenate(mesh.edges) if mesh.edges else np.empty((0, 3))
    np.savez(out, shape=np.frombuffer(shape.getvalue(), np.uint8), vertices=mesh.vertices, triangles=mesh.triangles,
             faces=mesh.face_of_triangle, lines=lines, ends=ends)  # fmt: skip
    return out.getvalue()


def unpacked(data: bytes) -> tuple[Any, Mesh]:
    """The solid and the mesh of `packed`, in mm, in the part frame. Raises ValueError for bytes that are not."""
    with np.load(BytesIO(data), allow_pickle=False) as held:
        arrays = {name: held[name] for name in held.files}
    for array in arrays.values():
        array.setflags(write=False)
    solid = cq.Shape.importBin(BytesIO(arrays["shape"].tobytes()))
    if not isinstance(solid, cq.Solid):
        raise ValueError("the kept shape is no solid")
    edges = tuple(np.split(arrays["lines"], arrays["ends"][:-1])) if len(arrays["ends"]) else ()
    return solid, Mesh(arrays["vertices"], arrays["triangles"], arrays["faces"], edges)
