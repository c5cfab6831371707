"""What is milled into plates that carry no coolant, or beside it: windows, slots, slots for light, frames of strips.

Defaults without a named source are common practice, no source.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from .base import Part
from .quantity import Name, NonNegativeLength, PositiveLength
from .sheet import ArcTo, Outline, Point2

Side = Literal["seal", "outer"]


class Window(Part):
    """An opening, or a pocket where it has a depth: give diameter, or length and width, or a polygon."""

    name: Name
    at: Point2 = Field((0, 0), description="Its centre [x, y]; of a polygon, what its points are counted from.")
    length: PositiveLength | None = Field(None, description="Along x, mm.")
    width: PositiveLength | None = Field(None, description="Along y, mm.")
    diameter: PositiveLength | None = None
    polygon: Annotated[list[Point2 | ArcTo], Field(min_length=2, max_length=200)] | None = None
    corner_radius: NonNegativeLength = Field(3, description="Inside radius of its corners, mm: a cutter leaves one.")
    cut_from: Side = Field("outer", alias="from")
    depth: PositiveLength | None = Field(None, description="Depth, mm. Left out: through the plate.")

    @model_validator(mode="after")
    def _one_shape(self) -> Window:
        rectangle = self.length is not None or self.width is not None
        if sum((rectangle, self.diameter is not None, self.polygon is not None)) != 1:
            raise ValueError("give diameter, or length and width, or polygon")
        if rectangle and (self.length is None or self.width is None):
            raise ValueError("a rectangle needs length and width")
        if rectangle:
            Outline(length=self.length, width=self.width, corner_radius=self.corner_radius)
        return self


class Slot(Part):
    """A slot with round ends along straight legs and arcs."""

    name: Name
    line: Annotated[list[Point2 | ArcTo], Field(min_length=2, max_length=100)] = Field(
        description="Its middle line: points [x, y], and arcs {through: [x, y], to: [x, y]}."
    )
    width: Annotated[PositiveLength, Field(ge=0.5, le=200)]
    cut_from: Side = Field("outer", alias="from")
    depth: PositiveLength | None = Field(None, description="Depth, mm. Left out: through the plate.")

    @model_validator(mode="after")
    def _begins_with_a_point(self) -> Slot:
        if isinstance(self.line[0], ArcTo):
            raise ValueError("a line begins with a point [x, y]; put the arc after it")
        return self


class Lip(Part):
    """A wider and shallower step over a slot for light, that a strip of clear sheet is laid into."""

    width: PositiveLength = Field(description="Width of the step, mm.")
    depth: PositiveLength = Field(description="Depth of the step, mm.")


class LightStrip(Part):
    """A light strip, by its maker's sizes."""

    width: PositiveLength = Field(8, description="Width of the strip, mm.")
    height: PositiveLength = Field(3, description="Height of the strip with its parts, mm.")
    bend_radius: NonNegativeLength = Field(20, description="Tightest bend that it bears in the plane of the plate, mm.")
    power: Annotated[float, Field(ge=0, le=200)] = Field(0, description="Heat, W per metre.")


class Light(Part):
    """A slot for a light strip in a plane face: along the edge at an inset, or along a line."""

    name: Name
    strip: LightStrip = LightStrip.model_construct()
    face: Side = "outer"
    inset: PositiveLength | None = Field(None, description="Middle line all round at this distance from the edge, mm.")
    line: Annotated[list[Point2 | ArcTo], Field(min_length=2, max_length=100)] | None = Field(
        None, description="Its middle line instead: points [x, y], and arcs {through: [x, y], to: [x, y]}."
    )
    clearance: NonNegativeLength = Field(0.3, description="Between strip and slot on each side, and over it, mm.")
    lip: Lip | None = Field(None, description="Step for a covering strip. Left out: none.")
    exit: Point2 | None = Field(None, description="Where the cable leaves through the plate: a place on the line [x, y].")
    exit_diameter: PositiveLength = Field(6, description="Hole for the cable, mm.")

    @model_validator(mode="after")
    def _one_line(self) -> Light:
        if (self.inset is None) == (self.line is None):
            raise ValueError("give either inset or line")
        if self.line is not None and isinstance(self.line[0], ArcTo):
            raise ValueError("a line begins with a point [x, y]; put the arc after it")
        if self.lip is not None and self.lip.width <= self.strip.width + 2 * self.clearance:
            raise ValueError("a lip must be wider than the slot under it")
        return self


class Frame(Part):
    """Strips in place of a full plate: a border, strips between places, and a pad round every hole; the rest is cut out."""

    border: PositiveLength = Field(20, description="Width of the border along the outline, mm.")
    strip: PositiveLength = Field(20, description="Width of the strips, mm.")
    strips: Annotated[list[tuple[Point2, Point2]], Field(max_length=50)] = Field(
        [], description="Strips from place to place, [[x, y], [x, y]] each."
    )
    pad: PositiveLength = Field(6, description="Material left round every hole, port and window, mm.")
    corner_radius: PositiveLength = Field(5, description="Inside radius of what is cut out, mm.")
    smallest: PositiveLength = Field(15, description="Openings that no circle of this diameter fits in stay full, mm.")


class Span(Part):
    """A part of a plate that bears a load, for a sum by beam and plate formulas."""

    name: Name
    kind: Literal["beam", "cantilever", "plate", "disc"] = Field(
        "beam", description="A strip on two supports, one held at one end, a rectangle held up along all four sides, or a "
        "round plate clamped all round: a lid or blanking plate under its ring of screws."
    )  # fmt: skip
    length: PositiveLength = Field(
        description="Between supports, or free length; of a plate its longer side, of a disc its free diameter, mm."
    )
    width: PositiveLength | None = Field(
        None, description="Of the strip across; of a plate its shorter side, mm. A disc has none."
    )
    load: Annotated[float, Field(gt=0, le=1e6)] = Field(
        description="All of the force on it, N; of a pressure, 0.1 N/mm² for each bar times its area."
    )
    spread: Literal["point", "even"] = Field("even", description="In the middle (at the end of a cantilever), or all over.")
    deflection: PositiveLength | None = Field(None, description="Limit, mm. Left out: a three-hundredth of the length.")

    @model_validator(mode="after")
    def _width_by_kind(self) -> Span:
        if self.kind == "disc" and self.width is not None:
            raise ValueError("a disc has no width: its free diameter is its length")
        if self.kind != "disc" and self.width is None:
            raise ValueError(f"a {self.kind} needs its width")
        return self
