"""Every check of covered plates that needs no solid."""

from __future__ import annotations

from collections.abc import Sequence

from ...spec.job import Limits
from ..finding import Outcome
from .cover_face import CoverFace
from .cover_groove import bonds, corners, lands, pitches
from .cover_seal import sealed, simple
from .cover_walls import walls, webs


def cover_checks(faces: Sequence[CoverFace], limits: Limits) -> list[Outcome]:
    """The answers for all covered faces of a job; nothing, and no numeric library loaded, where there is none."""
    if not faces:
        return []
    return [walls(faces, limits), webs(faces, limits), sealed(faces), simple(faces), corners(faces), lands(faces),
            bonds(faces), pitches(faces)]  # fmt: skip
