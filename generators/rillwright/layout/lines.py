"""Points, outlines and their pieces as numbers, in the plate's frame (see `features`). Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass

Vec3 = tuple[float, float, float]
FaceName = str  # seal, outer, left, right, front, back, or edge-N of a polygon


@dataclass(frozen=True, slots=True)
class Line:
    """Straight piece of an outline, from the end of the piece before to `end`, mm."""

    end: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Arc:
    """Circular piece of an outline through `middle` to `end`, mm."""

    middle: tuple[float, float]
    end: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Outline:
    """Closed plan outline, counter-clockwise: `start`, then pieces that return to it."""

    start: tuple[float, float]
    pieces: tuple[Line | Arc, ...]
    chamfer: float = 0.0  # 45° edge break on both faces, mm
