"""What is in the pictures, as arrays: parts read back from the GLB file, and their wet surfaces told by loop."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from ..checks.solid.attribution import groups_of_triangles
from ..layout.features import PlateLayout
from ..layout.job_layout import JobLayout
from ..layout.machine import Stance
from .placed import Rgba

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

# sRGB of the tints a parameter file may name; chosen to stay apart in print and for most colour-blind eyes.
TINTS: dict[str, tuple[float, float, float]] = {
    "amber": (0.93, 0.58, 0.10), "teal": (0.05, 0.55, 0.56), "violet": (0.49, 0.32, 0.76), "rose": (0.84, 0.28, 0.46),
    "lime": (0.50, 0.68, 0.14), "sky": (0.18, 0.54, 0.86), "slate": (0.36, 0.43, 0.52), "coral": (0.92, 0.40, 0.30),
}  # fmt: skip
_CLASSIFY = 2.0  # times the deflection, as the checks have it
HOME = Stance()
_TYPES = {5121: np.uint8, 5123: np.uint16, 5125: np.uint32, 5126: np.float32}  # glTF 2.0, accessor.componentType
_WIDTH = {"SCALAR": 1, "VEC3": 3}


@dataclass(frozen=True, slots=True, eq=False)
class Drawn:
    """One part in the assembly's frame, mm: points and normals (n, 3), triangles (m, 3), edges (k, 2, 3)."""

    name: str
    points: Floats
    normals: Floats
    triangles: Ints
    edges: Floats
    colour: Rgba

    def only(self, keep: Any) -> Drawn:
        """The same with those of its triangles that `keep` (m,) marks."""
        return replace(self, triangles=self.triangles[keep])


def together(parts: Sequence[Drawn]) -> Drawn:
    """Several parts as one, of the first one's name and colour: what is drawn alike is drawn at once."""
    starts = np.cumsum([0, *(len(p.points) for p in parts[:-1])])
    return replace(
        parts[0],
        points=np.concatenate([p.points for p in parts]),
        normals=np.concatenate([p.normals for p in parts]),
        triangles=np.concatenate([p.triangles + n for p, n in zip(parts, starts, strict=True)]),
        edges=np.concatenate([p.edges for p in parts]),
    )


def read_glb(path: Path) -> list[Drawn]:
    """Parts of an assembly file as `glb_bytes` writes it; z up, mm. Raises OSError, ValueError."""
    raw = path.read_bytes()
    if raw[:4] != b"glTF":
        raise ValueError(f"{path.name} is no binary glTF file")
    size = int.from_bytes(raw[12:16], "little")
    document, data = json.loads(raw[20 : 20 + size]), raw[28 + size :]
    return [_part(document, data, node) for node in document["nodes"] if "mesh" in node]


def _part(document: dict[str, Any], data: bytes, node: dict[str, Any]) -> Drawn:
    surface, *lines = document["meshes"][node["mesh"]]["primitives"]
    turn, move = _turn(node.get("rotation", [0.0, 0.0, 0.0, 1.0])), np.array(node.get("translation", [0.0, 0.0, 0.0]))
    points = _z_up(_array(document, data, surface["attributes"]["POSITION"]) @ turn.T + move) * 1e3
    normals = _z_up(_array(document, data, surface["attributes"]["NORMAL"]) @ turn.T)
    triangles = _array(document, data, surface["indices"]).astype(np.int64).reshape(-1, 3)
    edges = np.empty((0, 2, 3))
    if lines:
        ends = _z_up(_array(document, data, lines[0]["attributes"]["POSITION"]) @ turn.T + move) * 1e3
        edges = ends[_array(document, data, lines[0]["indices"]).astype(np.int64).reshape(-1, 2)]
    *rgb, alpha = document["materials"][surface["material"]]["pbrMetallicRoughness"]["baseColorFactor"]
    red, green, blue = (12.92 * c if c <= 0.0031308 else 1.055 * c ** (1 / 2.4) - 0.055 for c in rgb)
    return Drawn(node["name"], points, normals, triangles, edges, (red, green, blue, alpha))


def _turn(quaternion: list[float]) -> Floats:
    """Matrix of a unit quaternion (x, y, z, w)."""
    x, y, z, w = quaternion
    return np.array([
        [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
        [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
        [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
    ])  # fmt: skip


def at_home(part: Drawn, stance: Stance) -> Drawn:
    """A part moved back from where it stands in the machine into the frame of its own assembly."""
    if stance.still:
        return part
    rows = np.array(stance.rows)
    points, edges = (part.points - stance.at) @ rows, (part.edges - stance.at) @ rows
    return replace(part, points=points, normals=part.normals @ rows, edges=edges)


def _array(document: dict[str, Any], data: bytes, index: int) -> Floats:
    accessor = document["accessors"][index]
    view = document["bufferViews"][accessor["bufferView"]]
    width = _WIDTH[accessor["type"]]
    start = view.get("byteOffset", 0) + accessor.get("byteOffset", 0)
    flat = np.frombuffer(data, _TYPES[accessor["componentType"]], accessor["count"] * width, start)
    values = flat.astype(np.float64)
    return values.reshape(-1, width) if width > 1 else values


def _z_up(points: Floats) -> Floats:
    """glTF's (x, z, -y) back to (x, y, z)."""
    return np.column_stack([points[:, 0], -points[:, 2], points[:, 1]])


def legend(layout: JobLayout) -> dict[str, tuple[float, float, float]]:
    """Colour of each loop."""
    return {loop: TINTS[tint] for loop, tint in layout.loops.items()}


def by_loop(plate: PlateLayout, part: Drawn, deflection: float, stance: Stance = HOME) -> dict[str | None, Drawn]:
    """The plate's surface in pieces: the wetted ones under the loop's name, all else under None."""
    local = (at_home(part, stance).points - [0.0, 0.0, plate.height]) * [1.0, 1.0, plate.side]
    groups = groups_of_triangles(plate, local[part.triangles], _CLASSIFY * deflection)
    loops = np.array([g.feature.loop or "" if g and g.feature else "" for g in groups], dtype=object)
    return {str(name) or None: part.only(loops == name) for name in sorted(set(loops))}
