"""The root of a parameter file."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal

from pydantic import Field, model_validator

from .base import Part
from .buying import Buying
from .drawing import Drawing
from .machine import Machine, Waiver
from .plate import Plate
from .quantity import (
    Angle,
    Flow,
    FlowRate,
    Length,
    Name,
    NonNegativeLength,
    Percent,
    PositiveLength,
    Pressure,
    ReelLength,
    Temperature,
)  # fmt: skip
from .reservoir import Reservoir
from .tolerances import Temperatures, Tolerances

Tint = Literal["amber", "teal", "violet", "rose", "lime", "sky", "slate", "coral"]


class Coolant(Part):
    """What runs in the loops."""

    mix: Literal["water", "propylene glycol", "ethylene glycol"] = "water"
    by_volume: Percent = Field(0, description="Glycol by volume, per cent.")
    temperature: Temperature = Field(35, description="°C.")
    pressure: Annotated[Pressure, Field(ge=0, le=10)] = Field(
        0.5, description="Highest gauge pressure, tests included, bar; published advice caps air at 0.5."
    )
    density: Annotated[float, Field(ge=500, le=3000)] | None = Field(
        None, description="Measured, kg/m³, with viscosity: instead of published values of the mix."
    )
    viscosity: Annotated[float, Field(ge=0.05, le=1000)] | None = Field(
        None, description="Measured at the temperature, mPa·s."
    )

    @model_validator(mode="after")
    def _both_or_none(self) -> Coolant:
        if (self.density is None) != (self.viscosity is None):
            raise ValueError("give density and viscosity together, or neither")
        return self


class Loop(Part):
    """One closed coolant circuit."""

    tint: Tint = "teal"
    flow: FlowRate | None = Field(None, description="Flow that the loop is asked at, L/min.")
    pump: Annotated[list[tuple[Flow, Pressure]], Field(min_length=2, max_length=50)] | None = Field(
        None, description="The pump's curve as points [flow in L/min, pressure in bar], the flow rising."
    )
    outside: Annotated[list[tuple[Flow, Pressure]], Field(min_length=2, max_length=50)] | None = Field(
        None, description="What radiator, blocks and tubing lose, as points [flow in L/min, pressure in bar]."
    )

    @model_validator(mode="after")
    def _curves_rise(self) -> Loop:
        for name, points, up in (("pump", self.pump, False), ("outside", self.outside, True)):
            for (q0, p0), (q1, p1) in pairwise(points or []):
                if q1 <= q0 or (p1 < p0 if up else p1 > p0):
                    raise ValueError(
                        f"{name}: the flow must rise from point to point and the pressure "
                        f"{'not fall' if up else 'not rise'}; [{q1:g}, {p1:g}] comes after [{q0:g}, {p0:g}]"
                    )
        return self


class Orientation(Part):
    """One way in which the whole assembly stands while it works, is filled, bled or drained."""

    name: Name
    up: tuple[Annotated[float, Field(ge=-1000, le=1000)], Annotated[float, Field(ge=-1000, le=1000)],
              Annotated[float, Field(ge=-1000, le=1000)]] = Field(
        description="The direction that then points up, in the frame of the standing machine: [0, 0, 1] upright, "
        "[0, 1, 0] laid on its front, [0.26, 0, 0.97] tilted by 15° to the left."
    )  # fmt: skip

    @model_validator(mode="after")
    def _some_direction(self) -> Orientation:
        if sum(c * c for c in self.up) < 1e-6:
            raise ValueError("up must point somewhere; [0, 0, 1] is upright")
        return self


PortName = Annotated[str, Field(pattern=r"^[a-z][a-z0-9-]*\.[a-z][a-z0-9.-]*$")]


class Place(Part):
    """Where an assembly stands in the whole machine."""

    at: tuple[Length, Length, Length] = Field((0, 0, 0), description="Where its origin comes to stand [x, y, z], mm.")
    turn: tuple[Angle, Angle, Angle] = Field(
        (0, 0, 0), description="Turned before that about the machine's x, then its y, then its z axis, degrees."
    )


class TubeRun(Part):
    """Tubing from port to port, to be listed with its length."""

    start: PortName = Field(alias="from", description="PLATE.PORT")
    to: PortName = Field(description="PLATE.PORT")
    fitting: NonNegativeLength = Field(0, description="How far the fitting at each end keeps the tubing off the port, mm.")


class Limits(Part):
    """What the checks ask for, mm unless said. Each default names its source in `rillwright.checks.rules`."""

    wall_wet: NonNegativeLength = Field(3, description="Between voids of different loops, or wet and dry voids.")
    wall_same: NonNegativeLength = Field(2, description="Between voids of one loop that are not meant to meet.")
    wall_outside: NonNegativeLength = Field(3, description="Between a wet void and the outside.")
    wall_light: NonNegativeLength = Field(5, description="Between a slot for light and anything wet.")
    wall_dry: NonNegativeLength = Field(1.5, description="Between two dry voids.")
    edge_distance: PositiveLength = Field(1.0, description="Hole centre to plate edge, times the hole diameter.")
    under_countersink: NonNegativeLength = Field(2, description="Material under a countersink.")
    engagement: PositiveLength | None = Field(None, description="Screw in the strut, mm. Left out: by material.")
    port_thread: PositiveLength | None = Field(None, description="Full thread in a port, mm. Left out: by material.")
    apart: NonNegativeLength = Field(0, description="Between parts of two assemblies that stand in one machine.")
    spanner: NonNegativeLength = Field(3, description="From a fitting's flange to the next, or to a head or washer.")
    drill_ratio: PositiveLength = Field(20, description="Drill length over diameter.")
    lip: NonNegativeLength = Field(0.4, description="Between a spotface and the next face.")
    tip_clearance: NonNegativeLength = Field(1, description="Screw tip to the end of the full thread.")
    squeeze_low: NonNegativeLength = Field(20, description="Smallest nominal squeeze of a cord, per cent.")
    squeeze_high: NonNegativeLength = Field(30, description="Largest nominal squeeze of a cord, per cent.")
    squeeze_seals: NonNegativeLength = Field(5, description="Squeeze below which a cord may not seal, per cent.")
    squeeze_bears: NonNegativeLength = Field(45, description="Squeeze above which a cord is overloaded, per cent.")
    squeeze_settled: NonNegativeLength = Field(3, description="The same once the cord has set for years, per cent.")
    fill: PositiveLength = Field(85, description="Largest share of its gland that a cord may fill, per cent.")
    velocity: PositiveLength = Field(2.5, description="Fastest coolant in a passage at the stated flow, m/s.")
    trapped: NonNegativeLength = Field(1, description="Largest pocket of air that may stay in a loop at work, mL.")
    drop: PositiveLength = Field(0.3, description="Largest pressure loss of a loop in its plates at the stated flow, bar.")
    land: NonNegativeLength = Field(0.5, description="Flat left between a groove or tube channel and the next opening.")
    separation: PositiveLength = Field(1.5, description="Preload of a strut screw over what parts the plates there.")


class Output(Part):
    """How the files are written."""

    deflection: Annotated[PositiveLength, Field(ge=0.001, le=1)] = Field(
        0.02,
        description="Largest distance of the STL from the solid, mm; up to 1.6 times this where two bores meet (measured).",
    )


class Job(Part):
    """One parameter file: everything that is built and proved together."""

    job: Name
    coolant: Coolant = Coolant.model_construct()
    loops: Annotated[dict[Name, Loop], Field(max_length=50)] = {}
    reservoirs: Annotated[list[Reservoir], Field(max_length=50)] = []
    plates: Annotated[dict[Name, Plate], Field(min_length=1, max_length=50)]
    cord_reel: ReelLength | None = Field(
        None, description="Length of cord on a reel, mm: `cord-cuts.csv` then tells where each ring is cut from."
    )
    tolerances: Tolerances = Field(
        Tolerances.model_construct(), description="For all reservoirs that do not give their own."
    )
    temperatures: Temperatures = Temperatures.model_construct()
    orientations: Annotated[list[Orientation], Field(min_length=1, max_length=12)] = Field(
        default=[Orientation.model_construct(name="upright", up=(0.0, 0.0, 1.0))],
        description="How the assembly stands: at work first, then as it is filled, bled or drained.",
    )
    limits: Limits = Limits.model_construct()
    machine: Machine = Machine.model_construct()
    place: Annotated[dict[Name, Place], Field(max_length=50)] = Field(
        {}, description="By plate: where its assembly stands in the machine. Left out: where it was built, at the origin."
    )
    buying: Buying = Field(Buying.model_construct(), description="Sheets as they are sold, and prices.")
    runs: Annotated[list[TubeRun], Field(max_length=200)] = Field([], description="Tubing between ports.")
    waivers: Annotated[list[Waiver], Field(max_length=200)] = []
    output: Output = Output.model_construct()
    drawing: Drawing = Drawing.model_construct()
