"""What seals each tube: every length that sets its squeeze, with tolerance and where that comes from. Lengths in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from ..physics.stack import Expansions
from ..physics.tolerance import Dimension
from ..spec.job import Job
from ..spec.reservoir import Reservoir
from ..spec.tolerances import Reading
from ..standards import glands, materials
from .outline import Impossible
from .reservoir import SEAL_TOLERANCE, channel_radii
from .stack import TubeStack

Origin = Literal["measured", "stated", "class", "default"]
REFERENCE = 20.0  # °C at which lengths hold, ISO 1
HOTTEST = 50.0  # °C where the job gives none; our choice, no source
TUBE_LENGTH = 0.2  # ± mm, ends cut and ground; common practice, no source
STRUT_LENGTH = 0.1  # ± mm, ends faced on a lathe; common practice, no source
CHANNEL_WIDTH = 0.1  # ± mm, milled; common practice, no source
PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Toleranced:
    """One length of a chain, where its tolerance comes from, and the key that would state or measure it."""

    dimension: Dimension
    origin: Origin
    source: str
    key: str

    @property
    def known(self) -> bool:
        """Whether the user stands for the tolerance, by a figure or a measurement."""
        return self.origin in ("measured", "stated")


@dataclass(frozen=True, slots=True)
class TubeSeal:
    """The two cords of one tube, which are alike. Angles and places in the frame of the plates seen from above."""

    reservoir: str
    loop: str
    plates: tuple[str, str]  # upper, lower
    lengths: tuple[Toleranced, ...]
    expansions: Expansions
    temperatures: tuple[tuple[str, float], ...]  # name, °C: filling, hottest, coldest
    cord_material: str
    hardness: float  # Shore A
    tube_outside: float
    tube_wall: float
    channel: tuple[float, float]  # inner and outer radius
    line_radius: float  # of the cord's centre line: the middle of the tube's wall
    joint: tuple[float, float]
    joint_at: str  # the strut whose screw the joint lies beside
    pressure: float  # highest gauge pressure, MPa
    tube_material: str
    strut_material: str
    cord_bought: float  # nominal diameter of the cord, whatever was measured

    @property
    def dimensions(self) -> tuple[Dimension, ...]:
        return tuple(t.dimension for t in self.lengths)

    def nominal(self, name: str) -> float:
        """A nominal (or measured) length by name, mm."""
        return next(t.dimension.nominal for t in self.lengths if t.dimension.name == name)


def tube_seal(r: Reservoir, job: Job, stack: TubeStack) -> TubeSeal:
    """What seals the tube of one reservoir at both ends; raises Impossible for a tolerance that makes no sense."""
    x, y = r.at
    line = (r.tube.outside_diameter - r.tube.wall) / 2
    turn = math.radians(r.struts.start_angle)
    t = job.temperatures
    hottest = max(HOTTEST, job.coolant.temperature) if t.hottest is None else t.hottest
    return TubeSeal(
        r.name, r.loop, r.between, tuple(_lengths(r, job, stack)), _expansions(r, job),
        (("filling", float(t.filling)), ("hottest", float(max(hottest, t.filling))), ("coldest", float(t.coldest))),
        r.channel.cord.material, r.channel.cord.hardness, r.tube.outside_diameter, r.tube.wall, channel_radii(r), line,
        (x + line * math.cos(turn), y + line * math.sin(turn)), f"{r.name}.strut-1", job.coolant.pressure / 10,
        r.tube.material, r.struts.material, r.channel.cord.diameter,
    )  # fmt: skip


def _expansions(r: Reservoir, job: Job) -> Expansions:
    names = (r.struts.material, *(job.plates[p].stock.material for p in r.between), r.tube.material,
             r.channel.cord.material)  # fmt: skip
    return Expansions(*(materials.material(n).expansion * 1e-6 for n in names))


def _lengths(r: Reservoir, job: Job, stack: TubeStack) -> list[Toleranced]:
    m = r.measured
    out = [_cord(r, job), _length(r, job, "tube length", stack.tube_length, m.tube_length, TUBE_LENGTH),
           _length(r, job, "strut length", stack.strut_length, m.strut_length, STRUT_LENGTH)]  # fmt: skip
    for word, plate in zip(("upper", "lower"), r.between, strict=True):
        depths = (("channel depth", stack.channel_depth, m.channel_depth), ("seat depth", stack.seat_depth, m.seat_depth))
        for what, nominal, read in depths:
            out.append(_length(r, job, f"{word} {what}", nominal, read.get(plate), SEAL_TOLERANCE, plate))
    inner, outer = channel_radii(r)
    out.append(_length(r, job, "channel width", outer - inner, None, CHANNEL_WIDTH))
    return out


def _length(
    r: Reservoir, job: Job, name: str, nominal: float, read: Reading | None, default: float, plate: str = ""
) -> Toleranced:
    field = "_".join(name.removeprefix("upper ").removeprefix("lower ").split())
    key = f"{field}.{plate}" if plate else field
    if read is not None:
        return _measured(name, read, key)
    stated = _stated(r, job, field, nominal)
    if stated is not None:
        return Toleranced(Dimension(name, nominal, stated, stated), "stated", "the parameter file", key)
    source = "our choice for a router" if plate else PRACTICE
    return Toleranced(Dimension(name, nominal, default, default), "default", source, key)


def _cord(r: Reservoir, job: Job) -> Toleranced:
    cord = r.channel.cord
    if r.measured.cord is not None:
        return _measured("cord", r.measured.cord, "cord")
    stated = _stated(r, job, "cord", cord.diameter)
    if stated is not None:
        return Toleranced(Dimension("cord", cord.diameter, stated, stated), "stated", "the parameter file", "cord")
    off = glands.cord_tolerance(cord.diameter, cord.tolerance)
    return Toleranced(Dimension("cord", cord.diameter, off, off), "class", f"ISO 3302-1 class {cord.tolerance}", "cord")


def _measured(name: str, read: Reading, key: str) -> Toleranced:
    # All that a reading tells is that the length lies within the gauge: uniform, ISO/IEC Guide 98-3, 4.3.7.
    dimension = Dimension(name, read.value, read.gauge, read.gauge, "uniform")
    return Toleranced(dimension, "measured", "the parameter file", key)


def _stated(r: Reservoir, job: Job, field: str, nominal: float) -> float | None:
    """± that the file states, mm; raises Impossible where it leaves nothing of the length."""
    own: float | None = getattr(r.tolerances, field)
    every: float | None = getattr(job.tolerances, field)
    stated = every if own is None else own
    if stated is not None and stated >= nominal:
        loc = ("tolerances", field)
        raise Impossible(loc, f"± {stated:g} mm leaves nothing of {nominal:g} mm", "give the ± of this length, in mm")
    return stated
