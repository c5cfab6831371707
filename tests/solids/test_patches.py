"""Triangles and polygons read all at once, against what the binding hands out one by one."""

from __future__ import annotations

from typing import Any

import cadquery as cq
import numpy as np
import pytest
from OCP.BRep import BRep_Tool
from OCP.BRepTools import BRepTools
from OCP.TopLoc import TopLoc_Location

from rillwright.solids.meshing import MeshError, mesh
from rillwright.solids.patches import edges_of, patches


def shapes() -> list[cq.Shape]:
    block = cq.Workplane().box(40, 30, 12).edges("|Z").fillet(4)
    drilled = block.faces(">Z").workplane().rarray(9, 9, 3, 2).cskHole(3, 6, 90)
    ball = cq.Solid.makeSphere(8, cq.Vector(), cq.Vector(0, 0, 1), -90, 90, 360)
    ring = cq.Solid.makeTorus(12, 3)
    return [drilled.val(), ball, ring, cq.Solid.makeCone(5, 0, 9)]  # type: ignore[list-item]


@pytest.mark.parametrize("shape", shapes(), ids=["drilled", "ball", "ring", "cone"])
def test_as_the_binding_hands_them_out(shape: Any) -> None:
    mesh(shape, 0.05)  # leaves the kernel's mesh on the shape
    faces = [f.wrapped for f in shape.Faces()]
    for face, patch in zip(faces, patches(faces), strict=True):
        place = TopLoc_Location()
        held: Any = BRep_Tool.Triangulation_s(face, place)
        nodes = np.array([held.Node(i).Coord() for i in range(1, held.NbNodes() + 1)])
        triangles = np.array([held.Triangle(i).Get() for i in range(1, held.NbTriangles() + 1)]) - 1
        assert np.array_equal(patch.nodes, nodes)
        assert np.array_equal(patch.triangles, triangles)
        for edge, polygon in zip(edges_of(face), patch.polygons, strict=True):
            line: Any = BRep_Tool.PolygonOnTriangulation_s(edge, held, place)
            assert polygon.tolist() == [line.Node(i) - 1 for i in range(1, line.NbNodes() + 1)]


def test_one_face_at_several_places_is_read_for_each() -> None:
    cube = cq.Solid.makeBox(1, 2, 3)
    mesh(cube)
    faces = [f.wrapped for f in cube.Faces()]
    again = [f.moved(cq.Location(cq.Vector(5, 0, 0))).wrapped for f in cube.Faces()]
    read = patches([*faces, *again])
    assert len(read) == 12
    assert all(a is b for a, b in zip(read[:6], read[6:], strict=True))


def test_a_face_without_a_mesh_is_named() -> None:
    cube = cq.Solid.makeBox(1, 2, 3)
    BRepTools.Clean_s(cube.wrapped)
    with pytest.raises(MeshError, match="face 0 got no triangles"):
        patches([f.wrapped for f in cube.Faces()])
