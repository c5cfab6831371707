"""Strips and plates that bear a load: what the file asks to have summed. Lengths in mm, forces in N."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ..spec.plate import Plate


@dataclass(frozen=True, slots=True)
class LoadSpan:
    """One loaded part of a plate, of the plate's thickness."""

    name: str
    kind: Literal["beam", "cantilever", "plate", "disc"]
    length: float  # of a disc its free diameter
    width: float  # 0 for a disc
    load: float
    spread: Literal["point", "even"]
    limit: float  # deflection, mm


SHARE = 300.0  # of the length: the deflection that is allowed where the file gives none; our choice, no source


def spans(plate: Plate) -> tuple[LoadSpan, ...]:
    """Those of one plate."""
    return tuple(
        LoadSpan(s.name, s.kind, s.length, s.width or 0.0, s.load, s.spread, s.deflection or s.length / SHARE)
        for s in plate.spans
    )
