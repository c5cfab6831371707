"""A small picture of an assembly, drawn with arrays alone: no graphics library, no further process.

Each triangle is covered with points about as dense as the picture's own, and of all points that fall on one place of
the picture the nearest is seen. Clear parts are laid over the others, nearest last.
"""

from __future__ import annotations

import struct
import zlib
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

if TYPE_CHECKING:
    from ..export.still_scene import Drawn

WIDTH, HEIGHT = 240, 180  # px
_FINER = 2  # places of the raster along a side of each pixel
_MARGIN = 6  # px
_FROM = (0.62, -1.0, 0.50)  # where the eye stands, as in assembly.png
_LIGHT = (0.25, -0.62, 0.75)
_PAPER = (0.965, 0.97, 0.965)
_LINE = (0.26, 0.30, 0.34)
_CLEAR_LOOK = 0.22  # opacity of a clear surface
Floats = npt.NDArray[np.float64]


def thumbnail(path: Path) -> bytes:
    """PNG of WIDTH × HEIGHT of the assembly in a GLB file. Raises OSError, ValueError."""
    from ..export.still_scene import read_glb

    parts = read_glb(path)
    view = _View(parts)
    solid = [p for p in parts if p.colour[3] >= 1]
    clear = [p for p in parts if p.colour[3] < 1]
    image, depth = np.tile(np.array(_PAPER), (view.count, 1)), np.full(view.count, np.inf)
    for part in solid:
        view.surface(part, image, depth)
    for part in sorted(clear, key=view.distance, reverse=True):
        view.glaze(part, image, depth)
    for part in parts:
        view.lines(part, image, depth)
    return png(view.shrunk(image))


