"""Reservoirs: a glass tube clamped between two plates by struts, sealed by a cord at each end.

Defaults without a named source are common practice, no source.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from .base import Part
from .quantity import Angle, Length, Name, NonNegativeLength, Percent, PositiveLength
from .tolerances import Measured, Tolerances

MetricSize = Literal["M3", "M4", "M5", "M6", "M8"]
HeadStandard = Literal["ISO 10642", "DIN 7991"]
TubeMaterial = Literal["borosilicate-3.3", "pmma-cast", "pmma-extruded", "pc"]
StrutMaterial = Literal["aluminium-6082-t6", "stainless-a2-70", "steel-8.8"]


class Tube(Part):
    """The glass tube, plain ends."""

    material: TubeMaterial = "borosilicate-3.3"
    outside_diameter: PositiveLength = Field(60, description="Outside diameter, mm.")
    wall: PositiveLength = Field(5, description="Wall of the tube, mm.")
    length: PositiveLength | None = Field(
        None, description="Length, mm. Left out: computed from the strut length for the wanted squeeze."
    )

    @model_validator(mode="after")
    def _has_a_bore(self) -> Tube:
        if 2 * self.wall >= self.outside_diameter:
            raise ValueError(
                f"a wall of {self.wall:g} mm leaves no bore in a tube of {self.outside_diameter:g} mm; "
                "give a wall less than half the outside diameter"
            )
        return self


class CordStock(Part):
    """O-ring cord as it is bought."""

    diameter: Annotated[PositiveLength, Field(le=10)] = Field(2, description="Cord diameter, mm.")
    material: Literal["epdm", "fkm", "nbr", "vmq"] = "epdm"
    hardness: Annotated[float, Field(ge=30, le=95)] = Field(70, description="Shore A.")
    tolerance: Literal["E1", "E2", "E3"] = Field("E2", description="Class of ISO 3302-1 for extruded cord.")
    compression_set: Percent | None = Field(
        None,
        description="By data sheet (ISO 815-1, 24 h at 100 °C; fkm and vmq at 150 °C), per cent. Left out: by material.",
    )


class Cord(CordStock):
    """The O-ring cord under each tube end."""

    squeeze: Annotated[float, Field(ge=5, le=40)] = Field(
        25, description="Wanted squeeze in per cent; used where a tube or strut length is left out."
    )


class StepGroove(Part):
    """A groove stepped into the floor of a tube channel: it keeps the cord on the middle of the tube's wall."""

    depth: PositiveLength = Field(description="Below the channel's floor, mm.")
    width: PositiveLength = Field(description="Width, mm.")


class TubeChannel(Part):
    """The ring-shaped pocket in each plate's seal face that takes the tube's end."""

    depth: PositiveLength = Field(6, description="Depth from the seal face, mm.")
    wall: NonNegativeLength = Field(6, description="Smallest wall wanted round the channel, mm.")
    clearance_outside: NonNegativeLength = Field(0.25, description="Gap outside the tube, per side, mm.")
    clearance_inside: NonNegativeLength = Field(0.25, description="Gap inside the tube, per side, mm.")
    cord: Cord = Cord.model_construct()
    groove: StepGroove | Literal["auto"] | None = Field(
        None,
        description="Groove in the channel's floor that keeps the cord in the middle; auto: by the table of grooves, "
        "scaled to a measured cord, the tube's end 0.3 mm above the floor. Left out: a plain floor.",
    )


class StrutScrew(Part):
    """The countersunk screw that pulls a strut home from the outer face."""

    head: HeadStandard = "ISO 10642"
    length: PositiveLength | None = Field(
        None, description="Screw length, head included, mm. Left out: chosen from the standard lengths."
    )
    counterbore: NonNegativeLength | Literal["auto"] = Field(
        0, description="Depth of a counterbore above the countersink, mm, or auto: as deep as the length needs."
    )
    below_face: NonNegativeLength = Field(0, description="How far the largest head lies below the face, mm.")
    fit: Literal["fine", "medium", "coarse"] = "medium"


class StrutSeal(Part):
    """A cord in a groove in each seat, round the screw's hole, squeezed by the strut's end."""

    cord: CordStock = CordStock.model_construct()
    ring_inside: PositiveLength | None = Field(
        None, description="A moulded ring instead of bonded cord: its inside diameter, mm; cord.diameter is its section."
    )


class Struts(Part):
    """Rods threaded at both ends that set the distance of the plates."""

    count: Annotated[int, Field(ge=2, le=24)] = 3
    pitch_circle: PositiveLength | None = Field(
        None, description="Pitch circle diameter, mm. Left out: 6 mm of wall between seat and tube channel."
    )
    start_angle: Angle = Field(90, description="Angle of the first strut from +x, counter-clockwise, degrees.")
    diameter: PositiveLength = Field(10, description="Strut diameter, mm.")
    length: PositiveLength | None = Field(
        None, description="Length, mm. Left out: computed from the tube length for the wanted squeeze."
    )
    thread: MetricSize = "M4"
    thread_depth: PositiveLength = Field(12, description="Full thread in each end of the strut, mm.")
    material: StrutMaterial = "aluminium-6082-t6"
    seat_offset: Length = Field(3, description="How far the seat lies above the channel floor, mm.")
    clearance: NonNegativeLength = Field(0.1, description="Gap round the strut in its seat, per side, mm.")
    place: Literal["outside", "inside"] = Field("outside", description="Outside or inside the tube.")
    screw: StrutScrew = StrutScrew.model_construct()
    seal: StrutSeal | None = Field(
        None, description="Seal under each strut end. Struts inside the tube leak along their screws without one."
    )

    @model_validator(mode="after")
    def _seal_is_needed(self) -> Struts:
        if self.seal is not None and self.place == "outside":
            raise ValueError("struts outside the tube meet no coolant; leave seal out, or give place: inside")
        return self


class Reservoir(Part):
    """One clamped tube; this one block drives both plates."""

    name: Name
    loop: Name
    between: tuple[Name, Name] = Field(("upper", "lower"), description="Upper plate, then lower plate.")
    at: tuple[Length, Length] = Field(description="Centre, [x, y] in mm, seen from above, for both plates.")
    tube: Tube = Tube.model_construct()
    channel: TubeChannel = TubeChannel.model_construct()
    struts: Struts = Struts.model_construct()
    tolerances: Tolerances = Tolerances.model_construct()
    measured: Measured = Measured.model_construct()

    @model_validator(mode="after")
    def _stack_is_known(self) -> Reservoir:
        m = self.measured
        if not any((self.tube.length, self.struts.length, m.tube_length, m.strut_length)):
            raise ValueError("give tube.length or struts.length (or both): one of them follows from the other")
        if self.between[0] == self.between[1]:
            raise ValueError("a tube stands between two different plates; name the upper one, then the lower one")
        strange = sorted({*m.channel_depth, *m.seat_depth} - {*self.between})
        if strange:
            raise ValueError(
                f"{strange[0]!r} under measured is neither of this tube's plates; "
                f"write {self.between[0]!r} or {self.between[1]!r}"
            )
        if not self.channel.depth - self.struts.seat_offset > 0:
            raise ValueError(
                f"a seat {self.struts.seat_offset:g} mm above a channel floor {self.channel.depth:g} mm deep "
                "is above the seal face; give a smaller struts.seat_offset or a deeper channel"
            )
        return self
