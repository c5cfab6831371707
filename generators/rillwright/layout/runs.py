"""Tubing from port to port in the whole machine: how long, and at which angle it leaves each port. Lengths in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from .features import Feature, PlateLayout, Vec3
from .geometry import dot, length, sub
from .hardware import in_assembly
from .machine import Stance
from .outline import Impossible

if TYPE_CHECKING:
    from ..spec.job import Job


@dataclass(frozen=True, slots=True)
class Run:
    """One piece of tubing. Angles (degrees) are between a port's way out and the straight line to the other end."""

    start: str  # plate.port
    end: str
    loops: tuple[str, str]
    places: tuple[Vec3, Vec3]  # mouths of the ports, in the machine
    straight: float  # between the fittings' ends
    angles: tuple[float, float]
    between: float  # angle between the two ports' ways out; 180: they face each other


def runs(job: Job, plates: list[PlateLayout], stances: dict[str, Stance]) -> tuple[Run, ...]:
    """Every piece of tubing that the file asks for. Raises Impossible for a port that is not there."""
    found = []
    for i, r in enumerate(job.runs):
        ends = [_mouth(name, plates, stances, ("runs", i, key)) for key, name in (("from", r.start), ("to", r.to))]
        (a, out_a, loop_a), (b, out_b, loop_b) = ends
        tip_a, tip_b = (tuple(p + r.fitting * c for p, c in zip(m, w, strict=True)) for m, w in ((a, out_a), (b, out_b)))
        way = sub(tip_b, tip_a)  # type: ignore[arg-type]
        if length(way) < 1e-6:
            raise Impossible(("runs", i), "its two ends are at one place", "name two ports that stand apart")
        back: Vec3 = (-way[0], -way[1], -way[2])
        found.append(Run(r.start, r.to, (loop_a, loop_b), (a, b), length(way), (_angle(out_a, way), _angle(out_b, back)),
                         _angle(out_a, out_b)))  # fmt: skip
    return tuple(found)


def _mouth(
    name: str, plates: list[PlateLayout], stances: dict[str, Stance], loc: tuple[str | int, ...]
) -> tuple[Vec3, Vec3, str]:
    """Place and way out of a port in the machine, and its loop."""
    ports = {f"{p.name}.{f.name}": (p, f) for p in plates for f in p.features if f.role == "port"}
    if name not in ports:
        raise Impossible(loc, f"there is no port {name!r}", f"give one of {', '.join(ports) or 'none: no plate has ports'}")
    plate, f = ports[name]
    stance = stances.get(plate.name, Stance())
    return stance.place(in_assembly(plate, f.origin)), stance.turn(_way_out(plate, f)), f.loop or ""


def _way_out(plate: PlateLayout, f: Feature) -> Vec3:
    return (-f.axis[0], -f.axis[1], -plate.side * f.axis[2])


def _angle(a: Vec3, b: Vec3) -> float:
    return math.degrees(math.acos(max(-1.0, min(1.0, dot(a, b) / (length(a) * length(b))))))
