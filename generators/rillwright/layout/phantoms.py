"""What mounted parts take up over a face, by their foot prints: shown, never made. Lengths in mm.

A phantom is in no plate, in no STEP file and in no check: it stands in the GLB, in pictures, in the report and as thin
long-dashed double-dotted lines (ISO 128) on part drawings, so that one sees what comes there.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from .features import PlateLayout
from .footprint import Footprint, Space
from .hardware import in_assembly
from .job_layout import JobLayout

ROUND = 48  # corners of a round space: it is only looked at

Point2 = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Phantom:
    """The room of a part over a face: corners of its outline in plan, counter-clockwise, between two heights.

    `low` and `high` are heights over the face; `round` tells a circle's corners from a polygon's.
    """

    name: str
    plate: str  # that it lies on: a plate or a cover
    face: str  # of that plate
    interface: str
    ring: tuple[Point2, ...]
    low: float
    high: float
    round: bool

    def z(self, plate: PlateLayout, height: float) -> float:
        """Height in the assembly of a height over the face."""
        return in_assembly(plate, (0.0, 0.0, height if self.face == "seal" else -plate.thickness - height))[2]


def phantoms(layout: JobLayout) -> list[Phantom]:
    """Every space of every mounted part, in the order of the file."""
    return [_phantom(f, s) for f in layout.footprints for s in f.spaces]


def _phantom(f: Footprint, s: Space) -> Phantom:
    face = "seal" if f.face == "seal" else "outer"  # a cover's outside is its outer face
    ring, whole = outline(s.points, s.radius), len(s.points) == 1
    return Phantom(f"room.{f.plate}.{s.name}", f.on, face, f.interface, ring, s.low, s.high, whole)


def outline(points: tuple[Point2, ...], radius: float) -> tuple[Point2, ...]:
    """Corners, counter-clockwise, of a convex polygon or a point widened by a radius; arcs as chords."""
    if len(points) == 1:
        (x, y), turns = points[0], (math.tau * i / ROUND for i in range(ROUND))
        return tuple((x + radius * math.cos(t), y + radius * math.sin(t)) for t in turns)
    ring = points if _area(points) > 0 else points[::-1]
    if radius == 0:
        return ring
    made: list[Point2] = []
    for a, b, c in zip((ring[-1], *ring), ring, (*ring[1:], ring[0]), strict=False):
        start = math.atan2(a[0] - b[0], b[1] - a[1])  # outward of the side before, then of the one behind
        sweep = (math.atan2(b[0] - c[0], c[1] - b[1]) - start) % math.tau
        steps = max(1, round(ROUND * sweep / math.tau))
        turns = (start + sweep * i / steps for i in range(steps + 1))
        made += [(b[0] + radius * math.cos(t), b[1] + radius * math.sin(t)) for t in turns]
    return tuple(made)


def _area(ring: tuple[Point2, ...]) -> float:
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise((*ring, ring[0]))) / 2
