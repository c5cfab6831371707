"""What the shop has: cutters, drills, travel and how exactly it works. Everything may be left out.

Defaults are common practice on a small router, no source, or our choice where the description says so.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from .base import Part
from .quantity import Angle, Length, NonNegativeLength, PositiveLength

COMMON_CUTTERS = ((1, 4), (1.5, 6), (2, 8), (3, 12), (4, 16), (5, 20), (6, 22), (8, 25), (10, 30))


class Cutter(Part):
    """An end mill."""

    diameter: PositiveLength = Field(description="Cutting diameter, mm.")
    reach: PositiveLength = Field(description="Deepest pocket it can cut: flute length, or to where it widens, mm.")


class Drills(Part):
    """Twist drills."""

    diameters: Literal["any"] | Annotated[list[PositiveLength], Field(min_length=1, max_length=500)] = Field(
        "any", description="Diameters there are, mm, or any: bought as the job needs them."
    )
    reach: PositiveLength = Field(200, description="Deepest hole the longest drill makes, mm; our choice.")


class Dowel(Part):
    """A pin that locates the plate on the bed, in the plate's frame before it is flipped."""

    at: tuple[Length, Length]
    diameter: PositiveLength = 6


class Machine(Part):
    """The machine and the tools that the plates are cut with."""

    cutters: Annotated[list[Cutter], Field(min_length=1, max_length=100)] = Field(
        default=[Cutter.model_construct(diameter=float(d), reach=float(reach)) for d, reach in COMMON_CUTTERS],
        description="End mills there are. Left out: common ones from 1 to 10 mm, four to three diameters long.",
    )
    drills: Drills = Drills.model_construct()
    work_area: tuple[PositiveLength, PositiveLength, PositiveLength] | None = Field(
        None, description="Travel in x, y and z, mm. Left out: every plate is taken to fit."
    )
    positional: NonNegativeLength = Field(0.05, description="A feature's place within one clamping, ± mm; our choice.")
    depth: NonNegativeLength = Field(0.05, description="A pocket's depth, ± mm; our choice.")
    flip: NonNegativeLength = Field(
        0.1, description="Shift between what is cut before and after the plate is turned over, mm; our choice."
    )
    sheet: NonNegativeLength | None = Field(
        None, description="Thickness of the measured sheet, ± mm. Left out: as the sheet's standard allows."
    )
    pocket_ratio: PositiveLength = Field(4, description="Deepest pocket, times the cutter's diameter.")
    entry_angle: Angle = Field(30, description="Drill to face, steepest slope it starts on, degrees; our choice.")
    breakthrough_angle: Angle = Field(
        45, description="Drill to the wall of the bore it breaks into, steepest slope, degrees; our choice."
    )
    web: NonNegativeLength = Field(
        0.8, description="Thinnest floor or web that may stand while the next setup is cut, mm; our choice."
    )
    dowels: tuple[Dowel, Dowel] | None = Field(
        None, description="Two pins for turning the plate over. Left out: placed in the waste beside the plate."
    )

    @model_validator(mode="after")
    def _two_places(self) -> Machine:
        if self.dowels is not None and self.dowels[0].at == self.dowels[1].at:
            raise ValueError("both dowels stand at the same place; give them two places, far apart")
        return self


class Waiver(Part):
    """A finding that its reader accepts. It is still shown, with the reason."""

    key: Annotated[
        str,
        Field(pattern=r"^[a-z][a-z0-9.-]*-[0-9a-f]{8}$",
              description="The key of a finding, as checks.json and the terminal give it."),
    ]  # fmt: skip
    reason: Annotated[str, Field(min_length=10, max_length=400)] = Field(
        description="Why it may stay, in a sentence."
    )
