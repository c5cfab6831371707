"""The tube stack: which length follows from which, and the gap left for the cord."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from ..spec.reservoir import Reservoir, StepGroove
from .groove_design import ABOVE_FLOOR, propose


@dataclass(frozen=True, slots=True)
class TubeStack:
    """Lengths along one reservoir, mm. Both plates have the same channel and seat."""

    reservoir: str
    loop: str
    channel_depth: float  # to what the cord lies on: the channel's floor, or that of the groove stepped into it
    seat_depth: float
    strut_length: float
    tube_length: float
    cord_diameter: float
    step: float = 0.0  # depth of a groove below the channel's floor

    @property
    def gap(self) -> float:
        """Height left for the cord at each end, mm: (L_s + Σ(c − s) − L_g)/2."""
        return (self.strut_length + 2 * (self.channel_depth - self.seat_depth) - self.tube_length) / 2

    @property
    def squeeze(self) -> float:
        """Nominal squeeze of the cord, 0 to 1; negative when the cord is loose."""
        return 1 - self.gap / self.cord_diameter

    @property
    def faces_apart(self) -> float:
        """Distance between the two seal faces, mm."""
        return self.strut_length - 2 * self.seat_depth


@dataclass(frozen=True, slots=True)
class Step:
    """A groove stepped into a channel's floor, on the middle of the tube's wall, mm."""

    depth: float  # below the channel's floor
    width: float
    inner: float  # radii
    outer: float


@lru_cache(maxsize=128)
def _step(line: float, cord: float, hardness: float, read: float | None, groove: StepGroove | Literal["auto"]) -> Step:
    if groove == "auto":
        wanted = propose(cord, hardness, read)
        depth, width = round(wanted.depth - ABOVE_FLOOR, 3), wanted.width
    else:
        depth, width = groove.depth, groove.width
    return Step(depth, width, line - width / 2, line + width / 2)


def stepped(r: Reservoir) -> Step | None:
    """The groove in the floor of a reservoir's channel, None where its floor is plain.

    One that the program chooses is that of the housing table, scaled to a measured cord, less what the tube's end
    stands above the channel's floor.
    """
    if r.channel.groove is None:
        return None
    line = (r.tube.outside_diameter - r.tube.wall) / 2
    read = r.measured.cord.value if r.measured.cord else None
    return _step(line, r.channel.cord.diameter, r.channel.cord.hardness, read, r.channel.groove)


def tube_stack(r: Reservoir) -> TubeStack:
    """The stack of a reservoir: measured lengths before nominal ones; one left out gives the wanted squeeze."""
    m, s = r.measured, r.channel.depth - r.struts.seat_offset
    step = stepped(r)
    c = r.channel.depth + (step.depth if step else 0.0)
    tube = m.tube_length.value if m.tube_length else r.tube.length
    strut = r.struts.length  # as drawn: the plates of several tubes stand one distance apart
    if strut is None and m.strut_length:
        strut = m.strut_length.value
    cord = m.cord.value if m.cord else r.channel.cord.diameter
    floors = sum(m.channel_depth[p].value if p in m.channel_depth else c for p in r.between)
    seats = sum(m.seat_depth[p].value if p in m.seat_depth else s for p in r.between)
    spare = floors - seats - 2 * cord * (1 - r.channel.cord.squeeze / 100)
    if strut is None:
        assert tube is not None
        strut = tube - spare
    elif tube is None:
        tube = strut + spare
    return TubeStack(r.name, r.loop, c, s, strut, tube, cord, step.depth if step else 0.0)
