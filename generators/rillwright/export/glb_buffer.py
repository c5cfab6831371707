"""The binary part of a glTF 2.0 file: buffer views, accessors and the container around them."""

from __future__ import annotations

import json
import struct
from typing import Any

import numpy as np
import numpy.typing as npt

_FLOAT, _UNSIGNED_SHORT, _UNSIGNED_INT = 5126, 5123, 5125  # accessor.componentType
_ARRAY_BUFFER, _ELEMENT_ARRAY_BUFFER = 34962, 34963  # bufferView.target
_MAGIC, _VERSION, _JSON, _BIN = 0x46546C67, 2, 0x4E4F534A, 0x004E4942  # GLB layout


class Buffer:
    """One binary buffer with a view and an accessor for each array put into it."""

    def __init__(self) -> None:
        self.data = bytearray()
        self.views: list[dict[str, Any]] = []
        self.accessors: list[dict[str, Any]] = []

    def vertices(self, array: npt.NDArray[Any], bounds: bool) -> int:
        """Add (n, 3) coordinates as 32-bit floats; returns the accessor. Positions must have bounds."""
        values = np.ascontiguousarray(array, "<f4") + np.float32(0)  # adding 0 turns -0 into 0
        accessor: dict[str, Any] = {"componentType": _FLOAT, "count": len(values), "type": "VEC3"}
        if bounds:  # of the stored 32-bit values, not of those they were rounded from
            accessor |= {"min": values.min(axis=0).tolist(), "max": values.max(axis=0).tolist()}
        return self._add(values, _ARRAY_BUFFER, accessor)

    def indices(self, array: npt.NDArray[Any], vertex_count: int) -> int:
        """Add (n,) vertex numbers in the smallest type that holds them; returns the accessor."""
        # glTF 2.0, 3.7.2.1: the largest value of the type is reserved for restarting a primitive
        small = vertex_count <= 0xFFFF
        values = array.astype("<u2" if small else "<u4")
        kind = _UNSIGNED_SHORT if small else _UNSIGNED_INT
        accessor = {"componentType": kind, "count": len(values), "type": "SCALAR"}
        return self._add(values, _ELEMENT_ARRAY_BUFFER, accessor)

    def _add(self, values: npt.NDArray[Any], target: int, accessor: dict[str, Any]) -> int:
        self.data.extend(bytes(-len(self.data) % 4))  # vertex data starts on multiples of 4 bytes
        view = {"buffer": 0, "byteOffset": len(self.data), "byteLength": values.nbytes, "target": target}
        self.views.append(view)
        self.data.extend(values.tobytes())
        self.accessors.append({"bufferView": len(self.views) - 1, **accessor})
        return len(self.accessors) - 1


def container(document: dict[str, Any], binary: bytes) -> bytes:
    """GLB file of a document and its buffer; chunks are padded to 4 bytes, JSON by blanks."""
    text = json.dumps(document, separators=(",", ":"), ensure_ascii=False, allow_nan=False).encode()
    text += b" " * (-len(text) % 4)
    binary += bytes(-len(binary) % 4)
    total = 12 + 8 + len(text) + 8 + len(binary)
    return b"".join(
        [
            struct.pack("<III", _MAGIC, _VERSION, total),
            struct.pack("<II", len(text), _JSON),
            text,
            struct.pack("<II", len(binary), _BIN),
            binary,
        ]
    )
