"""Galleries of a job as ordinary drillings: spec to spec, once everything else is placed. Lengths in mm."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from pydantic import ValidationError

from ...spec.job import Job
from ...spec.load import Loaded
from ...spec.messages import Problem, SpecError
from ...spec.plate import Drilling, Plate
from ...spec.yaml_events import Loc
from ..job import LayoutError, bare_plate
from .bores import Bore, Tree
from .pick import NoSet, choose
from .room import Room
from .wanted import Unfit, Wanted, wanted


@dataclass(frozen=True, slots=True)
class Chosen:
    """The drillings of one plate's galleries."""

    wanted: tuple[Wanted, ...]
    trees: tuple[Tree, ...]


class Misjoined(Exception):
    """Ends that galleries of a plate cannot join: index of the gallery, and why."""

    def __init__(self, found: list[tuple[int, Unfit]]) -> None:
        super().__init__("; ".join(str(e) for _, e in found))
        self.found = found


def drilled(loaded: Loaded[Job]) -> Loaded[Job]:
    """The job with the drillings of all its galleries in place of them. Raises SpecError with every problem."""
    job, problems = loaded.model, list[Problem]()
    plates, origins = dict(job.plates), dict[Loc, Loc](loaded.origins)
    for name, plate in job.plates.items():
        if not plate.galleries:
            continue
        new, faults = _plate_drilled(loaded, name, plate)
        problems += faults
        for n, (_, index) in enumerate(new, len(plate.drillings)):
            origins[("plates", name, "drillings", n)] = ("plates", name, "galleries", index)
        plates[name] = plate.model_copy(update={"drillings": [*plate.drillings, *(d for d, _ in new)], "galleries": []})
    if problems:
        raise SpecError(problems)
    return replace(loaded, model=job.model_copy(update={"plates": plates}), origins=origins)


def _plate_drilled(loaded: Loaded[Job], name: str, plate: Plate) -> tuple[list[tuple[Drilling, int]], list[Problem]]:
    here: Loc = ("plates", name, "galleries")
    try:
        chosen = chosen_for(loaded.model, name)
    except LayoutError as e:
        return [], [loaded.problem(p.loc, p.what, do=p.do) for p in e.problems]
    except Misjoined as e:
        return [], [loaded.problem((*here, i, *u.loc), u.what, do=u.do) for i, u in e.found]
    except NoSet as e:
        from .words import explained

        first = next(i for i, g in enumerate(plate.galleries) if g.name == e.galleries[-1])
        what, do = explained(loaded.model, name, e)
        return [], [loaded.problem((*here, first), what, do=do)]
    out, faults = [], list[Problem]()
    for w, tree in zip(chosen.wanted, chosen.trees, strict=True):
        for data in _drillings(w, tree):
            try:
                out.append((Drilling.model_validate(data), w.index))
            except ValidationError:
                what = f"the name {data['name']!r} of a drilling would be too long"
                faults.append(loaded.problem((*here, w.index, "name"), what, do="take a shorter name"))
    return out, faults


def chosen_for(job: Job, name: str, only: tuple[str, ...] | None = None) -> Chosen:
    """Drillings of a plate's galleries, or of some. Raises LayoutError, Misjoined or NoSet."""
    room, every = opened(job, name)
    some = tuple(w for w in every if only is None or w.name in only)
    return Chosen(some, choose(room, some))


def solved(job: Job, name: str, only: tuple[str, ...] | None) -> bool:
    """Whether galleries of a plate can be drilled."""
    try:
        chosen_for(job, name, only)
    except (LayoutError, Misjoined, NoSet):
        return False
    return True


def opened(job: Job, name: str) -> tuple[Room, tuple[Wanted, ...]]:
    """The plate without its galleries, and what they are to join. Raises LayoutError or Misjoined."""
    plate = job.plates[name]
    layout = bare_plate(job, name)
    every: list[Wanted] = []
    amiss: list[tuple[int, Unfit]] = []
    for i, g in enumerate(plate.galleries):
        try:
            every.append(wanted(job, plate, layout, i, g))
        except Unfit as e:
            amiss.append((i, e))
    if amiss:
        raise Misjoined(amiss)
    return Room(layout, job.limits), tuple(every)


def _drillings(w: Wanted, tree: Tree) -> Iterator[dict[str, Any]]:
    """As they would be written by hand: runs numbered from the trunk on, risers by what they stand for."""
    runs = [b for b in tree.bores if b.kind == "run"]
    names = {b: w.name if len(runs) == 1 else f"{w.name}-{n}" for n, b in enumerate(runs, 1)}
    for b in runs:
        data: dict[str, Any] = {"name": names[b], "loop": w.loop, "from": b.source, "to": b.end, "diameter": b.diameter}
        if b.entry is not None and b.plug is not None:
            data |= {"at": (b.entry.along(b.start[1 - b.entry.axis]), b.start[2]), "plug": b.plug.thread}
        yield data
    for b in tree.bores:
        if b.kind == "riser":
            data = {"name": f"{w.name}-{b.meets}", "loop": w.loop, "from": b.source, "to": _met(b, runs, names),
                    "diameter": b.diameter}  # fmt: skip
            yield data if b.source not in ("seal", "outer") else {**data, "at": b.start[:2]}


def _met(riser: Bore, runs: list[Bore], names: dict[Bore, str]) -> Any:
    """The run that a riser ends on, or the point where no run but a port's bore is met."""
    x, y, _ = riser.end
    for b in runs:
        low, high = zip(*(sorted(p) for p in zip(b.start[:2], b.end[:2], strict=True)), strict=True)
        if low[0] - 1e-6 <= x <= high[0] + 1e-6 and low[1] - 1e-6 <= y <= high[1] + 1e-6:
            return names[b]
    return riser.end
