"""All that a writer of files may look at, in one record."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from ..checks.result import Result
from ..layout.features import Hardware
from ..layout.job_layout import JobLayout
from ..spec.job import Job

if TYPE_CHECKING:
    from ..solids.meshing import Mesh


class Kept(Protocol):
    """Bytes that a writer made before from the same parts. The first part names the kind; the rest is all that counts."""

    def once(self, parts: tuple[Any, ...], make: Callable[[], bytes]) -> bytes: ...
    def holds(self, parts: tuple[Any, ...]) -> bool: ...
    def find(self, parts: tuple[Any, ...]) -> bytes | None: ...
    def keep(self, parts: tuple[Any, ...], data: bytes) -> None: ...


class Nothing:
    """A `Kept` that keeps nothing."""

    def once(self, _parts: tuple[Any, ...], make: Callable[[], bytes]) -> bytes:
        return make()

    def holds(self, _parts: tuple[Any, ...]) -> bool:
        return False

    def find(self, _parts: tuple[Any, ...]) -> bytes | None:
        return None

    def keep(self, _parts: tuple[Any, ...], _data: bytes) -> None:
        return None


@dataclass(frozen=True, slots=True)
class Bundle:
    """One built job. Solids and meshes are in the part frame (see `solids.build`); lengths in mm.

    Solids, meshes and hardware are made, or read, when first looked at: whoever does without them saves the kernel.
    """

    folder: Path  # where files go
    job: Job
    layout: JobLayout
    solids: Mapping[str, Any]  # plate name -> cq.Solid
    meshes: Mapping[str, Mesh]  # plate name -> mesh of it
    hardware: Sequence[tuple[Hardware, Any]]  # bought parts, in the frame of the assembly
    result: Result | None = None  # what the checks answered; None for writers that run before them
    kept: Kept = field(default_factory=Nothing)
