"""The covered faces of a job as the checks in plan look at them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ...layout.job_layout import JobLayout

if TYPE_CHECKING:
    from .cover_face import CoverFace


def cover_faces(layout: JobLayout) -> list[CoverFace]:
    """One for each covered face."""
    if not layout.covers:
        return []
    from .cover_face import CoverFace

    plates = {p.name: p for p in layout.plates}
    return [CoverFace(plates[j.body], plates[j.cover], j.face, j.land, j.pitch, j.reach, j.bond) for j in layout.covers]
