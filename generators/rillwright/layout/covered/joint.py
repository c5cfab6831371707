"""What a body and one of its covers ask of the joint between them, for the checks. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass

from ...spec.covered import Level


@dataclass(frozen=True, slots=True)
class CoverJoint:
    """One covered face. `bond` is the narrowest bonded flat; a screwed cover has none, and a groove."""

    body: str
    cover: str
    face: Level
    land: float  # flat beside a groove
    pitch: float  # most between screws along a groove
    reach: float  # from a groove's middle line to the screws that hold it down
    bond: float | None
