"""Binary STL, read back by hand and by trimesh."""

from __future__ import annotations

import io
import struct

import cadquery as cq
import numpy as np
import pytest
import trimesh

from rillwright.export.stl import stl_bytes
from rillwright.solids.meshing import Mesh, mesh


def test_layout_of_the_bytes(cube: cq.Shape) -> None:
    data = stl_bytes(mesh(cube), "upper")
    assert len(data) == 80 + 4 + 12 * 50
    assert data[:80].decode("ascii").rstrip() == "rillwright, plate upper, unit mm"
    assert not data.startswith(b"solid")
    assert struct.unpack_from("<I", data, 80) == (12,)
    for k in range(12):
        values = np.array(struct.unpack_from("<12fH", data, 84 + 50 * k)[:12]).reshape(4, 3)
        normal, a, b, c = values
        assert np.cross(b - a, c - a) / np.linalg.norm(np.cross(b - a, c - a)) == pytest.approx(normal)
        assert (a - [1, 1.5, 2.5]) @ normal > 0, "normals look outwards"


def test_plate_reads_back_closed(plate: cq.Shape, plate_mesh: Mesh) -> None:
    t = trimesh.load(io.BytesIO(stl_bytes(plate_mesh, "upper")), file_type="stl")
    assert t.is_watertight
    assert t.volume == pytest.approx(plate.Volume(), rel=2e-4)
    assert t.extents == pytest.approx([300, 130, 20], abs=1e-4)  # mm, in 32-bit floats


def test_same_bytes_every_run(plate: cq.Shape, plate_mesh: Mesh) -> None:
    assert stl_bytes(mesh(plate), "upper") == stl_bytes(plate_mesh, "upper")


def test_long_name_leaves_the_unit(cube: cq.Shape) -> None:
    header = stl_bytes(mesh(cube), "n" * 200)[:80].decode("ascii")
    assert header.endswith("n, unit mm")


def test_triangle_without_area_gets_no_nan() -> None:
    points = np.array([[0, 0, 0], [1, 0, 0], [2, 0, 0]], float)
    flat = Mesh(points, np.array([[0, 1, 2]], np.int32), np.zeros(1, np.int32), ())
    assert struct.unpack_from("<3f", stl_bytes(flat, "x"), 84) == (0, 0, 0)
