"""Plates: stock, outline, ports, drillings and holes.

x and y are those of the standing machine seen from above, for every plate. z is measured from the seal face
out of the material, so a place inside the plate has a negative z. Defaults without a named source are
common practice, no source.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from .base import Part
from .covered import Channel, Covers, KeepOut, Passage
from .face_seal import FaceSeal
from .fitting import FittingSeal
from .gallery import Gallery
from .mount import Block, Mount
from .quantity import Angle, Length, Name, NonNegativeLength, PositiveLength
from .reservoir import MetricSize
from .shapes import Frame, Light, Slot, Span, Window
from .sheet import ArcTo, Outline, PlateMaterial, Point2, Stock

PipeSize = Literal["G1/8", "G1/4", "G3/8", "G1/2"]
Face = Annotated[
    str,
    Field(pattern=r"^(seal|outer|left|right|front|back|cover|outer-cover|edge-[1-9][0-9]?)$",
          description="seal, outer, left, right, front, back, or edge-N: the N-th straight piece of a polygon. cover, "
          "outer-cover: the outside of the cover on the seal or outer face."),
]  # fmt: skip

__all__ = [
    "ArcTo", "Channel", "Circle", "Covers", "Drilling", "Face", "Grid", "Holes", "KeepOut", "Outline", "Passage",
    "Perimeter", "PipeSize", "Plate", "PlateMaterial", "Point2", "Port", "Row", "Stock",
]  # fmt: skip


class Port(Part):
    """A threaded opening for a fitting, or a plain bore with a seal round it that another part lies over."""

    name: Name
    loop: Name
    on: Face
    at: Point2 = Field(description="On a face [x, y]; on an edge [distance along it, z], z negative, mm.")
    thread: PipeSize = "G1/4"
    bore: PositiveLength | None = Field(None, description="Diameter of a plain bore, mm, instead of a thread.")
    face_seal: FaceSeal | None = Field(None, description="Cord or ring round a plain bore.")
    depth: PositiveLength | Literal["through"] | None = Field(
        None, description="Depth of the tapped bore, mm; through: to the other face. Left out: as the standard has it."
    )
    spotface: NonNegativeLength | None = Field(
        None, description="Depth of the spotface, mm; 0 leaves it out. Left out: 1 mm, or less if the standard says so."
    )
    tip: Literal["drill", "flat"] = Field("drill", description="Drill: a 118° cone at the bottom of the bore.")
    seal: FittingSeal | None = Field(None, description="Ring of the fitting, where it is to be computed.")
    flow: Literal["in", "out", "shut"] | None = Field(
        None, description="In or out: coolant comes in or leaves here in use. Shut: for filling, venting, draining. Left "
        "out: a loop's two ports are in and out in the order of the file, those of a loop with more are not asked."
    )  # fmt: skip

    @model_validator(mode="after")
    def _thread_or_bore(self) -> Port:
        given = sorted({"thread", "spotface", "seal"} & self.model_fields_set)
        if self.bore is not None and given:
            raise ValueError(f"a plain bore has no {given[0]}; leave it out, or leave bore out")
        if self.bore is None and self.face_seal is not None:
            raise ValueError("face_seal goes round a plain bore: give bore; the ring of a fitting is under seal")
        return self


class Drilling(Part):
    """A straight drilled channel. Give `to` or `depth`."""

    name: Name
    loop: Name | None = Field(None, description="Taken from the port when it starts in one.")
    start: Face | Name = Field(alias="from", description="A face, an edge, or the name of the port it goes on from.")
    at: Point2 | None = Field(None, description="On a face [x, y]; on an edge [distance along it, z], mm.")
    to: Name | tuple[Length, Length, Length] | None = Field(
        None, description="A drilling or port whose axis it ends on, or a point [x, y, z]."
    )
    depth: PositiveLength | None = Field(None, description="Length of the full diameter from the face, mm.")
    diameter: Annotated[PositiveLength, Field(ge=0.5, le=60)] = Field(description="Drill diameter, mm.")
    plug: PipeSize | None = Field(None, description="Threaded plug that closes the open end.")
    plug_seal: FittingSeal | None = Field(None, description="Ring of the plug, where it is to be computed.")
    tip: Literal["drill", "flat"] = "drill"

    @model_validator(mode="after")
    def _one_end(self) -> Drilling:
        if (self.to is None) == (self.depth is None):
            raise ValueError("give either to (a name or a point) or depth")
        return self


class Row(Part):
    """Holes in a straight row."""

    start: Point2 = Field(alias="from")
    to: Point2
    count: Annotated[int, Field(ge=2, le=1000)]


class Grid(Part):
    """Holes in a grid round a centre."""

    centre: Point2 = (0, 0)
    columns: Annotated[int, Field(ge=1, le=100)]
    rows: Annotated[int, Field(ge=1, le=100)]
    pitch: tuple[PositiveLength, PositiveLength]


class Circle(Part):
    """Holes on a circle."""

    centre: Point2 = (0, 0)
    diameter: PositiveLength
    count: Annotated[int, Field(ge=1, le=360)]
    start_angle: Angle = 0


class Perimeter(Part):
    """Holes along the outline at an inset, evenly, no further apart than the pitch."""

    inset: PositiveLength
    pitch: Annotated[PositiveLength, Field(ge=3)]


class Holes(Part):
    """Screw or mounting holes: give one of at, row, grid, circle, perimeter."""

    name: Name
    kind: Literal["clearance", "tapped", "countersunk", "counterbored"] = "clearance"
    thread: MetricSize | Literal["M2.5"] = "M4"
    cut_from: Literal["seal", "outer"] = Field("outer", alias="from")
    depth: PositiveLength | None = Field(None, description="Depth, mm. Left out: through the plate.")
    fit: Literal["fine", "medium", "coarse"] = "medium"
    avoid: NonNegativeLength | None = Field(
        None, description="Leave out holes that would come nearer than this to anything else, mm."
    )
    at: Annotated[list[Point2], Field(min_length=1, max_length=1000)] | None = None
    row: Row | None = None
    grid: Grid | None = None
    circle: Circle | None = None
    perimeter: Perimeter | None = None

    @model_validator(mode="after")
    def _one_pattern(self) -> Holes:
        given = [k for k in ("at", "row", "grid", "circle", "perimeter") if getattr(self, k) is not None]
        if len(given) != 1:
            raise ValueError(f"give exactly one of at, row, grid, circle, perimeter ({', '.join(given) or 'none'} given)")
        if self.kind in ("countersunk", "counterbored") and self.depth is not None:
            raise ValueError(f"a {self.kind} hole goes through the plate; leave depth out")
        if self.kind == "countersunk" and self.thread == "M2.5":
            raise ValueError("ISO 10642 has no M2.5; take M3 or more, or a counterbored hole")
        return self


class Plate(Part):
    """One machined plate."""

    stock: Stock
    outline: Outline
    ports: Annotated[list[Port], Field(max_length=200)] = []
    drillings: Annotated[list[Drilling], Field(max_length=500)] = []
    galleries: Annotated[list[Gallery], Field(max_length=50)] = Field(
        [], description="Drillings that the tool chooses: by what they are to join."
    )
    holes: Annotated[list[Holes], Field(max_length=100)] = []
    covers: Covers = Field(
        Covers.model_construct(), description="Covers over milled channels: on the seal face, the outer face, or both."
    )
    channels: Annotated[list[Channel], Field(max_length=100)] = []
    passages: Annotated[list[Passage], Field(max_length=100)] = []
    keep_out: Annotated[list[KeepOut], Field(max_length=100)] = []
    windows: Annotated[list[Window], Field(max_length=200)] = []
    slots: Annotated[list[Slot], Field(max_length=200)] = []
    lights: Annotated[list[Light], Field(max_length=20)] = []
    frame: Frame | None = Field(None, description="Strips in place of a full plate: what they do not need is cut out.")
    spans: Annotated[list[Span], Field(max_length=50)] = []
    mounts: Annotated[list[Mount], Field(max_length=100)] = Field([], description="Parts that lie on it, by foot prints.")
    block: Block | None = Field(None, description="Joins the ports of a row of cards by drillings.")
