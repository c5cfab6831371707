"""From which side a plate is seen, and what is right and up on the paper.

The same as on the machine's bed: a face that looks up in the standing machine is seen as from above (x right, y up on
the paper); the other one as it lies after the plate is turned about its flip axis. So the paper, the DXF and the
clamping agree. Vectors are in the part frame (see `solids.build`).
"""

from __future__ import annotations

from dataclasses import dataclass

from ...layout.dowels import WAYS, dowels
from ...layout.features import PlateLayout, Vec3
from ...layout.geometry import dot
from ...layout.operations import inward
from ...spec.machine import Machine
from .canvas import Point


@dataclass(frozen=True, slots=True)
class Eye:
    """A view: unit vectors of the part frame that point right and up on the paper."""

    right: Vec3
    up: Vec3

    @property
    def towards(self) -> Vec3:
        """Unit vector from the part to the eye."""
        (a, b, c), (d, e, f) = self.right, self.up
        return (b * f - c * e, c * d - a * f, a * e - b * d)

    def sees(self, p: Vec3) -> Point:
        """Where a point of the part frame lies on the paper, at full size."""
        return dot(p, self.right), dot(p, self.up)

    def turned(self, side: str) -> Eye:
        """The view of the part's side that lies `below`, `above`, `left` or `right` in this view."""
        n = self.towards
        back = (-n[0], -n[1], -n[2])
        return {"below": Eye(self.right, n), "above": Eye(self.right, back), "right": Eye(back, self.up),
                "left": Eye(n, self.up)}[side]  # fmt: skip


def in_part(plate: PlateLayout, p: Vec3) -> Vec3:
    """A point or vector of the plate's frame in the frame of its part."""
    return (p[0], p[1], plate.side * p[2])


def flip(plate: PlateLayout, machine: Machine) -> tuple[int, int]:
    """What becomes of x and y when the plate is turned over: (1, −1) about x, (−1, 1) about y."""
    return WAYS[dowels(plate, machine).flip]


def face_signs(plate: PlateLayout, face: str, machine: Machine) -> tuple[int, int]:
    """Signs that take x and y of the plate to right and up as one sees its seal or outer face."""
    from_above = (face == "seal") == plate.seal_up
    return (1, 1) if from_above else flip(plate, machine)


def face_eye(plate: PlateLayout, face: str, machine: Machine) -> Eye:
    """The view of the seal or outer face."""
    sx, sy = face_signs(plate, face, machine)
    return Eye((float(sx), 0.0, 0.0), (0.0, float(sy), 0.0))


def edge_side(plate: PlateLayout, edge: str, main: Eye) -> str | None:
    """On which side of the main view an edge lies; None for an edge at an angle."""
    n = inward(plate, edge)
    x, y = main.sees((-n[0], -n[1], 0.0))
    for side, (a, b) in {"below": (0, -1), "above": (0, 1), "left": (-1, 0), "right": (1, 0)}.items():
        if abs(x - a) + abs(y - b) < 1e-6:
            return side
    return None


def edge_eye(plate: PlateLayout, edge: str) -> Eye:
    """The view of any edge by itself, seal face up."""
    n = inward(plate, edge)
    z = plate.side
    up = (0.0, 0.0, z)
    # right = up × towards, towards = −inward
    return Eye((z * n[1], -z * n[0], 0.0), up)
