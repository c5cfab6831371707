"""A whole job: every plate with its features, and the hardware between them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, TypeVar

from ..spec.job import Job
from ..spec.plate import Plate, Port
from ..spec.reservoir import Reservoir
from .cords import cuts, rings
from .edge_break import require_edge_break
from .face_seals import grooves, sealed, with_grooves
from .features import Cut, Feature, Hardware, Outline, PlateLayout
from .fitting_seal import fitting_glands
from .flow import coolant_asked, flows_asked
from .gland import Gland
from .hardware import plate_hardware, reservoir_hardware
from .holes import hole_features
from .job_layout import JobLayout
from .joints import Ring, joints
from .load_spans import spans
from .machine import stances
from .nets import groups
from .outline import Impossible, Loc, outline, require_on_plate
from .passages import Faces, drilling_features, port_feature
from .pockets import Pocket
from .reservoir import reservoir_features
from .runs import runs
from .seal import tube_seal
from .stack import TubeStack, tube_stack
from .stands import stands
from .strut_seal import strut_gland

if TYPE_CHECKING:
    from .covered.build import Covered
    from .footprint import Footprint

T = TypeVar("T")


def _as_body_port(port: Port, plate: Plate) -> Port:
    if not plate.channels:
        return port
    from .covered.ends import as_body_port  # with much that only covered plates need

    return as_body_port(port, plate)


def _screw_parts(plate: PlateLayout, prints: tuple[Footprint, ...]) -> list[Hardware]:
    if not prints:
        return []
    from .mount_screws import screw_parts

    return screw_parts(plate, prints)


class LayoutError(Exception):
    """All that cannot be placed: key path, what is wrong, what to do."""

    def __init__(self, problems: list[Impossible]) -> None:
        super().__init__("; ".join(str(p) for p in problems))
        self.problems = problems


class _Collector:
    """Runs placing steps and keeps what is impossible, so that the user sees all of it at once."""

    def __init__(self) -> None:
        self.problems: list[Impossible] = []

    def run(self, loc: Loc, step: Callable[[], T]) -> T | None:
        try:
            return step()
        except Impossible as e:
            full = e.loc if e.loc[: len(loc)] == loc else (*loc, *e.loc)
            self.problems.append(Impossible(full, e.what, e.do))
            return None


def job_layout(job: Job, prints: tuple[Footprint, ...] = ()) -> JobLayout:
    """Place everything; raises LayoutError with every problem found. `prints`: what mounts of the job stand on it."""
    collect = _Collector()
    stacks = {r.name: tube_stack(r) for r in job.reservoirs}
    roles = _roles(job, stacks, collect)
    placed = [_plate(job, name, plate, roles.get(name, (True, 0.0)), collect) for name, plate in job.plates.items()]
    over = [c for p, (name, plate) in zip(placed, job.plates.items(), strict=True) if p is not None
            and (c := _covered(job, name, plate, p, collect)) is not None]  # fmt: skip
    over = [_sealed_covers(job, c, collect) for c in over]
    bodies = {c.plates[0].name: c for c in over}
    plates = [q for p in placed if p is not None for q in (bodies[p.name].plates if p.name in bodies else (p,))]
    read = [
        collect.run(("reservoirs", i), partial(tube_seal, r, job, stacks[r.name]))
        for i, r in enumerate(job.reservoirs)
    ]
    if any(f.stated for f in flows_asked(job)):
        collect.run(("coolant",), coolant_asked(job).fluid)
    if collect.problems:
        raise LayoutError(collect.problems)
    by_name = {p.name: p for p in plates}
    hardware: list[Hardware] = []
    for r in job.reservoirs:
        hardware += reservoir_hardware(r, stacks[r.name], by_name[r.between[0]], by_name[r.between[1]])
    for p in by_name.values():
        hardware += plate_hardware(p)
        hardware += _screw_parts(p, prints)
    hardware += [h for c in over for h in c.hardware]
    bores = [sealed(job, job.plates[p.cover_of or p.name], p) for p in by_name.values()]
    hardware += [h for b in bores for h in b.hardware]
    there = collect.run((), partial(stances, job, groups(list(by_name.values())))) or {}
    tubing = collect.run((), partial(runs, job, list(by_name.values()), there)) or ()
    if collect.problems:
        raise LayoutError(collect.problems)
    tints: dict[str, str] = {name: loop.tint for name, loop in job.loops.items()}
    seals = tuple(s for s in read if s is not None)
    every = (*rings(job, by_name.values(), seals), *(r for c in over for r in c.rings),
             *(r for b in bores for r in b.rings))  # fmt: skip
    if job.cord_reel is not None and collect.run((), partial(cuts, every, job.cord_reel)) is None:
        raise LayoutError(collect.problems)
    return JobLayout(
        job.job, tuple(by_name.values()), tuple(hardware), tints, tuple(stacks.values()), seals, every, job.cord_reel,
        glands=(*_glands(job, list(by_name.values()), every), *(g for c in over for g in c.glands),
                *(g for b in bores for g in b.glands)),
        joints=joints(every), plans=tuple(c.plan for c in over if c.plan is not None),
        covers=tuple(j for c in over for j in c.joints), cover_holds=tuple(h for c in over for h in c.holds),
        flows=flows_asked(job), coolant=coolant_asked(job), stands=stands(job), stances=there, runs=tubing,
        footprints=prints,
    )  # fmt: skip


def _glands(job: Job, plates: list[PlateLayout], every: tuple[Ring, ...]) -> tuple[Gland, ...]:
    """Every seal but those of the tubes' ends."""
    found = [strut_gland(r, job, p, every) for p in plates for r in job.reservoirs if p.name in r.between]
    return (*(g for g in found if g is not None), *fitting_glands(job, plates))


