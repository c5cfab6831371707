"""Closed triangle meshes of solids, welded along the edges of the boundary representation.

Each face is meshed on its own by the kernel, but neighbours share the polygon of their common edge. Nodes are
merged by that shared edge, never by nearness, so a wall thinner than any rounding cannot be welded shut.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

import cadquery as cq
import numpy as np
import numpy.typing as npt
from OCP.BRep import BRep_Builder, BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.BRepTools import BRepTools
from OCP.IMeshTools import IMeshTools_MeshAlgoType, IMeshTools_Parameters
from OCP.TopAbs import TopAbs_REVERSED
from OCP.TopExp import TopExp
from OCP.TopoDS import TopoDS_Compound
from OCP.TopTools import TopTools_IndexedMapOfShape
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from .patches import MeshError as MeshError
from .patches import Patch, edges_of, patches

FINER = (1.0, 0.5, 0.25)  # shares of the deflection that tori are tried with
Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int32]
_Array = TypeVar("_Array", bound=npt.NDArray[Any])


@dataclass(frozen=True, slots=True, eq=False)
class Mesh:
    """Closed triangle mesh of one shape, in mm, in the shape's own frame. The arrays are read-only.

    vertices: (n, 3) float64. triangles: (m, 3) int32, counter-clockwise seen from outside.
    face_of_triangle: (m,) int32, index into `shape.Faces()`. edges: one (k, 3) float64 polyline for each edge
    worth drawing, i.e. without the seams of closed surfaces.
    """

    vertices: Floats
    triangles: Ints
    face_of_triangle: Ints
    edges: tuple[Floats, ...]

    @property
    def volume(self) -> float:
        """Enclosed volume, mm³, by the divergence theorem."""
        a, b, c = (self.vertices[self.triangles[:, k]] for k in range(3))
        return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6.0)


def mesh(shape: cq.Shape, deflection_mm: float = 0.02, angle_rad: float = 0.2) -> Mesh:
    """Mesh of a closed shape; chords stray at most `deflection_mm` (absolute) and `angle_rad` from it.

    Any mesh cached on the shape is thrown away first: the kernel would otherwise hand back a coarser one.
    Raises ValueError for a deflection or angle that is not positive, MeshError where a face gets no triangles
    or the result is not closed or is inside out.
    """
    for what, value in (("deflection_mm", deflection_mm), ("angle_rad", angle_rad)):
        if not (math.isfinite(value) and value > 0):
            raise ValueError(f"{what} must be a number greater than 0 (got {value})")
    for share in FINER:
        _triangulate(shape, deflection_mm, angle_rad, share)
        collected = _Collector()
        faces = [f.wrapped for f in shape.Faces()]
        for index, (face, patch) in enumerate(zip(faces, patches(faces), strict=True)):
            collected.take(index, face, patch)
        result = collected.welded(deflection_mm)
        if not strays(shape, result, 2 * deflection_mm):
            break
    _require_closed(result)
    return result


def _triangulate(shape: Any, deflection_mm: float, angle_rad: float, share: float = 1.0) -> None:
    """Let the kernel mesh the faces; its result is stored on the shape.

    Cylinders and cones by Watson, since Delabella lays long triangles across cones that a bore cuts (0.13 mm off where
    0.02 was asked). Tori by Delabella, since Watson lays them across the floor radius of a channel along an arc (0.35 mm
    off); with `share` < 1 as much finer and first. Plane faces by Delabella too, since Watson takes seconds for a face of
    a hundred holes. A later run keeps what those before have meshed, edges included.
    """
    BRepTools.Clean_s(shape.wrapped)
    kinds = IMeshTools_MeshAlgoType
    watson, delabella = kinds.IMeshTools_MeshAlgoType_Watson, kinds.IMeshTools_MeshAlgoType_Delabella
    runs = [(_those(shape, lambda kind: kind not in ("PLANE", "TORUS")), watson, 1.0), (shape.wrapped, delabella, 1.0)]
    if share < 1:
        runs.insert(0, (_those(shape, lambda kind: kind == "TORUS"), delabella, share))
    for target, algorithm, finer in runs:
        settings = IMeshTools_Parameters()
        settings.MeshAlgo = algorithm
        settings.Deflection = deflection_mm * finer
        settings.Angle = angle_rad
        settings.Relative = False
        settings.InParallel = True
        BRepMesh_IncrementalMesh(target, settings)


def _those(shape: Any, wanted: Callable[[str], bool]) -> Any:
    """The faces of some kinds as one compound."""
    builder, made = BRep_Builder(), TopoDS_Compound()
    builder.MakeCompound(made)
    for face in shape.Faces():
        if wanted(face.geomType()):
            builder.Add(made, face.wrapped)
    return made


def strays(shape: Any, mesh: Mesh, limit_mm: float) -> bool:
    """Whether the middle of a triangle lies further than this off its torus, of faces that are part of one."""
    for index, face in enumerate(shape.Faces()):
        if face.geomType() == "TORUS":
            torus = BRepAdaptor_Surface(face.wrapped).Torus()
            centre, axis = torus.Location(), torus.Axis().Direction()
            own = mesh.triangles[mesh.face_of_triangle == index]
            rel = mesh.vertices[own].mean(axis=1) - (centre.X(), centre.Y(), centre.Z())
            along = rel @ (axis.X(), axis.Y(), axis.Z())
            out = np.sqrt(np.maximum((rel**2).sum(axis=1) - along**2, 0.0)) - torus.MajorRadius()
            if np.abs(np.hypot(out, along) - torus.MinorRadius()).max() > limit_mm:
                return True
    return False


class _Collector:
    """Gathers the meshes of single faces, and which of their nodes are the same point of the shape."""

    def __init__(self) -> None:
        self.count = 0
        self.nodes: list[Floats] = []
        self.triangles: list[npt.NDArray[np.int64]] = []
        self.faces: list[npt.NDArray[np.int32]] = []
        # Numbers of nodes that are the same point as those at the same place in the other list.
        self.same: tuple[list[npt.NDArray[np.int64]], list[npt.NDArray[np.int64]]] = ([], [])
        self.edge_map: Any = TopTools_IndexedMapOfShape()
        self.vertex_map: Any = TopTools_IndexedMapOfShape()
        self.edge_nodes: dict[int, npt.NDArray[np.int64]] = {}
        self.vertex_node: dict[int, npt.NDArray[np.int64]] = {}
        self.drawn: dict[int, int] = {}  # edges to draw, with the face they were met on first

    def take(self, index: int, face: Any, patch: Patch) -> None:
        """Add the triangles of one face and the polygons of its edges."""
        triangles = patch.triangles + self.count
        if face.Orientation() == TopAbs_REVERSED:
            triangles = triangles[:, ::-1]
        self.nodes.append(_nodes(patch, face.Location()))
        self.triangles.append(triangles)
        self.faces.append(np.full(len(triangles), index, np.int32))
        for edge, polygon in zip(edges_of(face), patch.polygons, strict=True):
            self._take_edge(index, edge, polygon + self.count)
        self.count += len(patch.nodes)

    def _take_edge(self, index: int, edge: Any, ids: npt.NDArray[np.int64]) -> None:
        for vertex, node in ((TopExp.FirstVertex_s(edge), ids[:1]), (TopExp.LastVertex_s(edge), ids[-1:])):
            first = self.vertex_node.setdefault(self.vertex_map.Add(vertex), node)
            if first is not node:
                self._join(first, node)
        if BRep_Tool.Degenerated_s(edge):  # the apex of a cone: all its nodes are one point
            self._join(np.full(len(ids), ids[0]), ids)
            return
        key = self.edge_map.Add(edge)
        known = self.edge_nodes.setdefault(key, ids)
        if known is ids:
            self.drawn[key] = index
        elif len(known) != len(ids):
            raise MeshError(
                f"face {index} has {len(ids)} nodes on an edge where its neighbour has {len(known)}"
            )
        else:
            self._join(known, ids)
            if self.drawn.get(key) == index:  # both sides belong to one face: a seam
                del self.drawn[key]

    def _join(self, some: npt.NDArray[np.int64], others: npt.NDArray[np.int64]) -> None:
        self.same[0].append(some)
        self.same[1].append(others)

    def welded(self, deflection_mm: float) -> Mesh:
        """Merge the nodes that are the same point; triangles that collapse to a line vanish with it."""
        if not self.nodes:
            raise MeshError("the shape has no faces")
        nodes = np.concatenate(self.nodes)
        some, others = (np.concatenate(half) if half else np.empty(0, np.int64) for half in self.same)
        vertex_of, first = _merged(some, others, self.count)
        vertices = nodes[first]
        moved = float(np.abs(nodes - vertices[vertex_of]).max())
        if moved > deflection_mm:
            wanted = f"at most {deflection_mm} mm is wanted"
            raise MeshError(f"faces lie {moved:.3g} mm apart along a shared edge; {wanted}; heal the shape")
        triangles = vertex_of[np.concatenate(self.triangles)]
        a, b, c = triangles.T
        keep = (a != b) & (b != c) & (c != a)
        edges = tuple(_fixed(vertices[vertex_of[self.edge_nodes[key]]]) for key in self.drawn)
        faces = np.concatenate(self.faces)[keep]
        return Mesh(_fixed(vertices), _fixed(triangles[keep].astype(np.int32)), _fixed(faces), edges)


def _nodes(patch: Patch, place: Any) -> Floats:
    """Nodes of one face in the frame of the shape, (n, 3) mm."""
    if place.IsIdentity():
        return patch.nodes
    transform = place.Transformation()
    matrix = np.array([[transform.Value(r, c) for c in range(1, 5)] for r in range(1, 4)])
    moved: Floats = patch.nodes @ matrix[:, :3].T + matrix[:, 3]
    return moved


def _merged(
    some: npt.NDArray[np.int64], others: npt.NDArray[np.int64], count: int
) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """Vertex number of each node (count,) and first node of each vertex, in order of appearance."""
    graph = coo_array((np.ones(len(some), np.int8), (some, others)), shape=(count, count))
    _, labels = connected_components(graph, directed=False)
    _, first, label_of = np.unique(labels, return_index=True, return_inverse=True)
    order = np.argsort(first)
    rank = np.empty_like(order)
    rank[order] = np.arange(len(order))
    return rank[label_of], first[order]


def _require_closed(mesh: Mesh) -> None:
    """Each side of a triangle must be met by one that runs the other way, and the whole enclose volume."""
    n = len(mesh.vertices)
    start = mesh.triangles.astype(np.int64)
    end = np.roll(start, -1, axis=1)
    there, back = np.sort((start * n + end).ravel()), np.sort((end * n + start).ravel())
    if not np.array_equal(there, back):
        alone = np.setxor1d(there, back)
        x, y, z = mesh.vertices[(alone if len(alone) else there)[0] // n]
        raise MeshError(
            f"the mesh is open, or its triangles look opposite ways, along {len(alone) // 2} sides, "
            f"near ({x:.3f}, {y:.3f}, {z:.3f}); the shape is not a closed solid"
        )
    if mesh.volume <= 0:
        raise MeshError(f"the mesh encloses {mesh.volume:.3g} mm³; the shape is empty or turned inside out")


def _fixed(array: _Array) -> _Array:
    """The array, read-only: a frozen dataclass alone would not keep its contents."""
    array.setflags(write=False)
    return array
