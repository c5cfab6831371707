"""All that a writer of files may look at, in one record."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from ..checks.result import Result
from ..layout.features import Hardware, JobLayout
from ..solids.meshing import Mesh
from ..spec.job import Job


@dataclass(frozen=True, slots=True)
class Bundle:
    """One built job. Solids and meshes are in the part frame (see `solids.build`); lengths in mm."""

    folder: Path  # where files go
    job: Job
    layout: JobLayout
    solids: dict[str, Any]  # plate name -> cq.Solid
    meshes: dict[str, Mesh]  # plate name -> mesh of it
    hardware: list[tuple[Hardware, Any]]  # bought parts, in the frame of the assembly
    result: Result | None = None  # what the checks answered; None for writers that run before them