def bare_plate(job: Job, name: str) -> PlateLayout:
    """One plate without what its galleries bring, and without holes that give way. Raises LayoutError."""
    plate, collect = job.plates[name], _Collector()
    known = {p.name for p in plate.ports} | {d.name for d in plate.drillings}
    plain = plate.model_copy(update={
        "drillings": [d for d in plate.drillings if not isinstance(d.to, str) or d.to in known],
        "holes": [h for h in plate.holes if h.avoid is None], "galleries": [],
    })  # fmt: skip
    placed = _plate(job, name, plain, (True, 0.0), collect)
    if placed is None or collect.problems:
        raise LayoutError(collect.problems)
    return placed


def _roles(job: Job, stacks: dict[str, TubeStack], collect: _Collector) -> dict[str, tuple[bool, float]]:
    """For each clamped plate: whether its seal face looks up, and the height of that face in the assembly, mm."""
    roles: dict[str, tuple[bool, float]] = {}
    for i, r in enumerate(job.reservoirs):
        apart = stacks[r.name].faces_apart
        upper, lower = r.between
        if apart <= 0:
            what = f"struts of {stacks[r.name].strut_length:.2f} mm would put the plates into each other"
            collect.problems.append(Impossible(("reservoirs", i), what, "give a longer tube, or longer struts"))
            continue
        for name, wanted in ((lower, (True, 0.0)), (upper, (False, apart))):
            had = roles.setdefault(name, wanted)
            if had[0] != wanted[0]:
                what = f"plate {name!r} is the upper plate of one reservoir and the lower plate of another"
                collect.problems.append(Impossible(("reservoirs", i, "between"), what, "name the upper plate first"))
            elif abs(had[1] - wanted[1]) > 1e-9:
                what = f"it holds the seal faces {apart:g} mm apart, another reservoir on {name!r} {had[1]:g} mm"
                do = "give all reservoirs of a pair of plates the same strut length, channel depth and seat offset"
                collect.problems.append(Impossible(("reservoirs", i, "struts"), what, do))
    return roles


