"""How much two solids differ: volumes that only one of them fills, exactly, from their STEP files."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cadquery as cq

from ..checks.solid.stl import read_stl
from ..checks.solid.voids_mesh import solid_of
from .errors import OutputError

AGREE = 1e-6  # of the volume: both ways to the common volume must give the same
SMALLEST = 1e-6  # mm³; below this a difference is rounding


@dataclass(frozen=True, slots=True)
class SolidDifference:
    """Volumes in mm³: of A, of B, of what only A and only B fill. `method` says how it was measured."""

    plate: str
    volume_a: float
    volume_b: float
    only_a: float
    only_b: float
    method: str

    @property
    def differ(self) -> float:
        """Volume of the symmetric difference."""
        return self.only_a + self.only_b


def solid_difference(plate: str, a: Path, b: Path) -> SolidDifference:
    """Compare `PLATE.step` in two folders; raises OutputError for a file without one solid.

    The kernel cuts each solid by the other. Both cuts must leave the same common volume; where they do not, the STL
    files that lie beside the STEP files are compared by a mesh library instead, and the method says so.
    """
    first, second = (_solid(folder / f"{plate}.step") for folder in (a, b))
    volumes = float(first.Volume()), float(second.Volume())
    if _data(a / f"{plate}.step") == _data(b / f"{plate}.step"):
        return SolidDifference(plate, *volumes, 0.0, 0.0, "equal STEP data")
    only = _less(first, second), _less(second, first)
    common = volumes[0] - only[0], volumes[1] - only[1]
    if abs(common[0] - common[1]) <= AGREE * max(volumes):
        return SolidDifference(plate, *volumes, *only, "exact, on the STEP solids")
    return _on_meshes(plate, volumes, a, b)


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


def _less(a: Any, b: Any) -> float:
    left = a.cut(b)
    volume = sum(float(s.Volume()) for s in left.Solids())
    return volume if volume > SMALLEST else 0.0


def _on_meshes(plate: str, volumes: tuple[float, float], a: Path, b: Path) -> SolidDifference:
    files = [folder / f"{plate}.stl" for folder in (a, b)]
    if not all(f.is_file() for f in files):
        raise OutputError(f"the kernel could not tell the solids of {plate} apart, and an STL is missing; "
                          "build both jobs with --only step,stl")  # fmt: skip
    first, second = (solid_of(read_stl(f)) for f in files)
    only = float((first - second).volume()), float((second - first).volume())
    return SolidDifference(plate, *volumes, *only, "estimate, on the STL meshes: the kernel's own answers contradict")
