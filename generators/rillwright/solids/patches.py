"""The kernel's triangles and edge polygons of faces as arrays, all at once.

The binding hands out nodes one by one, 1 µs each and more than the meshing itself. So bare faces and edges that hold
triangles and polygons alone are written as the kernel's own binary format (version 3), and read from that.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO
from typing import Any

import numpy as np
import numpy.typing as npt
from OCP.BinTools import BinTools, BinTools_FormatVersion
from OCP.BRep import BRep_Builder, BRep_Tool
from OCP.Message import Message_ProgressRange
from OCP.TopAbs import TopAbs_EDGE
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Compound, TopoDS_Edge, TopoDS_Face
from OCP.TopTools import TopTools_IndexedMapOfShape

Nodes = npt.NDArray[np.float64]
Numbers = npt.NDArray[np.int64]
_INT, _REAL, _FLAG = 4, 8, 1  # bytes


class MeshError(Exception):
    """A shape that cannot be turned into a closed, outward-looking mesh."""


@dataclass(frozen=True, slots=True, eq=False)
class Patch:
    """One meshed face in its own frame: nodes (n, 3) mm, triangles (m, 3) and for each edge, as `edges_of` has them,
    its nodes (k,)."""

    nodes: Nodes
    triangles: Numbers
    polygons: tuple[Numbers, ...]


def edges_of(face: Any) -> Iterator[Any]:
    """Edges of a face, a seam twice, once for each side: both are needed to close the surface."""
    walk: Any = TopExp_Explorer(face, TopAbs_EDGE)
    while walk.More():
        yield TopoDS.Edge_s(walk.Current())
        walk.Next()


def patches(faces: list[Any]) -> list[Patch]:
    """The mesh that the kernel has stored on each face; a face that stands at several places is read once.

    Raises MeshError for a face without triangles or an edge without a polygon.
    """
    known, order, counts = TopTools_IndexedMapOfShape(), list[int](), list[int]()
    builder, all_ = BRep_Builder(), TopoDS_Compound()
    builder.MakeCompound(all_)
    for number, face in enumerate(faces):
        home = TopoDS.Face_s(face.Located(TopLoc_Location()))
        order.append(known.Add(home) - 1)
        if order[-1] == len(counts):
            counts.append(_stripped(builder, all_, home, number))
    stream = BytesIO()
    version = BinTools_FormatVersion.BinTools_FormatVersion_VERSION_3
    BinTools.Write_s(all_, stream, True, False, version, Message_ProgressRange())
    read = _read(stream.getbuffer(), counts)
    return [read[i] for i in order]


def _stripped(builder: Any, all_: Any, face: Any, number: int) -> int:
    """Add a face's triangles and polygons, without their surfaces and curves; returns how many polygons it has."""
    place = TopLoc_Location()
    mesh: Any = BRep_Tool.Triangulation_s(face, place)
    if mesh is None:
        raise MeshError(f"face {number} got no triangles; the face is degenerate or its outline is broken")
    bare = TopoDS_Face()
    builder.MakeFace(bare, mesh)
    builder.Add(all_, bare)
    count = 0
    for edge in edges_of(face):
        polygon: Any = BRep_Tool.PolygonOnTriangulation_s(edge, mesh, place)
        if polygon is None:
            raise MeshError(f"an edge of face {number} has no polygon; the face's outline is broken")
        line = TopoDS_Edge()
        builder.MakeEdge(line, polygon, mesh)
        builder.Add(all_, line)
        count += 1
    return count


def _read(data: memoryview, counts: list[int]) -> list[Patch]:
    """Polygons come first, then triangles, each in the order in which they were added."""
    at, held = _section(data, 0, b"PolygonOnTriangulations ")
    polygons = list[Numbers]()
    for _ in range(held):
        n = int(np.frombuffer(data, "<i4", 1, at)[0])
        polygons.append(np.frombuffer(data, "<i4", n, at + _INT).astype(np.int64) - 1)
        at += _INT + n * _INT + _REAL
        at += _FLAG + (n * _REAL if data[at] else 0)  # parameters along the curve
    at, meshes = _section(data, at, b"Triangulations ")
    if (held, meshes) != (sum(counts), len(counts)):
        raise MeshError(f"the kernel gave {held} polygons of {sum(counts)} edges, {meshes} meshes of {len(counts)} faces")
    out, used = list[Patch](), 0
    for edges in counts:
        n, m = (int(v) for v in np.frombuffer(data, "<i4", 2, at))
        flat = data[at + 2 * _INT]
        at += 2 * _INT + _FLAG + _REAL
        nodes = np.frombuffer(data, "<f8", 3 * n, at).reshape(-1, 3)
        at += 3 * n * _REAL + (2 * n * _REAL if flat else 0)  # places on the surface
        triangles = np.frombuffer(data, "<i4", 3 * m, at).reshape(-1, 3).astype(np.int64) - 1
        at += 3 * m * _INT
        out.append(Patch(nodes, triangles, tuple(polygons[used : used + edges])))
        used += edges
    return out


def _section(data: memoryview, start: int, name: bytes) -> tuple[int, int]:
    """Where a section's entries begin, and how many there are. Only words stand between it and `start`."""
    head = bytes(data[start : start + 400])
    begin = head.find(name)
    if begin < 0:
        raise MeshError("the kernel's binary format is not the one that was asked for")
    end = head.index(b"\n", begin)
    return start + end + 1, int(head[begin + len(name) : end])