def _plate(
    job: Job, name: str, plate: Plate, role: tuple[bool, float], collect: _Collector
) -> PlateLayout | None:
    loc: Loc = ("plates", name)
    shape = collect.run((*loc, "outline"), partial(outline, plate.outline))
    if shape is None:
        return None
    collect.run((*loc, "outline", "chamfer"), partial(require_edge_break, shape, plate.stock.thickness, ()))
    made: list[Feature] = []
    for i, r in enumerate(job.reservoirs):
        if name in r.between:
            made += collect.run(("reservoirs", i), partial(_reservoir, r, plate, shape)) or []
    faces = Faces(plate, shape)
    made += _passages(plate, faces, loc, collect)
    left_out: list[tuple[str, float, float]] = []
    for i, h in enumerate(plate.holes):
        step = collect.run((*loc, "holes", i), partial(hole_features, h, plate, shape, list(made)))
        if step is not None:
            made += step[0]
            left_out += [(h.name, *p) for p in step[1]]
    rings = collect.run(loc, partial(grooves, plate, made, loc)) or []
    cuts = [*rings, *_shapes(plate, shape, made, loc, collect)]
    holes = tuple(c for c in cuts if isinstance(c, Feature))
    pockets = tuple(c for c in cuts if isinstance(c, Pocket))
    return PlateLayout(
        name, shape, plate.stock.thickness, plate.stock.material, role[0], role[1], (*made, *holes), tuple(left_out),
        pockets, spans=spans(plate),
    )  # fmt: skip


def _shapes(plate: Plate, shape: Outline, made: list[Feature], loc: Loc, collect: _Collector) -> list[Cut]:
    """Windows, slots, slots for light, and the openings of a frame, which keep clear of everything else."""
    if not (plate.windows or plate.slots or plate.lights or plate.frame):
        return []
    from .shapes import frame_windows, require_one_piece, shape_cuts

    cuts = collect.run(loc, partial(shape_cuts, plate, shape, loc)) or []
    if plate.frame is not None and not collect.problems:
        cuts += collect.run(loc, partial(frame_windows, plate.frame, shape, [*made, *cuts], plate, loc)) or []
    if not collect.problems:
        collect.run(loc, partial(require_one_piece, shape, cuts, made, loc))
    return cuts


def _covered(job: Job, name: str, plate: Plate, body: PlateLayout, collect: _Collector) -> Covered | None:
    """A plate with channels or covers as body and covers; None for any other, or where it cannot be made."""
    loc: Loc = ("plates", name)
    wanted = {"covers": plate.covers.seal or plate.covers.outer, "channels": plate.channels, "passages": plate.passages,
              "keep_out": plate.keep_out}  # fmt: skip
    if not any(wanted.values()) or collect.problems:
        return None
    from .covered.build import covered

    return collect.run(loc, partial(covered, job, name, plate, body, loc))


def _sealed_covers(job: Job, c: Covered, collect: _Collector) -> Covered:
    """The grooves in the covers of a body, round plain bores that go through them."""
    name = c.plates[0].name
    loc: Loc = ("plates", name)
    made = [collect.run(loc, partial(with_grooves, job.plates[name], p, loc)) or p for p in c.plates[1:]]
    return replace(c, plates=(c.plates[0], *made))


def _reservoir(r: Reservoir, plate: Plate, shape: Outline) -> list[Feature]:
    """Its features in one plate; raises Impossible where one of them would stand off the plate."""
    made = reservoir_features(r, plate)
    for f in made:
        require_on_plate(shape, f.origin[:2], f.name, ("at",))
    return made


def _passages(plate: Plate, faces: Faces, loc: Loc, collect: _Collector) -> list[Feature]:
    """Ports, then drillings in an order in which each one's target is already placed."""
    known: dict[str, Feature] = {}
    out: list[Feature] = []
    for i, p in enumerate(plate.ports):
        here = (*loc, "ports", i)
        if p.on in ("cover", "outer-cover"):
            continue  # stands in a plate of its own
        p = _as_body_port(p, plate)
        port = collect.run(here, partial(port_feature, p, faces, here))
        if port is not None:
            known[port.name] = port
            out.append(port)
    lost = {p.name for p in plate.ports} - known.keys()  # already complained of; what starts in them is not at fault
    waiting = {i: d for i, d in enumerate(plate.drillings) if d.start not in lost}
    while waiting:
        ready = [i for i, d in waiting.items() if not isinstance(d.to, str) or d.to in known]
        if not ready:
            break
        for i in ready:
            d, here = waiting.pop(i), (*loc, "drillings", i)
            for f in collect.run(here, partial(drilling_features, d, known, faces, here)) or []:
                known[f.name] = f
                out.append(f)
    for i, d in waiting.items():
        if not collect.problems:
            what = f"{d.name!r} and {d.to!r} each wait for the other's place"
            collect.problems.append(Impossible((*loc, "drillings", i, "to"), what, "give one of them a depth"))
    return out


