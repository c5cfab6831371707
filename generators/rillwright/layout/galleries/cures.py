"""Changes that were tried and let galleries be drilled. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import islice

import numpy as np

from ...spec.job import Job
from ...spec.plate import Plate
from ..features import Feature, PlateLayout
from ..job import LayoutError, bare_plate
from .expand import opened, solved
from .nearly import Nearly
from .rods import gaps, rods_of, table
from .room import DRILL, HAIR, Room
from .wanted import Wanted

THICKER = (5.0, 10.0, 15.0)  # mm of sheet tried beside the given one
MOVES = (2.0, 5.0, 10.0, 20.0)  # mm by which ports are moved, beside what lacks
LEAST_WALL = 1.0  # mm: no thinner wall is proposed
TRIES = 24  # moves that are tried at most
ENOUGH = 3  # changes that are named
FLAT = ("seal", "outer", "cover", "outer-cover")

Change = tuple[str, Job]


def cured(job: Job, name: str, who: tuple[str, ...], near: Nearly | None) -> list[str]:
    """The first change of each kind that lets the galleries `who` of a plate be drilled, and what fails then besides."""
    kinds = (_tools(job, name, who), _leave(job, name, who), _beneath(job, name, who, near), _moved(job, name, who, near),
             _less_wall(job, name, near, who), _thicker(job, name, who, near))  # fmt: skip
    works = (found for kind in kinds if (found := _first(kind, name, who)))
    return list(islice(works, ENOUGH))


def _first(kind: Iterator[Change], name: str, who: tuple[str, ...]) -> str:
    """The first change of a kind that works for all galleries, or else for those asked for."""
    partly = ""
    for words, changed in kind:
        if not solved(changed, name, who):
            continue
        others = [g.name for g in changed.plates[name].galleries if g.name not in who]
        if not others or solved(changed, name, None):
            return words
        partly = partly or f"{words} ({' and '.join(others)} cannot be drilled beside it then)"
    return partly


def _tools(job: Job, name: str, who: tuple[str, ...]) -> Iterator[Change]:
    least = min(g.diameter for g in job.plates[name].galleries if g.name in who)
    for d in (least - 1, least - 2, least - 3, least + 2):
        if d >= 4:
            yield f"drillings of {d:g} mm instead of {least:g}", _galleries(job, name, who, diameter=d)


def _leave(job: Job, name: str, who: tuple[str, ...]) -> Iterator[Change]:
    asked = [g for g in job.plates[name].galleries if g.name in who]
    if any(g.edges is not None for g in asked):
        yield "plugs in all edges", _galleries(job, name, who, edges=None)
    if any(g.level is not None for g in asked):
        yield "level left out", _galleries(job, name, who, level=None)
    if any(g.plug != "G1/8" for g in asked):
        yield "plugs G1/8", _galleries(job, name, who, plug="G1/8")


def _less_wall(job: Job, name: str, near: Nearly | None, who: tuple[str, ...]) -> Iterator[Change]:
    if near is None or near.lack <= HAIR:
        return
    room, every = opened(job, name)
    first = next(w for w in every if w.name in who)
    loops = {w.loop for w in every if w.name in who}
    key = room.limit(first, near.who) if near.who else "wall_same" if len(loops) == 1 else "wall_wet"
    if not key:
        return
    had = float(getattr(job.limits, key))
    if near.who == DRILL:
        ratio = math.ceil(had + near.lack / near.bore.diameter)
        yield f"limits.{key} {ratio:g} instead of {had:g}", _limits(job, key, float(ratio))
        return
    wall = math.floor((had - near.lack) * 10 + 1e-6) / 10
    if wall >= LEAST_WALL:
        yield f"limits.{key} {wall:g} mm instead of {had:g}", _limits(job, key, wall)


def _thicker(job: Job, name: str, who: tuple[str, ...], near: Nearly | None) -> Iterator[Change]:
    plate, most = job.plates[name], max(THICKER)
    room, every = opened(job, name)
    lacks = {float(math.ceil(near.lack))} if near is not None and near.who != DRILL else set[float]()
    lacks |= {float(math.ceil(v - room.plate.thickness)) for w in every if w.name in who for v in least_sheet(room, w)}
    for more in sorted(v for v in lacks | {*THICKER} if 0 < v <= most):
        yield _sheet(plate.stock.thickness + more), _thick(job, name, plate.stock.thickness + more)


def least_sheet(room: Room, w: Wanted) -> tuple[float, float]:
    """Least thickness of a sheet for drillings that go on from ports, and for such as begin at a plug, mm."""
    lim = room.limits
    rim = max(lim.wall_outside + w.plug.radius, w.plug.spot + lim.lip + room.plate.outline.chamfer)
    return w.diameter + 2 * lim.wall_outside, 2 * rim


def _beneath(job: Job, name: str, who: tuple[str, ...], near: Nearly | None) -> Iterator[Change]:
    """Of two galleries the ports in edges of one below those of the other, in thicker sheet where that takes it."""
    if len(who) != 2 or near is None:
        return
    plate, down = job.plates[name], float(math.ceil(near.lack))
    for w in who:
        joins = {j for g in plate.galleries if g.name == w for j in g.joins}
        mine = [p for p in plate.ports if p.name in joins and p.on not in FLAT]
        if not mine:
            continue
        ports = [p.model_copy(update={"at": (p.at[0], p.at[1] - down)}) if p in mine else p for p in plate.ports]
        low = min(p.at[1] for p in mine) - down
        changed, words = _with(job, name, ports=ports), f"{' and '.join(p.name for p in mine)} at z {low:g}"
        yield words, changed
        thick = plate.stock.thickness + down
        yield f"{words} in a {_sheet(thick)}", _thick(changed, name, thick)


def _moved(job: Job, name: str, who: tuple[str, ...], near: Nearly | None) -> Iterator[Change]:
    """Ports that the galleries join, and what stands in the way where it is a port: a little, in every direction."""
    plate = job.plates[name]
    yield from _one_level(job, name, who, plate)
    joins = {j for g in plate.galleries if g.name in who for j in g.joins}
    ports = [(i, p) for i, p in enumerate(plate.ports) if p.name in joins or (near is not None and p.name == near.who)]
    lack = 0.0 if near is None else math.ceil(near.lack * 2) / 2
    before, tried = bare_plate(job, name), 0
    for by in dict.fromkeys(v for v in (lack, *MOVES) if 0 < v <= max(MOVES)):
        for i, p in ports:
            for at in _beside(p.at, by):
                changed = _with(job, name, ports=[*plate.ports[:i], p.model_copy(update={"at": at}), *plate.ports[i + 1 :]])
                if _stands_clear(before, changed, name, p.name):
                    tried += 1
                    yield f"{p.name} moved by {by:g} mm, to at: [{at[0]:g}, {at[1]:g}]", changed
                if tried == TRIES:
                    return


def _beside(at: tuple[float, float], by: float) -> list[tuple[float, float]]:
    (u, v) = at
    return [(round(u + by, 6), v), (round(u - by, 6), v), (u, round(v + by, 6)), (u, round(v - by, 6))]


def _one_level(job: Job, name: str, who: tuple[str, ...], plate: Plate) -> Iterator[Change]:
    """Ports in edges brought to one level."""
    joins = {j for g in plate.galleries if g.name in who for j in g.joins}
    mine = [p for p in plate.ports if p.name in joins and p.on not in FLAT]
    for z in sorted({p.at[1] for p in mine}):
        if any(p.at[1] != z for p in mine):
            ports = [p.model_copy(update={"at": (p.at[0], z)}) if p in mine else p for p in plate.ports]
            yield f"{' and '.join(p.name for p in mine if p.at[1] != z)} at z {z:g}", _with(job, name, ports=ports)


def _stands_clear(before: PlateLayout, changed: Job, name: str, port: str) -> bool:
    """Whether a moved port keeps its distances from all that stands, or at least those that it had."""
    try:
        after = bare_plate(changed, name)
    except LayoutError:
        return False
    then, now = _spare(before, changed, port), _spare(after, changed, port)
    return now >= min(then, 0.0) - HAIR


def _spare(layout: PlateLayout, job: Job, port: str) -> float:
    """What a port has of room beyond its walls and beyond what a spanner takes, mm."""
    f = next(v for v in layout.features if v.name == port)
    room = Room(layout, job.limits)
    mine, out = table([*rods_of(f)]), math.inf
    for other in layout.features:
        if other.name != port and other.role != "tube-channel":
            need = job.limits.wall_same if other.wet and other.loop == f.loop else job.limits.wall_wet
            out = min(out, float(np.min(gaps(mine, table([*rods_of(other)])))) - need)
        if other in room.fittings and other.name != port and other.face == f.face:
            out = min(out, _flanges(f, other) - job.limits.spanner)
    return out


def _flanges(a: Feature, b: Feature) -> float:
    return math.dist(a.origin, b.origin) - a.facts["spotface_radius"] - b.facts["spotface_radius"]


def _sheet(thick: float) -> str:
    return f"sheet of {thick:g} mm"


def _thick(job: Job, name: str, thick: float) -> Job:
    return _with(job, name, stock=job.plates[name].stock.model_copy(update={"thickness": thick}))


def _limits(job: Job, key: str, value: float) -> Job:
    return job.model_copy(update={"limits": job.limits.model_copy(update={key: value})})


def _galleries(job: Job, name: str, who: tuple[str, ...], **change: object) -> Job:
    new = [g.model_copy(update=change) if g.name in who else g for g in job.plates[name].galleries]
    return _with(job, name, galleries=new)


def _with(job: Job, name: str, **change: object) -> Job:
    return job.model_copy(update={"plates": {**job.plates, name: job.plates[name].model_copy(update=change)}})
