"""How a plate is cut: the clampings, what is cut in each and in which order, and the dowels that locate the flip.

Seal face first: every depth is measured from it, and the sheet is stiffest then. Then the outer face, then the
edges, the plate standing on the opposite edge. Plain holes through the plate go with the first setup.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..spec.machine import Machine
from .dowels import Dowels, dowels, extent
from .features import Feature, PlateLayout
from .operations import Operation, operations


@dataclass(frozen=True, slots=True)
class Setup:
    """One clamping: the face that looks at the spindle, and what is cut, in order. Lengths in mm."""

    face: str
    size: tuple[float, float, float]  # of the plate as it lies, x, y and height
    operations: tuple[Operation, ...]

    @property
    def accurate(self) -> tuple[str, ...]:
        """Features of this setup that need accuracy."""
        return tuple(dict.fromkeys(o.feature for o in self.operations if o.accurate))


@dataclass(frozen=True, slots=True)
class PlateSetups:
    """All clampings of one plate; `dowels` is None for a plate that is not flipped."""

    plate: str
    setups: tuple[Setup, ...]
    dowels: Dowels | None

    def number(self, feature: str, kind: str = "") -> int:
        """Index of the first setup in which a feature is cut (of its operation `kind` if given); −1 for none."""
        for i, s in enumerate(self.setups):
            for o in s.operations:
                if o.feature == feature and kind in ("", o.kind):
                    return i
        return -1


_RANK: dict[str, int] = {"pocket": 1, "spotface": 2, "counterbore": 2, "drill": 3, "countersink": 4, "thread": 5}


def plate_setups(plate: PlateLayout, machine: Machine) -> PlateSetups:
    """Setups of one plate in the order they are cut."""
    made = [o for f in plate.cuts for o in operations(f, plate, machine)]
    faces = sorted({o.face for o in made}, key=_face_order)
    setups = tuple(
        Setup(face, _lying(plate, face), tuple(sorted((o for o in made if o.face == face), key=_order)))
        for face in faces
    )
    flipped = {"seal", "outer"} <= set(faces)
    return PlateSetups(plate.name, setups, dowels(plate, machine) if flipped else None)


def _lying(plate: PlateLayout, face: str) -> tuple[float, float, float]:
    x, y, z = extent(plate)
    if face in ("seal", "outer"):
        return x, y, z
    if face in ("left", "right"):
        return y, z, x
    if face in ("front", "back"):
        return x, z, y
    return max(x, y), z, max(x, y)  # a polygon's edge: turned in the plane, so the larger side bounds both


def _face_order(face: str) -> tuple[int, str]:
    return {"seal": 0, "outer": 1}.get(face, 2), face


def _order(o: Operation) -> tuple[bool, int, float, str]:
    """What needs accuracy first, while the sheet is whole; then pockets, then drills from short to long."""
    return not o.accurate, _RANK[o.kind], o.depth, o.feature


def cut_after(setups: PlateSetups, a: Feature, b: Feature) -> bool:
    """Whether a's drill comes later than b's."""
    def place(f: Feature) -> tuple[int, int]:
        for i, s in enumerate(setups.setups):
            for j, o in enumerate(s.operations):
                if o.feature == f.name and o.kind in ("drill", "pocket"):
                    return i, j
        return -1, -1

    return place(a) > place(b)
