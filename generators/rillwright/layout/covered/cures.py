"""Cures of channels that find no way, made in the file's own terms and tried whole: lines, grooves and screws.

The router's cures hold for its lines only. Lengths in mm.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterator

from ...spec.covered import Channel
from ...spec.job import Job
from ...spec.plate import Plate, Port
from ..collect import LayoutError
from ..outline import Impossible
from ..routing.problem import Net, Point2, Problem, Terminal, Unexplained
from .channels import NoWay
from .decks import LAND

SECONDS = 2.0  # of the processor's time, after which no further cure is tried whole
LEAST_LAND = 1.0  # mm: no narrower land is proposed
TRIED = " (tried)"
LINES = " (tried for the lines of all channels, not with grooves and screws)"
WHOLE = " (tried, with grooves and screws)"

Change = tuple[str, Job]


def tried_whole(job: Job, name: str, why: NoWay, again: Callable[[Job], object]) -> Impossible:
    """The same refusal, its cures tried. `again` places the plate of a changed job, and raises what is in the way then."""
    until = time.process_time() + SECONDS
    held: list[str] = []
    rest: list[str] = []
    for words in why.route.cures:
        changed = why.route.tried.get(words)
        if changed is None:
            rest.append(words)
            continue
        plain = words.removesuffix(TRIED).removesuffix(" (tried without)")
        said = _tried(plain, [*_changes(job, name, why, changed)], again, until)
        (held if said.endswith(WHOLE) else rest).append(said)
    cures = [*held, *rest]
    return Impossible(why.loc, why.what, f"what would let it through: {'; or '.join(cures)}") if cures else why


def _tried(words: str, changes: list[Change], again: Callable[[Job], object], until: float) -> str:
    failed = ""
    for told, changed in changes:
        if time.process_time() >= until:
            break
        try:
            again(changed)
        except Unexplained:
            failed = failed or f"{told or words} (its lines go alone, but not with the room for grooves and screws)"
        except LayoutError as e:
            failed = failed or f"{told or words} (its lines go, but then {e.problems[0].what})"
        except Impossible as e:
            failed = failed or f"{told or words} (its lines go, but then {e.what})"
        else:
            return (told or words) + WHOLE
    return failed or words + LINES


def _changes(job: Job, name: str, why: NoWay, changed: Problem) -> Iterator[Change]:
    """A changed problem as changes of the file, with words where those of the router do not fit."""
    plate, problem = job.plates[name], why.problem
    if changed.levels > problem.levels:
        yield from _second_level(job, name)
        return
    if changed.wall < problem.wall:
        yield from _less_land(job, name, problem.wall - changed.wall)
        return
    for was, now in zip(problem.nets, changed.nets, strict=True):
        if was != now:
            new = _renewed(plate, was, now, why.parts.get(was.name, (was.name,)))
            if new is not None:
                yield "", _with(job, name, new)


def _renewed(plate: Plate, was: Net, now: Net, parts: tuple[str, ...]) -> Plate | None:
    """The plate with a net as it is now: its width, its bends, or one of its ends; None where no key says that."""
    for t, u in zip(was.terminals, now.terminals, strict=True):
        if t.at != u.at:
            return _moved(plate, t, (u.at[0] - t.at[0], u.at[1] - t.at[1]))
    new = {"bend_radius": now.bend_radius} | ({} if now.pins == was.pins else {"pins": list(now.pins)})
    channels = [c.model_copy(update={"width": min(c.width, now.width), **new}) if c.name in parts else c
                for c in plate.channels]  # fmt: skip
    return plate.model_copy(update={"channels": channels})


def _moved(plate: Plate, t: Terminal, by: Point2) -> Plate | None:
    for kind in ("ports", "passages"):
        every = getattr(plate, kind)
        for i, p in enumerate(every):
            if p.name == t.name:
                at = _beside(p, by)
                new = [*every[:i], p.model_copy(update={"at": at}), *every[i + 1 :]]
                return None if at is None else plate.model_copy(update={kind: new})
    channels = [_end_moved(c, t, by) for c in plate.channels]
    return None if channels == plate.channels else plate.model_copy(update={"channels": channels})


def _beside(p: object, by: Point2) -> Point2 | None:
    """Where a port or passage is written then; None for a port that would leave its edge."""
    on, (u, v) = (p.on if isinstance(p, Port) else ""), p.at  # type: ignore[attr-defined]
    if on in ("left", "right", "front", "back"):
        along, off = (by[1], by[0]) if on in ("left", "right") else by
        return (u + along, v) if off == 0 else None
    return None if on.startswith("edge-") else (u + by[0], v + by[1])


def _end_moved(c: Channel, t: Terminal, by: Point2) -> Channel:
    joins = [(t.at[0] + by[0], t.at[1] + by[1]) if not isinstance(j, str) and j == t.at else j for j in c.joins]
    return c.model_copy(update={"joins": joins}) if joins != c.joins else c


def _less_land(job: Job, name: str, by: float) -> Iterator[Change]:
    """Walls between grooves are their lands and screws: narrower lands, or less of the job's wall where none is sealed."""
    covers = job.plates[name].covers
    new, words = {}, []
    for face in ("seal", "outer"):
        c = covers.of(face)
        if c is not None and c.join == "screwed":
            had = c.groove.land or max(LAND, c.cord.diameter)
            land = max(LEAST_LAND, round(had - by / 2, 1))
            if land < had:
                new[face] = c.model_copy(update={"groove": c.groove.model_copy(update={"land": land})})
                words.append(f"covers.{face}.groove.land {land:g} mm instead of {had:g}")
    if new:
        plate = job.plates[name].model_copy(update={"covers": covers.model_copy(update=new)})
        yield " and ".join(words), _with(job, name, plate)


def _second_level(job: Job, name: str) -> Iterator[Change]:
    """Channels from both faces, the outer one closed like the seal face, in a body that has room for both."""
    plate = job.plates[name]
    if plate.covers.outer is not None or plate.covers.seal is None:
        return
    channels = [c.model_copy(update={"face": "both"}) if c.route == "auto" else c for c in plate.channels]
    covers = plate.covers.model_copy(update={"outer": plate.covers.seal})
    words = "a second level: channels with face: both, and covers.outer like covers.seal"
    had, least = plate.stock.thickness, float(math.ceil(2 * max(c.depth for c in channels) + job.limits.wall_wet))
    if least > had:
        words += f", in a body of {least:g} mm instead of {had:g}"
    stock = plate.stock.model_copy(update={"thickness": max(had, least)})
    yield words, _with(job, name, plate.model_copy(update={"channels": channels, "covers": covers, "stock": stock}))


def _with(job: Job, name: str, plate: Plate) -> Job:
    return job.model_copy(update={"plates": {**job.plates, name: plate}})
