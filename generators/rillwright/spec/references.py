"""Names that refer to other parts of a file: loops, plates, ports, drillings."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Protocol

from .covered_references import covered_problems, covered_taken
from .gallery_references import gallery_problems
from .job import Job
from .load import Loaded, require_known
from .messages import Problem
from .plate import Drilling, Plate, Port
from .yaml_events import Loc

FACES = ("seal", "outer", "left", "right", "front", "back")


class Named(Protocol):
    """Anything with a name."""

    @property
    def name(self) -> str: ...


def reference_problems(loaded: Loaded[Job]) -> list[Problem]:
    """Every name in the file that refers to nothing, and every name given twice."""
    job, out = loaded.model, []
    loops, plates = list(job.loops), list(job.plates)
    out += _twice(loaded, ("reservoirs",), job.reservoirs)
    for i, r in enumerate(job.reservoirs):
        out.append(require_known(loaded, ("reservoirs", i, "loop"), r.loop, loops, "loop"))
        for k, name in enumerate(r.between):
            out.append(require_known(loaded, ("reservoirs", i, "between", k), name, plates, "plate"))
    taken = [r.name for r in job.reservoirs]
    out += covered_taken(loaded)
    for name in (n for n in plates if n in (*taken, "assembly")):
        what = "a reservoir has this name" if name in taken else "the files of the whole assembly have this name"
        out.append(loaded.problem(("plates", name), what, got=name, do="give the plate a name of its own"))
    for name in job.place:
        out.append(require_known(loaded, ("place", name), name, plates, "plate"))
    for name, plate in job.plates.items():
        out += _plate_problems(loaded, name, plate, loops, taken)
    return [p for p in out if p is not None]


def _plate_problems(
    loaded: Loaded[Job], name: str, plate: Plate, loops: list[str], reservoirs: list[str]
) -> list[Problem | None]:
    loc = ("plates", name)
    out: list[Problem | None] = []
    seen: set[str] = set(reservoirs)
    named = ("ports", "drillings", "holes", "windows", "slots", "lights", "galleries", "channels", "passages", "keep_out")
    for kind, items in ((k, getattr(plate, k)) for k in named):
        out += _twice(loaded, (*loc, kind), items, seen)
    out += covered_problems(loaded, name, plate, loops)
    out += gallery_problems(loaded, name, plate, loops)
    out += _numbered_alike(loaded, loc, plate)
    for i, p in enumerate(plate.ports):
        out.append(require_known(loaded, (*loc, "ports", i, "loop"), p.loop, loops, "loop"))
    for i, d in enumerate(plate.drillings):
        out += _drilling_problems(loaded, (*loc, "drillings", i), d, plate, loops)
    return out


def _numbered_alike(loaded: Loaded[Job], loc: Loc, plate: Plate) -> Iterator[Problem]:
    """Holes whose name is that of a numbered hole of another pattern."""
    for i, h in enumerate(plate.holes):
        stem, _, number = h.name.rpartition("-")
        if number.isdigit() and any(o.name == stem for o in plate.holes):
            what = f"the holes of {stem!r} are numbered so"
            yield loaded.problem((*loc, "holes", i, "name"), what, got=h.name, do="give each thing a name of its own")


def _drilling_problems(
    loaded: Loaded[Job], here: Loc, d: Drilling, plate: Plate, loops: list[str]
) -> Iterator[Problem | None]:
    ports = [p.name for p in plate.ports]
    if d.start not in FACES and not d.start.startswith("edge-"):
        yield require_known(loaded, (*here, "from"), d.start, [*FACES, *ports], "face, edge or port")
        yield from _from_port(loaded, here, d, next((p for p in plate.ports if p.name == d.start), None))
    elif d.loop is None:
        what = "a drilling from a face needs its loop"
        yield loaded.problem(here, what, do=f"add loop: one of {', '.join(loops)}")
    if d.loop is not None:
        yield require_known(loaded, (*here, "loop"), d.loop, loops, "loop")
    if isinstance(d.to, str):
        known = [n for n in [*ports, *(o.name for o in plate.drillings)] if n != d.name]
        yield require_known(loaded, (*here, "to"), d.to, known, "port or drilling")


def _from_port(loaded: Loaded[Job], here: Loc, d: Drilling, port: Port | None) -> Iterator[Problem]:
    """What a drilling that goes on from a port cannot have."""
    if port is not None and d.loop not in (None, port.loop):
        what = f"a drilling from port {port.name!r} is in its loop {port.loop!r}"
        yield loaded.problem((*here, "loop"), what, got=d.loop, do="leave loop out, or start it from another port")
    if d.plug is not None:
        what = "a drilling that goes on from a port has no open end to plug"
        yield loaded.problem((*here, "plug"), what, got=d.plug, do="leave plug out")


def _twice(
    loaded: Loaded[Job], loc: Loc, items: list[Named] | object, seen: set[str] | None = None
) -> list[Problem | None]:
    seen = set() if seen is None else seen
    out: list[Problem | None] = []
    for i, item in enumerate(items):  # type: ignore[arg-type, var-annotated]
        if item.name in seen or (loc[-1] in ("ports", "drillings") and item.name in FACES):
            what = "this name is already taken" if item.name in seen else "this is the name of a face"
            out.append(loaded.problem((*loc, i, "name"), what, got=item.name, do="give each thing a name of its own"))
        seen.add(item.name)
    return out
