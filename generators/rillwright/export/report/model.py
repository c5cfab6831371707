"""The parts of the report as binary glTF 2.0 (Khronos): a node for each, its facts in the node's `extras`."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np

from ... import __version__
from ..glb import EDGE_COLOUR, material, outline, surface, y_up
from ..glb_buffer import Buffer, container
from ..placed import Rgba
from .scene import Part

_METRES = 1e-3


def model_bytes(name: str, shown: Iterable[Part]) -> bytes:
    """GLB of the parts; raises ValueError where there are none, since glTF has no empty lists."""
    document = _Document()
    for p in shown:
        document.add(p)
    if not document.nodes:
        raise ValueError(f"a report needs at least one part (got none for '{name}')")
    return container(document.finished(name), bytes(document.buffer.data))


class _Document:
    """The lists of a glTF document as they grow."""

    def __init__(self) -> None:
        self.buffer = Buffer()
        self.nodes: list[dict[str, Any]] = []
        self.meshes: list[dict[str, Any]] = []
        self.materials: list[dict[str, Any]] = []
        self._mesh_of: dict[Any, int] = {}
        self._material_of: dict[Rgba, int] = {}

    def add(self, p: Part) -> None:
        key = (p.key, p.colour)
        if key not in self._mesh_of:
            self._mesh_of[key] = len(self.meshes)
            self.meshes.append({"name": p.note or p.name, "primitives": self._primitives(p)})
        node: dict[str, Any] = {"name": p.name, "mesh": self._mesh_of[key], "extras": _facts(p)}
        if any(p.at):
            node["translation"] = _turned(p.at, _METRES)
        if any(p.turn[:3]):
            node["rotation"] = [*_turned(p.turn[:3]), p.turn[3]]
        self.nodes.append(node)

    def _primitives(self, p: Part) -> list[dict[str, Any]]:
        made = [{**surface(self.buffer, p.mesh), "material": self._material(p.colour)}]
        edges = outline(self.buffer, p.mesh)
        if edges:
            made.append({**edges, "material": self._material(EDGE_COLOUR)})
        return made

    def _material(self, colour: Rgba) -> int:
        if colour not in self._material_of:
            self._material_of[colour] = len(self.materials)
            self.materials.append(material(colour))
        return self._material_of[colour]

    def finished(self, name: str) -> dict[str, Any]:
        """The JSON part; the root node comes last."""
        return {
            "asset": {"version": "2.0", "generator": f"rillwright {__version__}"},
            "scene": 0,
            "scenes": [{"name": name, "nodes": [len(self.nodes)]}],
            "nodes": [*self.nodes, {"name": name, "children": list(range(len(self.nodes)))}],
            "meshes": self.meshes,
            "materials": self.materials,
            "accessors": self.buffer.accessors,
            "bufferViews": self.buffer.views,
            "buffers": [{"byteLength": len(self.buffer.data)}],
        }


def _facts(p: Part) -> dict[str, Any]:
    told = {"kind": p.kind, "loop": p.loop, "material": p.material, "note": p.note}
    return {**{k: v for k, v in told.items() if v}, "apart": [round(float(v), 3) for v in p.apart]}


def _turned(v: tuple[float, ...], scale: float = 1.0) -> list[float]:
    return [float(c) + 0.0 for c in y_up(np.array([v]))[0] * scale]
