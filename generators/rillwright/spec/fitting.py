"""The ring with which a fitting or plug seals on the face round its thread."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from .base import Part
from .quantity import PositiveLength


class FittingGroove(Part):
    """The groove in the fitting's own flange, open towards the plate, mm."""

    inside_diameter: PositiveLength
    depth: PositiveLength
    width: PositiveLength


class FittingSeal(Part):
    """A moulded ring as it comes with a fitting or plug: its squeeze, fill and stretch are computed."""

    inside_diameter: PositiveLength = Field(description="Inside diameter of the ring, mm.")
    section: Annotated[PositiveLength, Field(ge=0.8, le=8.4)] = Field(description="Diameter of its section, mm.")
    material: Literal["epdm", "fkm", "nbr", "vmq"] = "epdm"
    hardness: Annotated[float, Field(ge=30, le=95)] = Field(70, description="Shore A.")
    groove: FittingGroove

    @model_validator(mode="after")
    def _goes_in(self) -> FittingSeal:
        if self.groove.width < self.section:
            raise ValueError(
                f"a ring of {self.section:g} mm does not go into a groove {self.groove.width:g} mm wide; "
                "give the groove of the fitting as its maker has it"
            )
        return self
