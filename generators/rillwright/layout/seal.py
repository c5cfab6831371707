"""What seals each tube: every length that sets its squeeze, with tolerance and where that comes from. Lengths in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from ..physics.stack import Expansions
from ..physics.tolerance import Dimension
from ..spec.job import Job
from ..spec.reservoir import Reservoir
from ..spec.tolerances import Reading
from ..standards import glands, materials
from .outline import Impossible
from .reservoir import SEAL_TOLERANCE, channel_radii
from .settling import compression_set
from .stack import TubeStack, stepped
from .toleranced import PRACTICE, Toleranced, default
from .warmth import temperatures

TUBE_LENGTH = 0.2  # ± mm, ends cut and ground; common practice, no source
STRUT_LENGTH = 0.1  # ± mm, ends faced on a lathe; common practice, no source
CHANNEL_WIDTH = 0.1  # ± mm, milled; common practice, no source
GROOVE_WIDTH = "groove width"
OUTSIDE = ((28.0, 0.25), (32.0, 0.35))  # ± mm of a tube's outside diameter up to this; tube makers' table


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
    joint_angle: float  # about the tube's middle from +x, counter-clockwise, 0 to 360
    joint_at: str  # the strut whose screw the joint lies beside
    pressure: float  # highest gauge pressure, MPa
    tube_material: str
    strut_material: str
    cord_bought: float  # nominal diameter of the cord, whatever was measured
    settles: Toleranced  # compression set at the end of the wanted life, fraction
    gaps: tuple[tuple[Toleranced, float], ...]  # what adds up (+1) or takes away (-1) to the extrusion gap
    bed: tuple[float, float]  # inner and outer radius of what the cord lies in: the channel, or the groove in its floor
    step: float  # depth of that groove below the channel's floor; 0 for a plain floor

    @property
    def width(self) -> str:
        """Name of the length that the cord gives way in."""
        return GROOVE_WIDTH if self.step else "channel width"

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
    warm = temperatures(job)
    return TubeSeal(
        r.name, r.loop, r.between, tuple(_lengths(r, job, stack)), _expansions(r, job), warm,
        r.channel.cord.material, r.channel.cord.hardness, r.tube.outside_diameter, r.tube.wall, channel_radii(r), line,
        (x + line * math.cos(turn), y + line * math.sin(turn)), math.degrees(turn) % 360,
        f"{r.name}.strut-1", job.coolant.pressure / 10,
        r.tube.material, r.struts.material, r.channel.cord.diameter,
        compression_set(r.channel.cord, job, warm[1][1]), _above_floor(r, job, stack) if stack.step else _gaps(r),
        _bed(r), stack.step,
    )  # fmt: skip


def _bed(r: Reservoir) -> tuple[float, float]:
    step = stepped(r)
    return channel_radii(r) if step is None else (step.inner, step.outer)


def _above_floor(r: Reservoir, job: Job, stack: TubeStack) -> tuple[tuple[Toleranced, float], ...]:
    """What the tube's end stands above the channel's floor over a stepped groove: there pressure pushes the cord to."""
    by_name = {t.dimension.name: t for t in _lengths(r, job, stack)}
    floors = [default(f"{w} channel floor", r.channel.depth, SEAL_TOLERANCE, SEAL_TOLERANCE, "our choice for a router")
              for w in ("upper", "lower")]  # fmt: skip
    return (
        (by_name["strut length"], 0.5), (by_name["tube length"], -0.5), *((f, 0.5) for f in floors),
        (by_name["upper seat depth"], -0.5), (by_name["lower seat depth"], -0.5),
    )  # fmt: skip


def _gaps(r: Reservoir) -> tuple[tuple[Toleranced, float], ...]:
    """Channel's and tube's outside diameter: between them is the gap that pressure pushes the cord into."""
    outside, off = r.tube.outside_diameter, tube_tolerance(r.tube.outside_diameter)
    wide = default("channel outside", 2 * channel_radii(r)[1], CHANNEL_WIDTH, CHANNEL_WIDTH, PRACTICE)
    source = "borosilicate tube, tube makers" if outside <= OUTSIDE[-1][0] else "as for the largest tube that was seen"
    read = r.measured.tube_outside
    tube = default("tube outside", outside, off, off, source) if read is None else _measured(
        "tube outside", read, "tube_outside"
    )
    return (wide, 1.0), (tube, -1.0)


def tube_tolerance(outside: float) -> float:
    """± of a borosilicate tube's outside diameter, mm. Source: tube makers' table up to 32 mm; wider ones as that."""
    return next((off for up_to, off in OUTSIDE if outside <= up_to), OUTSIDE[-1][1])


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
    inner, outer = _bed(r)
    wide = _length(r, job, "channel width", outer - inner, None, CHANNEL_WIDTH)
    if stack.step:
        wide = replace(wide, dimension=replace(wide.dimension, name=GROOVE_WIDTH))
    return [*out, wide]


def _length(
    r: Reservoir, job: Job, name: str, nominal: float, read: Reading | None, usual: float, plate: str = ""
) -> Toleranced:
    field = "_".join(name.removeprefix("upper ").removeprefix("lower ").split())
    key = f"{field}.{plate}" if plate else field
    if read is not None:
        return _measured(name, read, key)
    stated = _stated(r, job, field, nominal)
    if stated is not None:
        return Toleranced(Dimension(name, nominal, stated, stated), "stated", "the parameter file", key)
    source = "our choice for a router" if plate else PRACTICE
    return Toleranced(Dimension(name, nominal, usual, usual), "default", source, key)


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
