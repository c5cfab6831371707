"""A whole job: every plate with its features, and the hardware between them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from ..spec.job import Job
from .collect import Collector, LayoutError
from .cords import cuts, rings
from .covering import covered_plates
from .face_seals import Sealed, sealed
from .features import Hardware, PlateLayout
from .fitting_seal import fitting_glands
from .flow import coolant_asked, flows_asked
from .gland import Gland
from .hardware import plate_hardware, reservoir_hardware
from .job_layout import JobLayout
from .joints import Ring, joints
from .machine import stances
from .nets import groups
from .placing import bare_plate, placed_plate
from .roles import roles
from .runs import runs
from .seal import TubeSeal, tube_seal
from .stack import TubeStack, tube_stack
from .stands import stands
from .strut_seal import strut_gland

if TYPE_CHECKING:
    from .covered.build import Covered
    from .footprint import Footprint

__all__ = ["LayoutError", "bare_plate", "job_layout"]


@dataclass(frozen=True, slots=True)
class _Placed:
    """What is placed before anything is said of the whole; `bores`: what the seals of plain bores bring, by plate."""

    stacks: dict[str, TubeStack]
    plates: list[PlateLayout]
    over: list[Covered]
    bores: list[Sealed]
    seals: tuple[TubeSeal, ...]


def job_layout(job: Job, prints: tuple[Footprint, ...] = ()) -> JobLayout:
    """Place everything; raises LayoutError with every problem found. `prints`: what mounts of the job stand on it."""
    collect = Collector()
    p = _placed(job, collect)
    there = collect.run((), partial(stances, job, groups(p.plates))) or {}
    tubing = collect.run((), partial(runs, job, p.plates, there)) or ()
    every = (*rings(job, p.plates, p.seals), *(r for c in p.over for r in c.rings), *(r for b in p.bores for r in b.rings))
    if job.cord_reel is not None:
        collect.run((), partial(cuts, every, job.cord_reel))
    collect.require_none()
    return JobLayout(
        job.job, tuple(p.plates), tuple(_hardware(job, p, prints)), {name: loop.tint for name, loop in job.loops.items()},
        tuple(p.stacks.values()), p.seals, every, job.cord_reel, glands=_glands(job, p, every), joints=joints(every),
        plans=tuple(c.plan for c in p.over if c.plan is not None), covers=tuple(j for c in p.over for j in c.joints),
        cover_holds=tuple(h for c in p.over for h in c.holds), flows=flows_asked(job), coolant=coolant_asked(job),
        stands=stands(job), stances=there, runs=tubing, footprints=prints,
    )  # fmt: skip


def _placed(job: Job, collect: Collector) -> _Placed:
    """Plates and seals; raises LayoutError, for what follows needs all of them."""
    stacks = {r.name: tube_stack(r) for r in job.reservoirs}
    stand = roles(job, stacks, collect)
    bare = [placed_plate(job, n, plate, stand.get(n, (True, 0.0)), collect) for n, plate in job.plates.items()]
    over = covered_plates(job, [p for p in bare if p is not None], collect)
    bodies = {c.plates[0].name: c for c in over}
    plates = [q for p in bare if p is not None for q in (bodies[p.name].plates if p.name in bodies else (p,))]
    seals = [collect.run(("reservoirs", i), partial(tube_seal, r, job, stacks[r.name]))
             for i, r in enumerate(job.reservoirs)]  # fmt: skip
    if any(f.stated for f in flows_asked(job)):
        collect.run(("coolant",), coolant_asked(job).fluid)
    collect.require_none()
    bores = [sealed(job, job.plates[p.cover_of or p.name], p) for p in plates]
    return _Placed(stacks, plates, over, bores, tuple(s for s in seals if s is not None))


def _hardware(job: Job, placed: _Placed, prints: tuple[Footprint, ...]) -> list[Hardware]:
    """All bought parts: of reservoirs, of each plate and what is bolted to it, of covers, of plain bores."""
    by_name = {p.name: p for p in placed.plates}
    out: list[Hardware] = []
    for r in job.reservoirs:
        out += reservoir_hardware(r, placed.stacks[r.name], by_name[r.between[0]], by_name[r.between[1]])
    for p in placed.plates:
        out += [*plate_hardware(p), *_screw_parts(p, prints)]
    return [*out, *(h for c in placed.over for h in c.hardware), *(h for b in placed.bores for h in b.hardware)]


def _screw_parts(plate: PlateLayout, prints: tuple[Footprint, ...]) -> list[Hardware]:
    if not prints:
        return []
    from .mount_screws import screw_parts

    return screw_parts(plate, prints)


def _glands(job: Job, placed: _Placed, every: tuple[Ring, ...]) -> tuple[Gland, ...]:
    """Every seal but those of the tubes' ends."""
    struts = [strut_gland(r, job, p, every) for p in placed.plates for r in job.reservoirs if p.name in r.between]
    return (*(g for g in struts if g is not None), *fitting_glands(job, placed.plates),
            *(g for c in placed.over for g in c.glands), *(g for b in placed.bores for g in b.glands))  # fmt: skip
