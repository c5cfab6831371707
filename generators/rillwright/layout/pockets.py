"""What is milled: strokes of a cutter along a line in plan, and areas, between a plane face and a flat floor.

Everything lies in the plate's frame (see `features`). Lengths in mm.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from .lines import Arc, FaceName, Line, Outline, Vec3

Point2 = tuple[float, float]
PocketRole = Literal["channel", "groove", "window", "slot", "light", "recess"]


@dataclass(frozen=True, slots=True)
class Path:
    """A line in plan of straight pieces and arcs; a closed one returns to `start` with its last piece."""

    start: Point2
    pieces: tuple[Line | Arc, ...]
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Stroke:
    """What a cutter of `width` leaves along the middle line `path`; an open one has full-round ends."""

    path: Path
    width: float  # mm


@dataclass(frozen=True, slots=True)
class Area:
    """A region with islands left standing in it. Islands are counter-clockwise outlines like the outside."""

    outside: Outline
    islands: tuple[Outline, ...] = ()


@dataclass(frozen=True, slots=True)
class Pocket:
    """One milled shape. A channel with branches is several pockets that join.

    `face` is the plane face that it is cut from: on `seal` material is taken from z = 0 to −depth, on `outer` from
    z = −thickness to depth − thickness. A pocket as deep as the plate goes through it and has both faces as mouths.
    """

    name: str
    role: PocketRole
    face: Literal["seal", "outer"]
    shape: Stroke | Area
    depth: float
    mouths: tuple[FaceName, ...]
    loop: str | None = None  # wet pockets carry their loop, dry ones None
    floor_radius: float = 0.0  # between wall and floor
    tolerance: float = 0.1  # ± mm that it needs
    call_out: str = ""
    joins: tuple[str, ...] = ()  # features and pockets that it is meant to run into
    facts: dict[str, float] = field(default_factory=dict)  # named dimensions, mm

    @property
    def wet(self) -> bool:
        return self.loop is not None

    @property
    def start(self) -> Point2:
        """Where its line, or its outside, starts in plan, mm."""
        return self.shape.path.start if isinstance(self.shape, Stroke) else self.shape.outside.start

    @property
    def origin(self) -> Vec3:
        """Where it starts, for findings: its place in plan at the height of the seal face, mm."""
        return (*self.start, 0.0)

    @property
    def axis(self) -> Vec3:
        """Unit vector from its face into the material."""
        return (0.0, 0.0, -1.0 if self.face == "seal" else 1.0)
