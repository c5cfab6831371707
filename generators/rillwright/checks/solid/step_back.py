"""Is the exported STEP file the plate? What a CAM program opens is looked at, read back, and not the solid behind it."""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO
from typing import Any

from cadquery import Shape
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.STEPControl import STEPControl_Reader

from ...layout.features import PlateLayout, Vec3
from ...solids.quiet import silent
from ..report import Case, Cases

SAME = 1e-6  # of the volume, between the file and the finished solid: our choice; the file keeps 15 digits
_FINE = 1e-6  # of the volume, to which it is taken once more where a first look says that they differ
_REMEDY = (
    "do not cut from this file; move what is cut at this place by 0.01 mm, or give it another diameter, and report it as "
    "a fault of the program"
)


def step_cases(plate: PlateLayout, data: bytes, solid: Any) -> Cases:
    """The case of one plate: `data` as exported, `solid` as finished, in the part frame."""
    shape = read_step(data)
    faults, at = _faults(shape, solid) if shape is not None else ({"cannot be read": 1}, ())
    what = "the exported STEP file, read back, " + ", ".join(words for words, n in faults.items() if n)
    own = tuple((x, y, plate.side * z) for x, y, z in at)
    return {"step.sound": [Case(plate.name, (), sum(faults.values()), 0, what, _REMEDY, own, at_most=True)]}


def read_step(data: bytes) -> Any:
    """The shape in a STEP file, mm; None where the kernel finds none."""
    reader: Any = STEPControl_Reader()
    with silent():
        done = reader.ReadStream("plate", BytesIO(data)) == IFSelect_ReturnStatus.IFSelect_RetDone
        if not done or not reader.TransferRoots() or reader.OneShape().IsNull():
            return None
    return Shape.cast(reader.OneShape())


def _faults(shape: Any, solid: Any) -> tuple[dict[str, int], tuple[Vec3, ...]]:
    """How often each thing is wrong, and the middle of the first broken face."""
    solids, shells = len(shape.Solids()), len(shape.Shells())
    broken = list(_broken(shape))
    faults = {
        "holds no solid": int(solids == 0), "holds more than one solid": max(0, solids - 1),
        "holds a solid of several shells": max(0, shells - max(1, solids)),
        "has broken faces": sum(at is not None for at in broken), "is not valid as a whole": broken.count(None),
        "has edges with a face on one side only": sum(not s.wrapped.Closed() for s in shape.Shells()),
        "has another volume than the finished solid": int(solids == 1 and not _same(shape, solid)),
    }  # fmt: skip
    return faults, tuple(at for at in broken if at is not None)[:1]


def _broken(shape: Any) -> Iterator[Vec3 | None]:
    """The middles of the faces that the kernel holds for invalid; None where only the whole is."""
    analyzer = BRepCheck_Analyzer(shape.wrapped)
    if analyzer.IsValid():
        return
    faces = [f for f in shape.Faces() if not analyzer.IsValid(f.wrapped)]
    for face in faces:
        x, y, z = face.BoundingBox().center.toTuple()
        yield x, y, z
    if not faces:
        yield None


def _same(shape: Any, solid: Any) -> bool:
    """Whether both hold as much. The kernel's quick integral strays by some 1e-6 on faces of winding edges."""
    looks = ((shape.Volume(fine), solid.Volume(fine)) for fine in (None, _FINE))
    return any(abs(a - b) <= SAME * b for a, b in looks)
