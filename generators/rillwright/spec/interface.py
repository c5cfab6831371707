"""A foot print: what a part that is bolted to a plate takes up, and what the plate needs for it.

Seen as one looks at the plate's face with the part off: x to the right, y up, z out of the face towards the part.
Lengths mm. Defaults without a named source are common practice, no source.
"""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field, model_validator

from .base import Part
from .covered import KeepOut
from .face_seal import FaceSeal
from .plate import Holes
from .quantity import Length, Name, NonNegativeLength, PositiveLength
from .shapes import Slot, Window
from .sheet import Point2


class Space(Part):
    """A space over the face that the part, or what belongs to it, takes up: give diameter, or length and width."""

    name: Name
    at: Point2 = (0, 0)
    length: PositiveLength | None = Field(None, description="Along x, mm.")
    width: PositiveLength | None = Field(None, description="Along y, mm.")
    diameter: PositiveLength | None = None
    height: tuple[Length, Length] = Field(description="From, to: over the face, mm.")

    @model_validator(mode="after")
    def _one_shape(self) -> Space:
        if (self.diameter is None) == (self.length is None or self.width is None):
            raise ValueError("give diameter, or length and width")
        if self.height[0] >= self.height[1]:
            raise ValueError("give the lower height first: [from, to]")
        return self


class Neighbour(Part):
    """A fitting or tube of the part that stands up beside it."""

    name: Name
    at: Point2
    diameter: PositiveLength
    height: tuple[Length, Length] = Field(description="From, to: over the face, mm.")

    @model_validator(mode="after")
    def _upwards(self) -> Neighbour:
        if self.height[0] >= self.height[1]:
            raise ValueError("give the lower height first: [from, to]")
        return self


class Screw(Part):
    """The screw of a hole. Of a tapped hole it comes from the part; of any other it goes on into the part behind."""

    engagement: PositiveLength | None = Field(
        None, description="Least thread that it must hold, mm. Left out: its diameter; in a tapped plate by the material."
    )
    reach: PositiveLength | None = Field(None, description="How deep its tip may come behind the face, mm.")
    under: NonNegativeLength = Field(0, description="Of a tapped hole: what of the part lies under the head, mm.")


class FootHoles(Holes):
    """Holes of a foot print: heads lie on the plate's far face, threads are cut from the face that the part lies on."""

    screw: Screw | None = Field(None, description="Its screw, chosen by length; left out: none is listed.")

    @model_validator(mode="after")
    def _only_the_pattern(self) -> FootHoles:
        if "cut_from" in self.model_fields_set:
            raise ValueError("leave from out: it follows from the face that the part lies on")
        if self.perimeter is not None or self.avoid is not None:
            raise ValueError("a foot print has its holes by at, row, grid or circle, and none is left out")
        if self.screw is not None and self.kind != "tapped" and self.screw.reach is None:
            raise ValueError("a screw that goes into the part needs reach: how deep its tip may come")
        return self


class FootPort(Part):
    """A plain bore that the part's own passage lies over, with a seal round it."""

    name: Name
    at: Point2 = (0, 0)
    bore: PositiveLength
    depth: PositiveLength | None = Field(None, description="Depth of the bore, mm. Left out: as deep as it is wide.")
    seal: FaceSeal | None = FaceSeal.model_construct()


class Size(Part):
    """A size that a mount may give by one word."""

    into: Annotated[list[str], Field(min_length=1, max_length=50)] = Field(
        description="Keys that take it, like holes.screw.circle.diameter: lists by the names in them, or by place."
    )
    about: str = ""
    ask: bool = Field(False, description="It differs from part to part: every mount has to give it.")


class Interface(Part):
    """A foot print."""

    interface: Name = Field(description="Its name, as `mounts` of a job give it: that of its file without .yaml.")
    about: str = ""
    source: str = Field(description="Where its sizes are from: published, common practice, or memory.")
    spaces: Annotated[list[Space], Field(max_length=50)] = []
    neighbours: Annotated[list[Neighbour], Field(max_length=50)] = []
    holes: Annotated[list[FootHoles], Field(max_length=50)] = []
    ports: Annotated[list[FootPort], Field(max_length=50)] = []
    joined: Annotated[list[Annotated[list[Name], Field(min_length=2)]], Field(max_length=50)] = Field(
        [], description="Ports that are one passage inside the part."
    )
    windows: Annotated[list[Window], Field(max_length=50)] = []
    slots: Annotated[list[Slot], Field(max_length=50)] = []
    keep_out: Annotated[list[KeepOut], Field(max_length=50)] = Field(
        [], description="Areas that channels, grooves and screws of a covered plate stay out of."
    )
    sizes: dict[Name, Size] = {}

    @model_validator(mode="after")
    def _names_hold(self) -> Interface:
        seen: set[str] = set()
        every: list[Any] = [*self.spaces, *self.neighbours, *self.holes, *self.ports, *self.windows, *self.slots,
                            *self.keep_out]  # fmt: skip
        for item in every:
            if item.name in seen:
                raise ValueError(f"two things are named {item.name!r}; give each a name of its own")
            seen.add(item.name)
        ports = [p.name for p in self.ports]
        for group in self.joined:
            for name in group:
                if name not in ports:
                    raise ValueError(f"joined names {name!r}, and the ports are {', '.join(ports) or 'none'}")
        return self
