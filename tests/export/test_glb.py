"""GLB against what glTF 2.0 asks for, and through trimesh."""

from __future__ import annotations

import io
import json
import struct
from typing import Any

import cadquery as cq
import numpy as np
import pytest
import trimesh

from rillwright.export.glb import glb_bytes
from rillwright.export.placed import Placed
from rillwright.solids.meshing import Mesh, mesh

CLEAR, RED = (0.8, 0.9, 1.0, 0.4), (1.0, 0.0, 0.0, 1.0)
TYPES = {5126: "<f4", 5123: "<u2", 5125: "<u4"}
WIDTH = {"VEC3": 3, "SCALAR": 1}


def opened(data: bytes) -> tuple[dict[str, Any], bytes]:
    magic, version, total = struct.unpack_from("<4sII", data)
    assert (magic, version, total) == (b"glTF", 2, len(data))
    length, kind = struct.unpack_from("<I4s", data, 12)
    assert kind == b"JSON"
    assert length % 4 == 0
    at = 20 + length
    size, kind = struct.unpack_from("<I4s", data, at)
    assert kind == b"BIN\0"
    assert size % 4 == 0
    assert at + 8 + size == len(data)
    return json.loads(data[20:at]), data[at + 8 :]


def values(document: dict[str, Any], binary: bytes, index: int) -> np.ndarray:
    accessor = document["accessors"][index]
    view = document["bufferViews"][accessor["bufferView"]]
    kind = np.dtype(TYPES[accessor["componentType"]])
    width = WIDTH[accessor["type"]]
    assert view["byteOffset"] % 4 == 0
    assert view["byteLength"] == accessor["count"] * width * kind.itemsize
    assert view["byteOffset"] + view["byteLength"] <= document["buffers"][0]["byteLength"]
    return np.frombuffer(binary, kind, accessor["count"] * width, view["byteOffset"]).reshape(-1, width)


@pytest.fixture(scope="module")
def scene(plate: cq.Shape, plate_mesh: Mesh, cube: cq.Shape) -> bytes:
    struts = [(Placed(f"strut-{k}", cube, RED, 10.0 * k, "steel", "strut"), mesh(cube)) for k in range(3)]
    clear = (Placed("upper", plate, CLEAR, 200.0, "pmma-cast"), plate_mesh)
    return glb_bytes("twin", [clear, *struts, (Placed("blue", cube, (0, 0, 1, 1)), mesh(cube))])


def test_structure(scene: bytes) -> None:
    document, binary = opened(scene)
    assert document["asset"]["version"] == "2.0"
    assert 0 <= len(binary) - document["buffers"][0]["byteLength"] <= 3
    for m in document["meshes"]:
        for primitive in m["primitives"]:
            position = document["accessors"][primitive["attributes"]["POSITION"]]
            points = values(document, binary, primitive["attributes"]["POSITION"])
            assert position["min"] == points.min(axis=0).tolist()
            assert position["max"] == points.max(axis=0).tolist()
            index = values(document, binary, primitive["indices"])
            assert index.max() < len(points)
            assert index.max() < np.iinfo(index.dtype).max
            assert len(index) % {4: 3, 1: 2}[primitive["mode"]] == 0
            assert primitive["material"] < len(document["materials"])
            if primitive["mode"] == 4:
                normals = values(document, binary, primitive["attributes"]["NORMAL"])
                assert np.linalg.norm(normals, axis=1) == pytest.approx(1, abs=1e-5)
    views = {a["bufferView"] for a in document["accessors"]}
    assert views == set(range(len(document["bufferViews"])))


def test_names_tree_and_sharing(scene: bytes) -> None:
    document, _ = opened(scene)
    nodes = document["nodes"]
    assert [n["name"] for n in nodes] == ["upper", "strut-0", "strut-1", "strut-2", "blue", "twin"]
    assert document["scenes"][document["scene"]]["nodes"] == [5]
    assert nodes[5]["children"] == [0, 1, 2, 3, 4]
    assert [m["name"] for m in document["meshes"]] == ["upper", "strut", "blue"]
    assert [n["mesh"] for n in nodes[:5]] == [0, 1, 1, 1, 2]
    strut, blue = (document["meshes"][k]["primitives"][0]["attributes"] for k in (1, 2))
    assert strut == blue, "another colour shares the data"
    assert nodes[0]["extras"] == {"material": "pmma-cast"}


