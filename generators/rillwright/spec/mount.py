"""Parts that are bolted to a plate by their foot prints, and the block that joins a row of cards."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field, model_validator

from .base import Part
from .quantity import Angle, Length, Name, PositiveLength
from .sheet import Point2


class Mount(Part):
    """A foot print on a plate: its holes, ports, windows and keep-outs follow. Names in the plate begin with its own."""

    name: Name
    interface: Name = Field(description="Name of a file interfaces/NAME.yaml beside the job, or of one that is shipped.")
    at: Point2 = Field((0, 0), description="Where its origin stands on the plate [x, y]; of a row, the row's middle.")
    turn: Angle = Field(0, description="Counter-clockwise as the machine is seen from above, degrees.")
    side: Literal["seal", "outer", "cover", "outer-cover"] = Field(
        "outer", description="The face that the part lies on; cover, outer-cover: the outside of the cover on a face."
    )
    count: Annotated[int, Field(ge=1, le=50)] = Field(1, description="So many alike in a row along the foot print's x.")
    pitch: PositiveLength | None = Field(None, description="From one to the next of a row, mm.")
    loop: Name | None = Field(None, description="Loop of all its ports.")
    loops: dict[Name, Name | list[Name]] = Field({}, description="Loop of each port; of a row, a list from first to last.")
    sizes: dict[Name, Any] = Field({}, alias="set", description="Sizes that the foot print lets one change, by its words.")

    @model_validator(mode="after")
    def _row_has_a_pitch(self) -> Mount:
        if self.count > 1 and self.pitch is None:
            raise ValueError(f"a row of {self.count} needs pitch: the distance from one to the next")
        return self


class Outlet(Part):
    """Where one end of a card group's coolant leaves the block."""

    on: Literal["outer", "left", "right", "front", "back"]
    thread: Literal["G1/8", "G1/4", "G3/8", "G1/2"] = "G1/4"
    shift: Length = Field(0, description="An outlet on an edge along the row: this much lower than its drilling, mm.")


class CardGroup(Part):
    """Cards of one loop, from first to last, and how the block joins them."""

    loop: Name
    cards: tuple[Annotated[int, Field(ge=1)], Annotated[int, Field(ge=1)]] = Field(description="First and last card.")
    way: Literal["parallel", "series"] = "parallel"
    inlet: Outlet
    outlet: Outlet

    @model_validator(mode="after")
    def _in_order(self) -> CardGroup:
        if self.cards[0] > self.cards[1]:
            raise ValueError("give the first card before the last")
        return self


class Block(Part):
    """Joins the two ports of every card of a row by drillings from the ends, plugged."""

    row: Name = Field(description="The mount of the cards.")
    ports: tuple[Name, Name] = Field(("in", "out"), description="The foot print's two ports.")
    groups: Annotated[list[CardGroup], Field(min_length=1, max_length=20)]
    drill: Annotated[PositiveLength, Field(ge=2, le=30)] = Field(8, description="Diameter of the drillings, mm.")
    plug: Literal["G1/8", "G1/4", "G3/8", "G1/2"] = Field("G1/4", description="Plug of drillings that begin at an edge.")
    level: PositiveLength | None = Field(
        None, description="Depth of the first drillings below the cards' face, mm. Left out: as walls and plugs ask."
    )
