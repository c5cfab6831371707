"""The sheet a plate is cut from, and its plan shape."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from .base import Part
from .quantity import Length, NonNegativeLength, PositiveLength

PlateMaterial = Literal["pmma-cast", "pmma-extruded", "pom-c", "pc", "aluminium-6082-t6"]
Point2 = tuple[Length, Length]


class Stock(Part):
    """The sheet a plate is cut from."""

    material: PlateMaterial = "pmma-cast"
    thickness: Annotated[PositiveLength, Field(ge=2, le=200)] = Field(description="Sheet thickness, mm.")


class ArcTo(Part):
    """A circular piece of an outline."""

    through: Point2
    to: Point2


class Outline(Part):
    """Plan shape: a rectangle (length along x, width along y) or a closed polygon with arcs."""

    length: Annotated[PositiveLength, Field(le=3000)] | None = None
    width: Annotated[PositiveLength, Field(le=3000)] | None = None
    corner_radius: NonNegativeLength = 0
    polygon: Annotated[list[Point2 | ArcTo], Field(min_length=2, max_length=200)] | None = Field(
        None, description="Corners in order, [x, y] or {through: [x, y], to: [x, y]}; closes by itself."
    )
    chamfer: NonNegativeLength = Field(0, description="45° edge break all round on both faces, mm.")

    @model_validator(mode="after")
    def _one_shape(self) -> Outline:
        if self.polygon is not None:
            if self.length is not None or self.width is not None or self.corner_radius:
                raise ValueError("give either polygon, or length and width with corner_radius, not both")
            if isinstance(self.polygon[0], ArcTo):
                raise ValueError("a polygon begins with a corner [x, y]; put the arc after it")
            return self
        if self.length is None or self.width is None:
            raise ValueError("give length and width, or a polygon")
        if 2 * self.corner_radius > min(self.length, self.width):
            raise ValueError(
                f"a corner radius of {self.corner_radius:g} mm does not fit a side of "
                f"{min(self.length, self.width):g} mm; give half the shorter side at most"
            )
        return self
