"""Covered plates: channels milled into a face, and the cover that closes them.

Defaults without a named source are common practice, no source.
"""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field, model_validator

from .base import Part
from .quantity import Name, NonNegativeLength, PositiveLength
from .reservoir import CordStock, MetricSize
from .sheet import ArcTo, Outline, Point2, Stock
from .tolerances import Reading

Level = Literal["seal", "outer"]


class CoverGroove(Part):
    """The groove in the body that the cord lies in."""

    depth: PositiveLength | None = Field(
        None, description="Depth, mm; the cover lies on the face, so it alone sets the squeeze. Left out: by cord table."
    )
    width: PositiveLength | None = Field(None, description="Width, mm. Left out: by the cord's table.")
    land: PositiveLength | None = Field(
        None, description="Flat beside the groove, to coolant, holes and edges, mm. Left out: cord diameter, at least 2."
    )
    corner: PositiveLength | None = Field(
        None, description="Smallest inside radius in plan, mm. Left out: three cord diameters."
    )


class CoverMeasured(Part):
    """What was measured under a cover: takes the place of the nominal length and of its tolerance in the seal's figures."""

    cord: Reading | None = Field(None, description="Diameter of the cord.")
    groove_depth: Reading | None = Field(None, description="Depth of its grooves, once they are cut.")


class CoverScrews(Part):
    """The screws that hold a cover down, placed along the groove."""

    thread: MetricSize = "M4"
    pitch: Annotated[PositiveLength, Field(ge=10)] = Field(50, description="Largest distance along the groove, mm.")
    head: Literal["countersunk", "counterbored", "on-top"] = Field(
        "countersunk", description="ISO 10642 flush, or an ISO 4762 cap screw in a counterbore or on the cover's face."
    )
    washer: bool = Field(False, description="A plain washer (ISO 7089) under each head on the cover's face.")
    into: Literal["thread", "insert", "nut"] = Field(
        "thread", description="A thread cut in the body, a brass insert in it, or through the body into a nut."
    )
    length: PositiveLength | None = Field(None, description="Screw length, mm. Left out: the shortest that holds.")
    fit: Literal["fine", "medium", "coarse"] = "medium"
    at: Annotated[list[Point2], Field(max_length=500)] = Field(
        [], description="Screws that stand where they are: kept and checked, others are placed between them."
    )

    @model_validator(mode="after")
    def _washer_has_a_place(self) -> CoverScrews:
        if self.washer and self.head != "on-top":
            raise ValueError("a washer lies under a head on the cover's face; give head: on-top, or leave washer out")
        return self


class Cover(Part):
    """A plate that closes the channels of one face."""

    stock: Stock
    join: Literal["screwed", "bonded"] = Field("screwed", description="Screwed down on a cord, or glued or welded on.")
    cord: CordStock = Field(CordStock.model_construct(), description="The cord round each loop; a bonded cover has none.")
    groove: CoverGroove = CoverGroove.model_construct()
    screws: CoverScrews = CoverScrews.model_construct()
    measured: CoverMeasured = CoverMeasured.model_construct()
    bond: Annotated[PositiveLength, Field(ge=1)] = Field(
        5, description="Narrowest bonded flat beside a channel, mm; our choice, no source."
    )

    @model_validator(mode="after")
    def _fits_its_join(self) -> Cover:
        given = sorted({"cord", "groove", "screws", "measured"} & self.model_fields_set)
        if self.join == "bonded" and given:
            them = "it" if len(given) == 1 else "them"
            raise ValueError(f"a bonded cover has no {' and no '.join(given)}; leave {them} out, or give join: screwed")
        if self.join == "screwed" and "bond" in self.model_fields_set:
            raise ValueError("a screwed cover has no bonded flat; leave bond out, or give join: bonded")
        return self


class Covers(Part):
    """Covers by the face that they close."""

    seal: Cover | None = Field(None, description="Cover on the seal face; a port `on: cover` goes through it.")
    outer: Cover | None = Field(None, description="Cover on the outer face; a port `on: outer-cover` goes through it.")

    def of(self, face: Level) -> Cover | None:
        """The cover on a face."""
        return self.seal if face == "seal" else self.outer


class Channel(Part):
    """A channel that joins ports, drillings, passages and places of one loop as a tree."""

    name: Name
    loop: Name
    joins: Annotated[list[Name | Point2], Field(min_length=2, max_length=30)] = Field(
        description="What it joins: names of ports, drillings, passages, or places [x, y]."
    )
    face: Literal["seal", "outer", "both"] = Field(
        "seal", description="The face it is cut from; both: the route may change faces through passages of its own."
    )
    width: Annotated[PositiveLength, Field(ge=1, le=100)] = 8
    depth: Annotated[PositiveLength, Field(ge=0.5)] = 7
    floor_radius: Annotated[NonNegativeLength, Field(le=30)] = Field(0, description="Between wall and floor, mm.")
    route: Literal["auto"] | Annotated[list[Name | Point2 | ArcTo], Field(min_length=2, max_length=200)] = Field(
        "auto", description="auto, or its line: names of what it joins, places [x, y], arcs {through: [x, y], to: [x, y]}."
    )
    pins: Annotated[list[Point2], Field(max_length=50)] = Field([], description="Places that an automatic route passes.")
    bend_radius: PositiveLength | None = Field(
        None, description="Radius of the middle line that bends should have, mm. Left out: the channel's width."
    )
    bend_limit: bool = Field(False, description="Refuse bends tighter than bend_radius instead of avoiding them.")

    @model_validator(mode="after")
    def _can_be_cut(self) -> Channel:
        if self.floor_radius >= self.width / 2 - 0.05:
            raise ValueError(
                f"a floor radius of {self.floor_radius:g} mm leaves no flat in a channel {self.width:g} mm wide; "
                f"give less than {self.width / 2 - 0.05:g}"
            )
        if self.floor_radius >= self.depth:
            raise ValueError(f"a floor radius of {self.floor_radius:g} mm is more than the depth of {self.depth:g} mm")
        if self.route != "auto" and self.face == "both":
            raise ValueError("a line that is given lies on one face; write face: seal or face: outer")
        if self.route != "auto" and self.pins:
            raise ValueError("a line that is given passes its own way points; leave pins out")
        return self


class Passage(Part):
    """A straight bore between the channels of both faces."""

    name: Name
    loop: Name
    at: Point2
    diameter: Annotated[PositiveLength, Field(ge=1, le=60)]


class KeepOut(Part):
    """An area that channels, grooves and screws of a covered plate stay out of; an opening is written under windows."""

    name: Name
    at: Point2 = Field(description="Its centre [x, y].")
    length: PositiveLength | None = Field(None, description="Along x, mm.")
    width: PositiveLength | None = Field(None, description="Along y, mm.")
    corner_radius: NonNegativeLength = 0
    diameter: PositiveLength | None = Field(None, description="Of a round one, mm.")
    clearance: NonNegativeLength = Field(0, description="More than the walls ask for, mm.")
    cut: ClassVar[bool] = False  # whether it is an opening as well

    @model_validator(mode="after")
    def _one_shape(self) -> KeepOut:
        if (self.diameter is None) == (self.length is None or self.width is None):
            raise ValueError("give diameter, or length and width")
        if self.diameter is None:
            Outline(length=self.length, width=self.width, corner_radius=self.corner_radius)
        return self


class Opening(KeepOut):
    """A window through a covered plate as its channels see it; made by the layout, never read from a file."""

    cut: ClassVar[bool] = True
