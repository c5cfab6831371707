"""Is the exported STEP file the plate? What a CAM program opens is looked at, read back, and not the solid behind it."""

from __future__ import annotations

from collections.abc import Iterator
from io import BytesIO
from typing import Any

import numpy as np
from cadquery import Compound, Shape
from OCP.BRep import BRep_Tool
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.STEPControl import STEPControl_Reader

from ...layout.features import PlateLayout, Vec3
from ...solids.quiet import silent
from ..report import Case, Cases

SAME = 1e-6  # of the volume, between the file and the finished solid: our choice; the file keeps 15 digits
_FINE = 1e-6  # of the volume, to which it is taken once more where a first look says that they differ
CROWDED = 60  # wires of a plane face, above which its wires are compared by their boxes first
_TOUCH = 1e-6  # mm
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
        "has a shell that is not closed": sum(not BRep_Tool.IsClosed_s(s.wrapped) for s in shape.Shells()),
        "has another volume than the finished solid": int(solids == 1 and not _same(shape, solid)),
    }  # fmt: skip
    return faults, tuple(at for at in broken if at is not None)[:1]


def _broken(shape: Any) -> Iterator[Vec3 | None]:
    """The middles of the faces that are not valid; None where only the whole is not."""
    faces = shape.Faces()
    full = [f for f in faces if f.geomType() == "PLANE" and len(f.Wires()) > CROWDED]
    rest = [f for f in faces if f not in full] if full else faces
    analyzer = BRepCheck_Analyzer(Compound.makeCompound(rest).wrapped if full else shape.wrapped)
    bad = [f for f in full if _crossed(f)]
    if not analyzer.IsValid():
        bad += [f for f in rest if not analyzer.IsValid(f.wrapped)] or [None]
    for face in bad:
        yield None if face is None else face.BoundingBox().center.toTuple()


def _crossed(face: Any) -> bool:
    """Whether any two wires of a plane face touch. The kernel's own test of a face looks at all pairs of edges, 6 s for
    800 holes; here the distance is taken of those wires only whose boxes meet."""
    wires = face.Wires()
    boxes = [w.BoundingBox() for w in wires]
    low, high = (np.array([[getattr(b, f"{k}{end}") for k in "xyz"] for b in boxes]) for end in ("min", "max"))
    near = ((low[:, None] <= high[None]) & (low[None] <= high[:, None])).all(axis=2)
    pairs = np.argwhere(np.triu(near, 1))
    return any(wires[i].distance(wires[j]) < _TOUCH for i, j in pairs)


def _same(shape: Any, solid: Any) -> bool:
    """Whether both hold as much. The kernel's quick integral strays by some 1e-6 on faces of winding edges."""
    looks = ((shape.Volume(fine), solid.Volume(fine)) for fine in (None, _FINE))
    return any(abs(a - b) <= SAME * b for a, b in looks)
