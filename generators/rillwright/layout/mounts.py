"""Foot prints put on plates: spec to spec, before anything is placed. Lengths in mm, frame of the plate.

A foot print is drawn as one looks at the face with the part off. On a face that looks down in the standing machine it
is therefore turned over about its y axis, and then turned as seen from above.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from ..spec.covered import KeepOut
from ..spec.interface import FootHoles, Interface, Neighbour
from ..spec.interface import Space as SpaceSpec
from ..spec.interface_files import interface_file, known
from ..spec.job import Job
from ..spec.load import Loaded
from ..spec.messages import Problem, SpecError, advice
from ..spec.mount import Mount
from ..spec.plate import Holes, Plate, Port
from ..spec.shapes import Slot, Window
from ..spec.sheet import ArcTo
from ..spec.sized import Unfit, read_interface, sized
from ..spec.yaml_events import Loc
from .footprint import Footprint, Plane, Space
from .holes import _circle, _grid, _row
from .mount_screws import choice

Point2 = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Stand:
    """Where one foot print stands: place, turn (degrees), and whether it is turned over."""

    at: Point2
    turn: float
    over: bool

    def place(self, p: Point2) -> Point2:
        x, y = (-p[0] if self.over else p[0]), p[1]
        c, s = _turned(self.turn)
        return (_clean(self.at[0] + c * x - s * y), _clean(self.at[1] + s * x + c * y))

    @property
    def square(self) -> bool:
        return self.turn % 90 == 0


def _turned(degrees: float) -> tuple[float, float]:
    if degrees % 90 == 0:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(degrees // 90) % 4]
    return math.cos(math.radians(degrees)), math.sin(math.radians(degrees))


def _clean(v: float) -> float:
    return round(v, 9) + 0.0  # no 1e-15 in call-outs and tables


@dataclass(slots=True)
class Mounted:
    """What mounts add to one plate, each with the key path of what brought it."""

    name: str
    plate: Plate
    items: dict[str, list[tuple[BaseModel, Loc]]] = field(default_factory=dict)
    prints: list[Footprint] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)


def mounted(loaded: Loaded[Job]) -> tuple[Loaded[Job], tuple[Footprint, ...]]:
    """A job with all that its mounts and blocks bring, and their foot prints. Raises SpecError with every problem."""
    job = loaded.model
    if not any(p.mounts or p.block for p in job.plates.values()):
        return loaded, ()
    path = Path(loaded.source.path)
    read: dict[str, Loaded[Interface]] = {}
    problems: list[Problem] = []
    done = []
    for name, plate in job.plates.items():
        m = Mounted(name, plate)
        for i, mount in enumerate(plate.mounts):
            here = ("plates", name, "mounts", i)
            found = _interface(loaded, path, mount, here, read, problems)
            if found is not None:
                _add(m, loaded, mount, found, here)
        if plate.block is not None and not m.problems and not problems:
            from .card_block import add_block

            add_block(m, loaded)
        problems += m.problems
        done.append(m)
    if problems:
        raise SpecError(problems)
    return _put_in(loaded, done, read), tuple(f for m in done for f in m.prints)


def _interface(
    loaded: Loaded[Job], path: Path, mount: Mount, here: Loc, read: dict[str, Loaded[Interface]], problems: list[Problem]
) -> Interface | None:
    if mount.interface not in read:
        file = interface_file(path, mount.interface)
        if file is None:
            do = advice(mount.interface, known(path), "foot prints")
            what = f"there is no foot print of this name, neither in interfaces/ beside {path.name} nor shipped"
            problems.append(loaded.problem((*here, "interface"), what, mount.interface, do))
            return None
        try:
            read[mount.interface] = read_interface(file)
        except SpecError as e:
            problems += e.problems
            return None
    try:
        return sized(read[mount.interface], mount.sizes)
    except Unfit as e:
        loc = (*here, "set", e.word) if e.word else here
        problems.append(loaded.problem(loc, e.what, e.got, e.do, key=bool(e.word) and e.got == e.word))
        return None


def _put_in(loaded: Loaded[Job], done: list[Mounted], read: dict[str, Loaded[Interface]]) -> Loaded[Job]:
    plates = dict(loaded.model.plates)
    origins: dict[Loc, Loc] = dict(loaded.origins)
    for m in done:
        new: dict[str, Any] = {}
        for key, items in m.items.items():
            had = list(getattr(m.plate, key))
            for n, (_, origin) in enumerate(items, len(had)):
                origins[("plates", m.name, key, n)] = origin
            new[key] = [*had, *(x for x, _ in items)]
        plates[m.name] = m.plate.model_copy(update=new)
    also = tuple(sorted((f"interfaces/{name}.yaml", f.sha256) for name, f in read.items()))
    return replace(loaded, model=loaded.model.model_copy(update={"plates": plates}), origins=origins, also=also)


def looks_up(job: Job, plate: str, side: Plane) -> bool:
    """Whether a face looks up in the standing machine."""
    upper = any(r.between[0] == plate for r in job.reservoirs)
    return (side == "seal") != upper


def _add(m: Mounted, loaded: Loaded[Job], mount: Mount, found: Interface, here: Loc) -> None:
    """Everything that one mount brings."""
    over = not looks_up(loaded.model, m.name, mount.side)
    covered = (m.plate.covers.seal if mount.side == "seal" else m.plate.covers.outer) is not None
    if covered:
        what = f"the {mount.side} face lies under a cover, and nothing can lie on it"
        m.problems.append(loaded.problem((*here, "side"), what, do="put it on the other face"))
        return
    _loops_known(m, loaded, mount, found, here)
    row = Stand(mount.at, mount.turn, over)
    for k in range(1, mount.count + 1):
        shift = (k - (mount.count + 1) / 2) * (mount.pitch or 0.0)
        stand = Stand(row.place((shift, 0.0)), mount.turn, over)
        name = mount.name if mount.count == 1 else f"{mount.name}-{k}"
        for key, data, model in _pieces(m, mount, found, stand, name, k):
            _made(m, loaded, key, data, model, here)
        m.prints.append(_print(m, loaded, mount, found, stand, name, k))


def _made(m: Mounted, loaded: Loaded[Job], key: str, data: dict[str, Any], model: type[BaseModel], here: Loc) -> None:
    try:
        m.items.setdefault(key, []).append((model.model_validate(data), here))
    except ValidationError as e:
        first = e.errors(include_url=False)[0]
        what = f"{data['name']!r} cannot be made of it: {first['msg'].removeprefix('Value error, ')}"
        m.problems.append(loaded.problem(here, what, do="take a shorter name" if "name" in first["loc"] else None))


def loop_of(mount: Mount, port: str, k: int, plate: Plate) -> str | None:
    """Loop of a port of the k-th part of a mount."""
    given = mount.loops.get(port, mount.loop)
    if isinstance(given, list):
        return given[k - 1] if k <= len(given) else None
    if given is None and plate.block is not None and plate.block.row == mount.name:
        return next((g.loop for g in plate.block.groups if g.cards[0] <= k <= g.cards[1]), None)
    return given


def _loops_known(m: Mounted, loaded: Loaded[Job], mount: Mount, found: Interface, here: Loc) -> None:
    names = [p.name for p in found.ports]
    for port, given in mount.loops.items():
        if port not in names:
            do = advice(port, names, "ports")
            what = f"{mount.interface} has no port of this name"
            m.problems.append(loaded.problem((*here, "loops", port), what, port, do, key=True))
        for i, loop in enumerate(given if isinstance(given, list) else [given]):
            if loop not in loaded.model.loops:
                loc = (*here, "loops", port, i) if isinstance(given, list) else (*here, "loops", port)
                do = advice(loop, loaded.model.loops, "loops")
                m.problems.append(loaded.problem(loc, "there is no loop of this name", loop, do))
    if mount.loop is not None and mount.loop not in loaded.model.loops:
        do = advice(mount.loop, loaded.model.loops, "loops")
        m.problems.append(loaded.problem((*here, "loop"), "there is no loop of this name", mount.loop, do))
    without = [(p, k) for p in names for k in range(1, mount.count + 1) if loop_of(mount, p, k, m.plate) is None]
    for port in dict.fromkeys(p for p, _ in without):
        of = "" if mount.count == 1 else f" of part {next(k for p, k in without if p == port)} of the row"
        what = f"port {port!r}{of} has no loop"
        m.problems.append(loaded.problem(here, what, do=f"give loop, or loops: {{{port}: NAME}}"))


def _pieces(
    m: Mounted, mount: Mount, found: Interface, stand: Stand, name: str, k: int
) -> Iterator[tuple[str, dict[str, Any], type[BaseModel]]]:
    """What is added to the plate: list, data of the item, and its model."""
    near, far = mount.side, "outer" if mount.side == "seal" else "seal"
    data: dict[str, Any]
    for h in found.holes:
        places = [stand.place(p) for p in hole_places(h)]
        data = {"name": f"{name}-{h.name}", "kind": h.kind, "thread": h.thread, "fit": h.fit, "at": places,
                "from": near if h.kind == "tapped" or h.depth is not None else far, "depth": h.depth}  # fmt: skip
        yield "holes", data, Holes
    for p in found.ports:
        data = {"name": f"{name}-{p.name}", "loop": loop_of(mount, p.name, k, m.plate), "on": near, "at": stand.place(p.at),
                "bore": p.bore, "depth": p.depth,
                "face_seal": None if p.seal is None else p.seal.model_dump(by_alias=True, exclude_none=True)}  # fmt: skip
        yield "ports", data, Port
    for w in found.windows:
        yield "windows", _window(w, stand, f"{name}-{w.name}", near), Window
    for s in found.slots:
        line = [_point(p, stand) for p in s.line]
        data = {"name": f"{name}-{s.name}", "line": line, "width": s.width, "from": near, "depth": s.depth}
        yield "slots", data, Slot
    if m.plate.covers.seal or m.plate.covers.outer:
        for o in found.keep_out:
            yield "keep_out", _keep_out(o, stand, f"{name}-{o.name}"), KeepOut


def hole_places(h: FootHoles) -> list[Point2]:
    """Places of a pattern in the foot print."""
    if h.at is not None:
        return list(h.at)
    if h.row is not None:
        return _row(h.row)
    if h.grid is not None:
        return _grid(h.grid)
    assert h.circle is not None
    return _circle(h.circle)


def _point(p: Point2 | ArcTo, stand: Stand) -> Any:
    return {"through": stand.place(p.through), "to": stand.place(p.to)} if isinstance(p, ArcTo) else stand.place(p)


def _window(w: Window, stand: Stand, name: str, near: str) -> dict[str, Any]:
    data: dict[str, Any] = {"name": name, "from": near, "depth": w.depth, "corner_radius": w.corner_radius}
    if w.diameter is not None:
        return {**data, "at": stand.place(w.at), "diameter": w.diameter}
    if w.polygon is not None:
        moved = [replaced(p, w.at) for p in w.polygon]
        return {**data, "at": (0, 0), "polygon": [_point(p, stand) for p in moved]}
    assert w.length is not None
    assert w.width is not None
    if stand.square:
        long, wide = (w.length, w.width) if stand.turn % 180 == 0 else (w.width, w.length)
        return {**data, "at": stand.place(w.at), "length": long, "width": wide}
    return {**data, "at": (0, 0), "polygon": [stand.place(p) for p in _corners(w.at, w.length, w.width)]}


def replaced(p: Point2 | ArcTo, by: Point2) -> Point2 | ArcTo:
    """A point or arc moved, mm."""
    if isinstance(p, ArcTo):
        return ArcTo(through=(p.through[0] + by[0], p.through[1] + by[1]), to=(p.to[0] + by[0], p.to[1] + by[1]))
    return (p[0] + by[0], p[1] + by[1])


def _corners(at: Point2, length: float, width: float) -> list[Point2]:
    (x, y), a, b = at, length / 2, width / 2
    return [(x - a, y - b), (x + a, y - b), (x + a, y + b), (x - a, y + b)]


def _keep_out(o: KeepOut, stand: Stand, name: str) -> dict[str, Any]:
    data: dict[str, Any] = {"name": name, "at": stand.place(o.at), "clearance": o.clearance, "cut": o.cut}
    if o.diameter is not None:
        return {**data, "diameter": o.diameter}
    assert o.length is not None
    assert o.width is not None
    if stand.square:
        long, wide = (o.length, o.width) if stand.turn % 180 == 0 else (o.width, o.length)
    else:  # an area that is kept free lies along x and y: the box round the turned one
        c, s = (abs(v) for v in _turned(stand.turn))
        long, wide = c * o.length + s * o.width, s * o.length + c * o.width
    return {**data, "length": long, "width": wide, "corner_radius": o.corner_radius}


def _print(
    m: Mounted, loaded: Loaded[Job], mount: Mount, found: Interface, stand: Stand, name: str, k: int
) -> Footprint:
    taken: list[SpaceSpec | Neighbour] = [*found.spaces, *found.neighbours]
    spaces = tuple(_space(s, stand, f"{name}-{s.name}") for s in taken)
    far = m.plate.covers.of("outer" if mount.side == "seal" else "seal")
    screws = tuple(choice(h, f"{name}-{h.name}", len(hole_places(h)), m.plate, far, loaded.model.limits)
                   for h in found.holes if h.screw is not None)  # fmt: skip
    joined = tuple(tuple((f"{name}-{p}", loop_of(mount, p, k, m.plate) or "") for p in group) for group in found.joined)
    return Footprint(m.name, name, found.interface, mount.side, spaces, screws, joined)


def _space(s: SpaceSpec | Neighbour, stand: Stand, name: str) -> Space:
    if isinstance(s, Neighbour) or s.diameter is not None:
        return Space(name, (stand.place(s.at),), (s.diameter or 0.0) / 2, *s.height)
    assert s.length is not None
    assert s.width is not None
    return Space(name, tuple(stand.place(p) for p in _corners(s.at, s.length, s.width)), 0.0, *s.height)