class _View:
    """Where points of the assembly fall on the raster; one place of it is a number, row by row."""

    def __init__(self, parts: list[Drawn]) -> None:
        back = np.array(_FROM) / np.linalg.norm(_FROM)
        right = np.cross((0.0, 0.0, 1.0), back)
        right /= np.linalg.norm(right)
        self.axes = np.stack([right, np.cross(back, right), back])
        self.size = np.array([WIDTH, HEIGHT]) * _FINER
        self.count = int(self.size.prod())
        seen = np.concatenate([p.points for p in parts]) @ self.axes.T
        low, high = seen.min(axis=0)[:2], seen.max(axis=0)[:2]
        room = self.size - 2 * _MARGIN * _FINER
        self.scale = float((room / np.maximum(high - low, 1e-9)).min())
        self.middle = (low + high) / 2

    def distance(self, part: Drawn) -> float:
        """How far away the middle of a part is; larger is further."""
        return -float((part.points @ self.axes[2]).mean())

    def _on_raster(self, points: Floats) -> tuple[Floats, Floats]:
        seen = points @ self.axes.T
        place = (seen[:, :2] - self.middle) * self.scale
        return place * (1.0, -1.0) + self.size / 2, -seen[:, 2]

    def _samples(self, part: Drawn) -> tuple[npt.NDArray[np.int64], Floats, npt.NDArray[np.int64]]:
        """Raster place, distance and triangle of points all over those triangles of a part that look this way."""
        flat, far = self._on_raster(part.points)
        flat = flat.astype(np.float32)
        a, b, c = (flat[part.triangles[:, k]] for k in range(3))
        ab, ac = b - a, c - a
        twice = ac[:, 0] * ab[:, 1] - ab[:, 0] * ac[:, 1]  # rows count downwards, so this is above 0 for those
        sides = np.maximum(np.abs(ab).max(axis=1), np.abs(ac).max(axis=1))
        each = np.where(twice > 0, np.minimum(np.ceil(0.9 * twice + 1.6 * sides + 0.5), 60_000), 0).astype(np.int64)
        owner = np.repeat(np.arange(len(each)), each)
        # A low-discrepancy sequence (Roberts' R2), folded into the triangle: even, and the same every time.
        k = (np.arange(len(owner)) - np.repeat(np.cumsum(each) - each, each)).astype(np.float64)
        u, v = (0.5 + 0.7548776662466927 * k) % 1, (0.5 + 0.5698402909980532 * k) % 1
        over = u + v > 1
        u[over], v[over] = 1 - u[over], 1 - v[over]
        place = a[owner] + u[:, None] * ab[owner] + v[:, None] * ac[owner]
        fa, fb, fc = (far[part.triangles[:, k]] for k in range(3))
        return self._numbers(place), fa[owner] + u * (fb - fa)[owner] + v * (fc - fa)[owner], owner

    def _numbers(self, place: Floats) -> npt.NDArray[np.int64]:
        column, row = np.clip(place.astype(np.int64), 0, self.size - 1).T
        numbers: npt.NDArray[np.int64] = row * self.size[0] + column
        return numbers

    def _nearest(self, part: Drawn) -> tuple[npt.NDArray[np.int64], Floats, Floats]:
        """Raster places that a part covers, with distance and brightness of the nearest point on each."""
        numbers, far, owner = self._samples(part)
        nearest = np.full(self.count, np.inf)
        np.minimum.at(nearest, numbers, far)
        seen = far == nearest[numbers]
        numbers, first = np.unique(numbers[seen], return_index=True)
        far, owner = far[seen][first], owner[seen][first]
        normals = part.normals[part.triangles[owner]].mean(axis=1)
        normals /= np.maximum(np.linalg.norm(normals, axis=1), 1e-9)[:, None]
        light = np.array(_LIGHT) / np.linalg.norm(_LIGHT)
        return numbers, far, 0.55 + 0.45 * np.clip(normals @ light, 0, 1)

    def surface(self, part: Drawn, image: Floats, depth: Floats) -> None:
        """Draw a solid part."""
        numbers, far, bright = self._nearest(part)
        seen = far < depth[numbers]
        numbers, bright = numbers[seen], bright[seen]
        depth[numbers] = far[seen]
        image[numbers] = np.clip(np.array(part.colour[:3]) * bright[:, None], 0, 1)

    def glaze(self, part: Drawn, image: Floats, depth: Floats) -> None:
        """Lay a clear part over what lies behind it."""
        numbers, far, bright = self._nearest(part)
        seen = far < depth[numbers]
        numbers, bright = numbers[seen], bright[seen]
        colour = np.array(part.colour[:3]) * bright[:, None]
        image[numbers] = (1 - _CLEAR_LOOK) * image[numbers] + _CLEAR_LOOK * colour

    def lines(self, part: Drawn, image: Floats, depth: Floats) -> None:
        """Draw the edges of a part where no solid part stands before them."""
        if not len(part.edges):
            return
        ends, _ = self._on_raster(part.edges.reshape(-1, 3))
        length = np.linalg.norm(np.diff(ends.reshape(-1, 2, 2), axis=1)[:, 0], axis=1)
        each = np.ceil(1.5 * length + 1).astype(np.int64)
        owner = np.repeat(np.arange(len(each)), each)
        t = (np.arange(len(owner)) - np.repeat(np.cumsum(each) - each, each) + 0.5) / each[owner]
        points = part.edges[owner, 0] + t[:, None] * (part.edges[owner, 1] - part.edges[owner, 0])
        place, far = self._on_raster(points)
        numbers = self._numbers(place)
        numbers = np.unique(numbers[far < depth[numbers] + 1.0])
        strength = 0.55 if part.colour[3] < 1 else 0.35
        image[numbers] = (1 - strength) * image[numbers] + strength * np.array(_LINE)

    def shrunk(self, image: Floats) -> npt.NDArray[np.uint8]:
        """The picture, each pixel the mean of its places."""
        blocks = image.reshape(HEIGHT, _FINER, WIDTH, _FINER, 3).mean(axis=(1, 3))
        pixels: npt.NDArray[np.uint8] = np.clip(np.rint(blocks * 255), 0, 255).astype(np.uint8)
        return pixels


def png(pixels: npt.NDArray[np.uint8]) -> bytes:
    """PNG (ISO/IEC 15948) of (height, width, 3) bytes, each line told by its difference from the one above."""
    height, width, _ = pixels.shape
    lines = pixels.reshape(height, width * 3)
    change = np.diff(lines, axis=0, prepend=np.zeros((1, width * 3), np.uint8))
    data = np.concatenate([np.full((height, 1), 2, np.uint8), change], axis=1).tobytes()
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunks = ((b"IHDR", head), (b"IDAT", zlib.compress(data, 9)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(_chunk(kind, body) for kind, body in chunks)


def _chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
