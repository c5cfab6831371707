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
    """The stack of a reservoir: measured lengths before nominal ones; one left out gives the wanted squeeze."""
    m, c = r.measured, r.channel.depth
    s = c - r.struts.seat_offset
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
    return TubeStack(r.name, r.loop, c, s, strut, tube, cord)
