"""How much two solids differ: volumes that only one of them fills, from their STEP files, proved before they are told."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cadquery as cq
from OCP.BOPAlgo import BOPAlgo_BOP, BOPAlgo_Operation, BOPAlgo_PaveFiller
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.gp import gp_Pnt
from OCP.TopAbs import TopAbs_IN
from OCP.TopTools import TopTools_ListOfShape

from ..checks.solid.stl import StlError, read_stl
from ..checks.solid.voids_mesh import solid_of
from .errors import OutputError

AGREE = 1e-6  # of the volume: both ways to the common volume must give the same
SMALLEST = 1e-6  # mm³; below this a difference is rounding
# mm: corners and edges nearer than this are one. Without any, edges of nearly the same face that lie 1e-7 mm apart make
# a solid that meets itself, of which the kernel warns and then takes nothing off; with too much, small steps vanish.
FUZZY = (1e-5, 1e-4)
CHORD = 0.02  # mm that the mesh of an STL file may stand off a curved face, on either side (`solids.meshing`)
ASKED = 7  # points along each edge of the shared box that are asked whether both solids hold them

Volumes = tuple[float, float]


@dataclass(frozen=True, slots=True)
class SolidDifference:
    """Volumes in mm³: of A, of B, of what only A and only B fill; None where no way could tell.

    `method` says how it was measured, and what failed before.
    """

    plate: str
    volume_a: float
    volume_b: float
    only_a: float | None
    only_b: float | None
    method: str

    @property
    def differ(self) -> float | None:
        """Volume of the symmetric difference."""
        return None if self.only_a is None or self.only_b is None else self.only_a + self.only_b


def solid_difference(plate: str, a: Path, b: Path) -> SolidDifference:
    """Compare `PLATE.step` in two folders; raises OutputError for a file without one solid.

    The kernel cuts each solid by the other. Its answer is told only if it warned of nothing, if both cuts leave the
    same common volume, and if the STL files beside the STEP files say the same (without them, if some common volume is
    left wherever a point lies inside both). Else the STL files are compared, and the method says so.
    """
    files = [folder / f"{plate}.step" for folder in (a, b)]
    first = _solid(files[0])
    if _data(files[0]) == _data(files[1]):
        return SolidDifference(plate, first.Volume(), first.Volume(), 0.0, 0.0, "equal STEP data")
    second = _solid(files[1])
    volumes = float(first.Volume()), float(second.Volume())
    meshed, why = _on_meshes(plate, volumes, a, b)
    for fuzzy in FUZZY:
        only = _cuts(first, second, fuzzy)
        if only is not None and _proved(only, volumes, first, second, meshed):
            return SolidDifference(plate, *volumes, *only, "exact, on the STEP solids")
    failed = "the kernel's own answers contradict"
    if meshed is not None:
        return SolidDifference(plate, *volumes, *meshed, f"estimate, on the STL meshes: {failed}")
    return SolidDifference(plate, *volumes, None, None, f"{failed}, and {why}")


def _data(step: Path) -> bytes:
    """A STEP file without its header, which carries a date."""
    return step.read_bytes().partition(b"DATA;")[2]


def _solid(step: Path) -> Any:
    try:
        found = cq.importers.importStep(str(step)).solids().vals()
    except ValueError as error:
        raise OutputError(f"{step} cannot be read as STEP; build that job again") from error
    if len(found) != 1:
        raise OutputError(f"{step} holds {len(found)} solids where one is wanted; build that job again")
    return found[0]


def _cuts(a: Any, b: Any, fuzzy: float) -> Volumes | None:
    """What only A and only B fill, mm³; None where the kernel warns. Where they meet is found once, for both cuts."""
    both = TopTools_ListOfShape()
    for s in (a, b):
        both.Append(s.wrapped)
    met = BOPAlgo_PaveFiller()
    met.SetArguments(both)
    met.SetFuzzyValue(fuzzy)
    met.SetNonDestructive(True)
    met.Perform()
    if met.HasErrors() or met.HasWarnings():
        return None
    left = [_less(a, b, met, way) for way in (BOPAlgo_Operation.BOPAlgo_CUT, BOPAlgo_Operation.BOPAlgo_CUT21)]
    return None if left[0] is None or left[1] is None else (left[0], left[1])


def _less(a: Any, b: Any, met: BOPAlgo_PaveFiller, way: BOPAlgo_Operation) -> float | None:
    cut = BOPAlgo_BOP()
    cut.AddArgument(a.wrapped)
    cut.AddTool(b.wrapped)
    cut.SetOperation(way)
    cut.PerformWithFiller(met)
    if cut.HasErrors() or cut.HasWarnings():
        return None
    volume = sum(float(s.Volume()) for s in cq.Shape.cast(cut.Shape()).Solids())
    return volume if volume > SMALLEST else 0.0


def _proved(only: Volumes, volumes: Volumes, a: Any, b: Any, meshed: Volumes | None) -> bool:
    common = volumes[0] - only[0], volumes[1] - only[1]
    slack = AGREE * max(volumes)
    if abs(common[0] - common[1]) > slack or min(common) < -slack:
        return False
    if meshed is not None:
        allowed = CHORD * (_curved(a) + _curved(b)) + slack
        return all(abs(x - y) <= allowed for x, y in zip(only, meshed, strict=True))
    return min(common) > slack or not _share_a_point(a, b)


def _curved(solid: Any) -> float:
    """Area of the faces that a mesh only comes near to, mm²."""
    return sum(float(f.Area()) for f in solid.Faces() if f.geomType() != "PLANE")


def _share_a_point(a: Any, b: Any) -> bool:
    """Whether any point of a grid in the box that both share lies inside both."""
    one, other = a.BoundingBox(), b.BoundingBox()
    spans = []
    for axis in "xyz":
        low = max(getattr(x, f"{axis}min") for x in (one, other))
        high = min(getattr(x, f"{axis}max") for x in (one, other))
        if high <= low:
            return False
        spans.append([low + (i + 0.5) * (high - low) / ASKED for i in range(ASKED)])
    asked = [BRepClass3d_SolidClassifier(s.wrapped) for s in (a, b)]
    return any(all(_inside(c, gp_Pnt(x, y, z)) for c in asked) for x in spans[0] for y in spans[1] for z in spans[2])


def _inside(solid: BRepClass3d_SolidClassifier, point: gp_Pnt) -> bool:
    solid.Perform(point, SMALLEST)
    return bool(solid.State() == TopAbs_IN)


def _on_meshes(plate: str, volumes: Volumes, a: Path, b: Path) -> tuple[Volumes | None, str]:
    """What only one fills by the STL files, mm³, or None and why there is no answer."""
    files = [folder / f"{plate}.stl" for folder in (a, b)]
    if not all(f.is_file() for f in files):
        return None, "an STL file is missing: build both jobs with --only step,stl"
    try:
        first, second = (solid_of(read_stl(f)) for f in files)
    except StlError as error:
        return None, f"an STL file is damaged ({error}): build that job again"
    found = float(first.volume()), float(second.volume())
    if any(abs(m - v) > 0.01 * v for m, v in zip(found, volumes, strict=True)):
        return None, "an STL file does not hold the solid of its STEP file: build both jobs again"
    only = max(float((first - second).volume()), 0.0), max(float((second - first).volume()), 0.0)
    if abs((found[0] - only[0]) - (found[1] - only[1])) > AGREE * max(found):
        return None, "so do those of the mesh library: neither can be told"
    return only, ""
