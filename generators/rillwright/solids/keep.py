"""A plate's solid and mesh as bytes, and back."""

from __future__ import annotations

from io import BytesIO
from typing import Any

import cadquery as cq
import numpy as np

from .meshing import Mesh


def packed(solid: Any, mesh: Mesh) -> bytes:
    """Boundary representation (with the triangles on it) and mesh in one file of arrays."""
    shape = BytesIO()
    solid.exportBin(shape)
    return _filed(shape=np.frombuffer(shape.getvalue(), np.uint8), **_arrays(mesh))


def packed_mesh(mesh: Mesh) -> bytes:
    """A mesh alone."""
    return _filed(**_arrays(mesh))


def _arrays(mesh: Mesh) -> dict[str, Any]:
    ends = np.cumsum([len(e) for e in mesh.edges], dtype=np.int64)
    lines = np.concatenate(mesh.edges) if mesh.edges else np.empty((0, 3))
    return {"vertices": mesh.vertices, "triangles": mesh.triangles, "faces": mesh.face_of_triangle, "lines": lines,
            "ends": ends}  # fmt: skip


def _filed(**arrays: Any) -> bytes:
    out = BytesIO()
    np.savez(out, **arrays)
    return out.getvalue()


def unpacked(data: bytes) -> tuple[Any, Mesh]:
    """The solid and the mesh of `packed`, in mm, in the part frame. Raises ValueError for bytes that are not."""
    arrays = _read(data)
    solid = cq.Shape.importBin(BytesIO(arrays["shape"].tobytes()))
    if not isinstance(solid, cq.Solid):
        raise ValueError("the kept shape is no solid")
    return solid, _mesh(arrays)


def unpacked_mesh(data: bytes) -> Mesh:
    """The mesh of `packed_mesh`."""
    return _mesh(_read(data))


def _read(data: bytes) -> dict[str, Any]:
    with np.load(BytesIO(data), allow_pickle=False) as held:
        arrays = {name: held[name] for name in held.files}
    for array in arrays.values():
        array.setflags(write=False)
    return arrays


def _mesh(arrays: dict[str, Any]) -> Mesh:
    edges = tuple(np.split(arrays["lines"], arrays["ends"][:-1])) if len(arrays["ends"]) else ()
    return Mesh(arrays["vertices"], arrays["triangles"], arrays["faces"], edges)
