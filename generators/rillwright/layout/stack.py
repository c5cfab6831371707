"""The tube stack: which length follows from which, and the gap left for the cord."""

from __future__ import annotations

from dataclasses import dataclass

from ..spec.reservoir import Reservoir


@dataclass(frozen=True, slots=True)
class TubeStack:
    """Lengths along one reservoir, mm. Both plates have the same channel and seat."""

    reservoir: str
    loop: str
    channel_depth: float
    seat_depth: float
    strut_length: float
    tube_length: float
    cord_diameter: float

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


def tube_stack(r: Reservoir) -> TubeStack:
    """The stack of a reservoir; the length that was left out is the one that gives the wanted squeeze."""
    c, cord = r.channel.depth, r.channel.cord
    s = c - r.struts.seat_offset
    spare = 2 * (c - s) - 2 * cord.diameter * (1 - cord.squeeze / 100)
    tube, strut = r.tube.length, r.struts.length
    if strut is None:
        assert tube is not None
        strut = tube - spare
    elif tube is None:
        tube = strut + spare
    return TubeStack(r.name, r.loop, c, s, strut, tube, cord.diameter)
