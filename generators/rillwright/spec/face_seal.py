"""The cord or ring round a plain bore, between a plate's face and the part that lies on it.

Defaults without a named source are common practice, no source.
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from .base import Part
from .quantity import PositiveLength
from .reservoir import CordStock


class FaceSeal(Part):
    """A round face seal."""

    cord: CordStock = CordStock.model_construct()
    groove: Literal["plate", "part"] = Field("plate", description="Which side carries the groove.")
    inside: PositiveLength | None = Field(
        None, description="Inside diameter of the groove, mm. Left out: bore and land, and three cords of radius at least."
    )
    depth: PositiveLength | None = Field(None, description="Depth of the groove, mm. Left out: by the cord's table.")
    width: PositiveLength | None = Field(None, description="Width of the groove, mm. Left out: by the cord's table.")
    ring_inside: PositiveLength | None = Field(
        None, description="Inside diameter of a moulded ring that is bought, mm. Left out: cut from cord and bonded."
    )

    @model_validator(mode="after")
    def _part_says_its_groove(self) -> FaceSeal:
        if self.groove == "part" and (self.inside is None or self.depth is None or self.width is None):
            raise ValueError("a groove in the part needs inside, depth and width, as the part has them")
        return self