def test_metres_and_y_up(scene: bytes) -> None:
    """The offset of 200 mm along z is 0.2 m along Y; the plate's y looks to -Z."""
    document, _ = opened(scene)
    assert document["nodes"][0]["translation"] == pytest.approx([0, 0.2, 0])
    box = document["accessors"][document["meshes"][1]["primitives"][0]["attributes"]["POSITION"]]
    assert box["min"] == pytest.approx([0, 0, -0.003])
    assert box["max"] == pytest.approx([0.002, 0.005, 0])


def test_materials(scene: bytes) -> None:
    document, _ = opened(scene)
    clear, lines, red = document["materials"][:3]
    assert clear["alphaMode"] == "BLEND"
    # sRGB 0.8 and 0.9 in linear light: 0.6038 and 0.7874, IEC 61966-2-1 worked by hand
    assert clear["pbrMetallicRoughness"]["baseColorFactor"] == pytest.approx(
        [0.6038, 0.7874, 1, 0.4], abs=1e-4
    )
    assert "alphaMode" not in red
    assert "alphaMode" not in lines
    assert red["pbrMetallicRoughness"]["baseColorFactor"] == [1, 0, 0, 1]


def test_trimesh_reads_it(scene: bytes, plate: cq.Shape) -> None:
    loaded = trimesh.load(io.BytesIO(scene), file_type="glb")
    surfaces = [g for g in loaded.dump() if isinstance(g, trimesh.Trimesh)]
    largest = max(surfaces, key=lambda g: g.area)
    assert largest.extents == pytest.approx([0.3, 0.02, 0.13], abs=1e-6)
    assert largest.bounds[0][1] == pytest.approx(0.19, abs=1e-6)
    largest.merge_vertices(merge_norm=True)
    assert largest.is_watertight
    assert largest.volume == pytest.approx(plate.Volume() * 1e-9, rel=5e-4)


def test_edges_are_the_mesh_edges(cube: cq.Shape) -> None:
    document, binary = opened(glb_bytes("x", [(Placed("a", cube, RED), mesh(cube))]))
    line = document["meshes"][0]["primitives"][1]
    points = values(document, binary, line["attributes"]["POSITION"])
    pairs = points[values(document, binary, line["indices"]).ravel()].reshape(-1, 2, 3)
    lengths = np.linalg.norm(pairs[:, 0] - pairs[:, 1], axis=1)
    assert sorted(lengths) == pytest.approx([0.002] * 4 + [0.003] * 4 + [0.005] * 4)


def test_cylinder_normals_are_radial() -> None:
    cylinder = cq.Solid.makeCylinder(5, 20)
    document, binary = opened(glb_bytes("x", [(Placed("a", cylinder, RED), mesh(cylinder, 0.5, 0.5))]))
    surface = document["meshes"][0]["primitives"][0]["attributes"]
    points, normals = (values(document, binary, surface[k]) for k in ("POSITION", "NORMAL"))
    wall = np.abs(normals[:, 1]) < 0.5
    assert wall.sum() > 10
    radial = points[wall][:, [0, 2]] / 0.005
    assert normals[wall][:, [0, 2]] == pytest.approx(radial, abs=1e-4)


def test_a_sphere_has_no_edges_and_many_vertices_need_wide_indices() -> None:
    ball = cq.Solid.makeSphere(50, angleDegrees1=-90)
    document, _ = opened(glb_bytes("x", [(Placed("a", ball, RED), mesh(ball, 0.02, 0.015))]))
    (surface,) = document["meshes"][0]["primitives"]
    assert document["accessors"][surface["attributes"]["POSITION"]]["count"] > 65535
    assert document["accessors"][surface["indices"]]["componentType"] == 5125


def test_same_bytes_every_run(plate: cq.Shape) -> None:
    first, second = (glb_bytes("x", [(Placed("a", plate, CLEAR), mesh(plate))]) for _ in range(2))
    assert first == second


def test_no_parts_are_refused() -> None:
    with pytest.raises(ValueError, match="at least one part"):
        glb_bytes("x", [])
