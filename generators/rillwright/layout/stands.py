"""Ways in which the whole assembly can stand: as it works, lies, or is tilted to bleed it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from .features import Vec3

if TYPE_CHECKING:
    from ..spec.job import Job


@dataclass(frozen=True, slots=True)
class Stand:
    """One way to stand: which direction of the assembly's own frame points up (any length)."""

    name: str
    up: Vec3


def stands(job: Job) -> tuple[Stand, ...]:
    """Those of a job, the working one first."""
    return tuple(Stand(o.name, o.up) for o in job.orientations)
