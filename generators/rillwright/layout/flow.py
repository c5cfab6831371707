"""What the file asks of the flow: which loops, at what flow, through which ports, with what pump. Flows in L/min."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ..physics import coolant
from ..physics.coolant import Fluid, Mix
from .outline import Impossible

if TYPE_CHECKING:
    from ..spec.job import Job
    from ..spec.plate import Port

Curve = tuple[tuple[float, float], ...]  # points of flow (L/min) and pressure (bar)
USUAL = 4.0  # L/min, asked of a loop that states none; our choice


@dataclass(frozen=True, slots=True)
class CoolantAsked:
    """The coolant as the file has it: glycol by volume in per cent, °C; kg/m³ and mPa·s where they were measured."""

    mix: Mix
    by_volume: float
    temperature: float
    density: float | None = None
    viscosity: float | None = None

    def fluid(self) -> Fluid:
        """Its properties. Raises Impossible where published data does not reach."""
        if self.density is not None and self.viscosity is not None:
            return coolant.given(self.density, self.viscosity / 1000)
        try:
            return coolant.coolant(self.mix, coolant.mass_share(self.mix, self.by_volume), self.temperature)
        except ValueError as e:
            raise Impossible((), str(e), "mend mix, by_volume or temperature, or give density and viscosity") from e


@dataclass(frozen=True, slots=True)
class FlowAsked:
    """One loop's flow. `stated`: the file gives it, or a pump; else it is only told, not judged."""

    loop: str
    rate: float  # L/min
    stated: bool
    ports: tuple[tuple[str, str], ...]  # plate.port -> in, out or shut, where the file says
    pump: Curve | None = None
    outside: Curve | None = None
    by_pump: bool = False  # no flow is given: it is what the pump makes of it, `rate` only a first guess

    def ends(self, names: Sequence[str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Of an assembly's mouths those where coolant comes in and where it leaves; empty where that is not known."""
        told = {n: way for n, way in self.ports if n in names}
        into, out = (tuple(n for n in names if told.get(n) == way) for way in ("in", "out"))
        if told:
            left = [n for n in names if n not in told]
            if len(left) == 1 and bool(into) != bool(out):
                return (into, tuple(left)) if into else (tuple(left), out)
            return into, out
        return ((names[0],), (names[1],)) if len(names) == 2 else ((), ())


def flows_asked(job: Job) -> tuple[FlowAsked, ...]:
    """One for each loop of a job."""
    told = tuple((_standing(name, p), p.flow) for name, plate in job.plates.items() for p in plate.ports if p.flow)
    return tuple(
        FlowAsked(
            name, loop.flow or USUAL, loop.flow is not None or loop.pump is not None, told,
            tuple(loop.pump) if loop.pump else None, tuple(loop.outside) if loop.outside else None,
            loop.flow is None and loop.pump is not None,
        )
        for name, loop in job.loops.items()
    )  # fmt: skip


def _standing(plate: str, port: Port) -> str:
    """Name of a port with that of the plate it is cut into: one in a cover is the cover's."""
    return f"{plate}-{port.on}.{port.name}" if port.on in ("cover", "outer-cover") else f"{plate}.{port.name}"


def coolant_asked(job: Job) -> CoolantAsked:
    """The coolant of a job."""
    c = job.coolant
    return CoolantAsked(c.mix, c.by_volume, c.temperature, c.density, c.viscosity)
