"""How exact the parts of a reservoir are, what was measured on them, and how warm and cold they get."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from .base import Part
from .quantity import Name, NonNegativeLength, PositiveLength, Temperature


class Tolerances(Part):
    """± of what seals a tube, mm. Left out: by class, or our own default, which `check` names with its source."""

    cord: NonNegativeLength | None = Field(None, description="± of the cord's diameter, mm. Left out: by its class.")
    tube_length: NonNegativeLength | None = Field(None, description="± of the tube's length, mm.")
    strut_length: NonNegativeLength | None = Field(None, description="± of the struts' length, mm.")
    channel_depth: NonNegativeLength | None = Field(None, description="± of the tube channel's depth, mm.")
    seat_depth: NonNegativeLength | None = Field(None, description="± of the strut seat's depth, mm.")
    channel_width: NonNegativeLength | None = Field(None, description="± of the tube channel's width, mm.")


class Reading(Part):
    """One measurement."""

    value: PositiveLength = Field(description="What was read, mm.")
    gauge: NonNegativeLength = Field(description="± of the gauge and of the parts among each other, mm.")

    @model_validator(mode="after")
    def _gauge_is_finer(self) -> Reading:
        if self.gauge >= self.value:
            raise ValueError(f"a gauge of ± {self.gauge:g} mm says nothing of {self.value:g} mm; give its own uncertainty")
        return self


class Measured(Part):
    """What was measured on the real parts: takes the place of the nominal length and of its tolerance."""

    cord: Reading | None = Field(None, description="Diameter of the cord.")
    strut_cord: Reading | None = Field(None, description="Diameter of the cord under the struts' ends.")
    tube_length: Reading | None = Field(None, description="Length of the tube.")
    tube_outside: Reading | None = Field(None, description="Outside diameter of the tube; used for its gap only.")
    strut_length: Reading | None = Field(None, description="Length of the struts.")
    channel_depth: dict[Name, Reading] = Field({}, description="Depth of the tube channel by plate, once it is cut.")
    seat_depth: dict[Name, Reading] = Field({}, description="Depth of the strut seats by plate, once they are cut.")


class Temperatures(Part):
    """Temperatures at which the seals have to hold, °C. Lengths are those at 20 °C. Defaults are our choice."""

    filling: Temperature = Field(20, description="While it is filled and proved, °C.")
    hottest: Temperature | None = Field(
        None, description="Hottest of all parts, °C. Left out: 50, or the coolant's temperature if that is higher."
    )
    coldest: Temperature = Field(5, description="Coldest of all parts with coolant in them, °C.")

    years: Annotated[float, Field(gt=0, le=50)] = Field(
        5, description="How long the seals have to hold, years, all of them counted at the hottest: settles the cords."
    )

    @model_validator(mode="after")
    def _in_order(self) -> Temperatures:
        hottest = self.filling if self.hottest is None else self.hottest
        if not self.coldest <= self.filling <= hottest:
            raise ValueError(
                f"coldest {self.coldest:g}, filling {self.filling:g}, hottest {hottest:g} °C must rise in this order; "
                "put them right"
            )
        return self
