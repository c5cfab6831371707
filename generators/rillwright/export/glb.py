"""Binary glTF 2.0 (Khronos) for viewers: one mesh per shape and colour, edges as lines."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from .. import __version__
from .glb_buffer import Buffer, container
from .placed import Placed, Rgba

if TYPE_CHECKING:
    from ..solids.meshing import Mesh

_METRES = 1e-3  # glTF: all linear distances are metres
_TRIANGLES, _LINES = 4, 1  # primitive.mode
EDGE_COLOUR: Rgba = (0.08, 0.09, 0.10, 1.0)
_ROUGH, _GLOSSY = 0.55, 0.1  # looks only: machined face, polished clear face

Floats = npt.NDArray[np.floating[Any]]
Integers = npt.NDArray[np.integer[Any]]


def glb_bytes(name: str, parts: Sequence[tuple[Placed, Mesh]]) -> bytes:
    """Scene `name` with one node per part, in metres and Y up (the parts' z). Same parts, same bytes.

    Each mesh is of its part's shape in the shape's own frame. Parts of equal shape share their data, those of
    equal colour too the mesh. Opacity under 1 is blended. The material stands in the node's `extras`.
    Raises ValueError where there are no parts: glTF has no empty lists.
    """
    if not parts:
        raise ValueError(f"a scene needs at least one part (got none for '{name}')")
    scene = _Scene()
    for part, mesh in parts:
        scene.add(part, mesh)
    return container(scene.document(name), bytes(scene.buffer.data))


class _Scene:
    """The lists of a glTF document as they grow."""

    def __init__(self) -> None:
        self.buffer = Buffer()
        self.nodes: list[dict[str, Any]] = []
        self.meshes: list[dict[str, Any]] = []
        self.materials: list[dict[str, Any]] = []
        self._shapes: dict[Any, tuple[dict[str, Any], dict[str, Any] | None]] = {}
        self._mesh_of: dict[tuple[Any, Rgba], int] = {}
        self._material_of: dict[Rgba, int] = {}

    def add(self, part: Placed, mesh: Mesh) -> None:
        """Append the node of one part, and its mesh where it is new."""
        key = (part.shape, part.colour)
        if key not in self._mesh_of:
            self._mesh_of[key] = len(self.meshes)
            self.meshes.append(
                {"name": part.product or part.name, "primitives": self._primitives(part, mesh)}
            )
        node: dict[str, Any] = {"name": part.name, "mesh": self._mesh_of[key]}
        x, y, z = part.stance.place((0.0, 0.0, part.offset))
        if x or y or z:
            node["translation"] = [x * _METRES, z * _METRES, -y * _METRES]
        if not part.stance.still:
            i, j, k, w = part.stance.quaternion
            node["rotation"] = [i, k, -j, w]
        if part.material:
            node["extras"] = {"material": part.material}
        self.nodes.append(node)

    def _primitives(self, part: Placed, mesh: Mesh) -> list[dict[str, Any]]:
        if part.shape not in self._shapes:
            self._shapes[part.shape] = (surface(self.buffer, mesh), outline(self.buffer, mesh))
        faces, edges = self._shapes[part.shape]
        primitives = [{**faces, "material": self._material(part.colour)}]
        if edges:
            primitives.append({**edges, "material": self._material(EDGE_COLOUR)})
        return primitives

    def _material(self, colour: Rgba) -> int:
        if colour not in self._material_of:
            self._material_of[colour] = len(self.materials)
            self.materials.append(material(colour))
        return self._material_of[colour]

    def document(self, name: str) -> dict[str, Any]:
        """The JSON part; the root node comes last."""
        root = {"name": name, "children": list(range(len(self.nodes)))}
        return {
            "asset": {"version": "2.0", "generator": f"rillwright {__version__}"},
            "scene": 0,
            "scenes": [{"name": name, "nodes": [len(self.nodes)]}],
            "nodes": [*self.nodes, root],
            "meshes": self.meshes,
            "materials": self.materials,
            "accessors": self.buffer.accessors,
            "bufferViews": self.buffer.views,
            "buffers": [{"byteLength": len(self.buffer.data)}],
        }


def surface(buffer: Buffer, mesh: Mesh) -> dict[str, Any]:
    """Triangles, with vertices doubled along edges so that each face is shaded by its own normals."""
    corners = mesh.vertices[mesh.triangles]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    seen = np.linalg.norm(cross, axis=1) > 0  # a triangle without area has no normal, and nothing to show
    faces = int(mesh.face_of_triangle.max()) + 1
    keys = mesh.triangles[seen].astype(np.int64) * faces + mesh.face_of_triangle[seen, None]
    unique, index = np.unique(keys, return_inverse=True)
    index = index.reshape(-1, 3)
    normals = _normals(corners[seen], cross[seen], index, len(unique))
    return {
        "attributes": {
            "POSITION": buffer.vertices(y_up(mesh.vertices[unique // faces]) * _METRES, bounds=True),
            "NORMAL": buffer.vertices(y_up(normals), bounds=False),
        },
        "indices": buffer.indices(index.ravel(), len(unique)),
        "mode": _TRIANGLES,
    }


def _normals(corners: Floats, cross: Floats, index: Integers, count: int) -> Floats:
    """Unit normals (count, 3), each the mean of its triangles' normals weighted by their angle there.

    Weighting by area would tilt the normals of a cylinder, whose facets are split along one diagonal.
    """
    flat = cross / np.linalg.norm(cross, axis=1, keepdims=True)
    normals = np.zeros((count, 3))
    for k in range(3):
        a = corners[:, (k + 1) % 3] - corners[:, k]
        b = corners[:, (k + 2) % 3] - corners[:, k]
        angle = np.arctan2(np.linalg.norm(np.cross(a, b), axis=1), np.einsum("ij,ij->i", a, b))
        np.add.at(normals, index[:, k], flat * angle[:, None])
    unit: Floats = normals / np.linalg.norm(normals, axis=1, keepdims=True)
    return unit


def outline(buffer: Buffer, mesh: Mesh) -> dict[str, Any] | None:
    """Edges as pairs of points; None for a shape without any, such as a sphere."""
    if not mesh.edges:
        return None
    points = np.concatenate(mesh.edges)
    last = np.cumsum([len(edge) for edge in mesh.edges]) - 1
    starts = np.delete(np.arange(len(points)), last)
    return {
        "attributes": {"POSITION": buffer.vertices(y_up(points) * _METRES, bounds=True)},
        "indices": buffer.indices(np.column_stack([starts, starts + 1]).ravel(), len(points)),
        "mode": _LINES,
    }


def y_up(points: Floats) -> Floats:
    """z up to Y up by a quarter turn about x: (x, y, z) -> (x, z, -y). glTF: +Y is up."""
    turned: Floats = np.column_stack([points[:, 0], points[:, 2], -points[:, 1]])
    return turned


def material(colour: Rgba) -> dict[str, Any]:
    """Dielectric of one colour; glTF: base colour factors are linear, not sRGB."""
    rgb = np.asarray(colour[:3])
    # IEC 61966-2-1, inverse of the sRGB transfer function
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    clear = colour[3] < 1.0
    made: dict[str, Any] = {
        "pbrMetallicRoughness": {
            "baseColorFactor": [*linear.tolist(), colour[3]],
            "metallicFactor": 0.0,
            "roughnessFactor": _GLOSSY if clear else _ROUGH,
        }
    }
    if clear:
        made |= {"alphaMode": "BLEND", "doubleSided": True}  # the far wall shows through the near one
    return made
