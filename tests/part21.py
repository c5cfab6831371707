"""A small reader of STEP Part 21 files (ISO 10303-21) that shares nothing with the kernel that wrote them.

It reads the faces of one part: what surface each lies on, and the circles and corners that bound it.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

Vec = tuple[float, float, float]

_RECORD = re.compile(r"#(\d+)\s*=\s*([A-Z0-9_]+)\s*\((.*?)\)\s*;", re.DOTALL)
_REFERENCE = re.compile(r"#(\d+)")
_NUMBER = re.compile(r"(?<![#\w])[-+]?\d+\.?\d*(?:E[-+]?\d+)?(?!\w)")
_SURFACES = {"PLANE": 0, "CYLINDRICAL_SURFACE": 1, "CONICAL_SURFACE": 2}  # and how many numbers follow the placement


@dataclass(frozen=True, slots=True)
class Ring:
    """A circle that bounds a face, mm."""

    centre: Vec
    radius: float


@dataclass(frozen=True, slots=True)
class Face:
    """One face: surface kind, its placement (point, unit axis), mm and radians, and what bounds it."""

    kind: str
    origin: Vec
    axis: Vec
    radius: float  # of a cylinder, or of a cone at its origin; 0 for a plane
    semi_angle: float
    rings: tuple[Ring, ...]
    corners: tuple[Vec, ...]

    def axis_distance(self, p: Vec) -> float:
        """Distance of a point from the axis, mm."""
        w = tuple(a - b for a, b in zip(p, self.origin, strict=True))
        along = sum(a * b for a, b in zip(w, self.axis, strict=True))
        return math.sqrt(max(0.0, sum(a * a for a in w) - along * along))

    def runs_along(self, axis: Vec) -> bool:
        return abs(abs(sum(a * b for a, b in zip(axis, self.axis, strict=True))) - 1) < 1e-9

    def cone_radius(self, p: Vec) -> float:
        """Radius of the cone in the plane across its axis through a point, mm."""
        along = sum((a - b) * c for a, b, c in zip(p, self.origin, self.axis, strict=True))
        return self.radius + along * math.tan(self.semi_angle)


class Part21:
    """The records of one file."""

    def __init__(self, path: Path) -> None:
        text = path.read_text(encoding="ascii")
        self.unit_is_mm = "SI_UNIT(.MILLI.,.METRE.)" in text
        self.records = {int(i): (kind, body) for i, kind, body in _RECORD.findall(text)}

    def count(self, kind: str) -> int:
        return sum(k == kind for k, _ in self.records.values())

    def faces(self) -> list[Face]:
        """Every face; raises KeyError for a surface that a plate of revolved features cannot have."""
        return [self._face(body) for kind, body in self.records.values() if kind == "ADVANCED_FACE"]

    def _face(self, body: str) -> Face:
        *bounds, surface = _refs(body)
        kind, text = self.records[surface]
        numbers = _numbers(text)[: _SURFACES[kind]]
        radius, semi = (*numbers, 0.0, 0.0)[:2]
        origin, axis = self._placement(_refs(text)[0])
        rings, corners = [], []
        for edge in self._edges(bounds):
            start, end, curve = _refs(self.records[edge][1])[:3]
            corners += [self._point(_refs(self.records[v][1])[0]) for v in (start, end)]
            ring = self._ring(curve)
            if ring is not None:
                rings.append(ring)
        return Face(kind, origin, axis, radius, semi, tuple(rings), tuple(corners))

    def _edges(self, bounds: list[int]) -> Iterator[int]:
        for bound in bounds:
            (loop,) = _refs(self.records[bound][1])
            for oriented in _refs(self.records[loop][1]):
                yield _refs(self.records[oriented][1])[-1]

    def _ring(self, curve: int) -> Ring | None:
        kind, text = self.records[curve]
        if kind in ("SURFACE_CURVE", "SEAM_CURVE"):
            return self._ring(_refs(text)[0])
        if kind != "CIRCLE":
            return None
        return Ring(self._placement(_refs(text)[0])[0], _numbers(text)[0])

    def _placement(self, i: int) -> tuple[Vec, Vec]:
        kind, text = self.records[i]
        assert kind == "AXIS2_PLACEMENT_3D"
        location, axis = _refs(text)[:2]
        return self._point(location), self._point(axis)

    def _point(self, i: int) -> Vec:
        kind, text = self.records[i]
        assert kind in ("CARTESIAN_POINT", "DIRECTION")
        x, y, z = _numbers(text)
        return (x, y, z)


def _refs(text: str) -> list[int]:
    return [int(i) for i in _REFERENCE.findall(text)]


def _numbers(text: str) -> list[float]:
    return [float(x) for x in _NUMBER.findall(re.sub(r"'[^']*'", "", text))]
