"""Foot prints put on plates: spec to spec, before anything is placed. Lengths in mm, frame of the plate."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from ..spec.interface import Interface, Neighbour
from ..spec.interface import Space as SpaceSpec
from ..spec.interface_files import interface_file, known
from ..spec.job import Job
from ..spec.load import Loaded
from ..spec.messages import Problem, SpecError, advice
from ..spec.mount import Mount
from ..spec.plate import Plate
from ..spec.sized import Unfit, read_interface, sized
from ..spec.yaml_events import Loc
from .foot_pieces import Stand, face_of, pieces, space_at
from .footprint import Footprint, Plane
from .holes import places
from .mount_screws import choice


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
        if plate.block is not None:
            from .card_block import groups_hold

            if not groups_hold(m, loaded):
                problems += m.problems
                continue
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
    return (side in ("seal", "cover")) != upper


def _add(m: Mounted, loaded: Loaded[Job], mount: Mount, found: Interface, here: Loc) -> None:
    """Everything that one mount brings."""
    over = not looks_up(loaded.model, m.name, mount.side)
    if not _can_lie(m, loaded, mount, found, here):
        return
    _loops_known(m, loaded, mount, found, here)
    row = Stand(mount.at, mount.turn, over)
    for k in range(1, mount.count + 1):
        shift = (k - (mount.count + 1) / 2) * (mount.pitch or 0.0)
        stand = Stand(row.place((shift, 0.0)), mount.turn, over)
        name = mount.name if mount.count == 1 else f"{mount.name}-{k}"
        loops = {p.name: loop_of(mount, p.name, k, m.plate) for p in found.ports}
        for key, data, model in pieces(m.plate, mount, found, stand, name, loops):
            put(m, loaded, key, data, model, here)
        m.prints.append(_print(m, loaded, mount, found, stand, name, k))


def _can_lie(m: Mounted, loaded: Loaded[Job], mount: Mount, found: Interface, here: Loc) -> bool:
    """Whether a part can lie on the face that it is asked for; told where not."""
    on_cover = mount.side.endswith("cover")
    face = face_of(mount.side)
    if on_cover != (m.plate.covers.of(face) is not None):
        what = (f"there is no cover on the {face} face" if on_cover else
                f"the {face} face lies under a cover, and nothing can lie on it")  # fmt: skip
        do = f"give side: {face}" if on_cover else f"give side: {'cover' if face == 'seal' else 'outer-cover'}"
        m.problems.append(loaded.problem((*here, "side"), what, mount.side, do))
        return False
    blind = [h.name for h in found.holes if h.kind == "tapped" or h.depth is not None]
    blind += [w.name for w in found.windows if w.depth is not None]
    blind += [s.name for s in found.slots if s.depth is not None]
    if on_cover and blind:
        what = f"{blind[0]!r} is tapped or blind, and what is cut for a part on a cover goes through cover and plate"
        m.problems.append(loaded.problem((*here, "side"), what, mount.side, "give its holes kind: clearance"))
    return not (on_cover and blind)


def put(m: Mounted, loaded: Loaded[Job], key: str, data: dict[str, Any], model: type[BaseModel], here: Loc) -> None:
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


def _print(
    m: Mounted, loaded: Loaded[Job], mount: Mount, found: Interface, stand: Stand, name: str, k: int
) -> Footprint:
    taken: list[SpaceSpec | Neighbour] = [*found.spaces, *found.neighbours]
    spaces = tuple(space_at(s, stand, f"{name}-{s.name}") for s in taken)
    own = face_of(mount.side)
    covers = (m.plate.covers.of(own), m.plate.covers.of("outer" if own == "seal" else "seal"))
    screws = tuple(choice(h, f"{name}-{h.name}", len(places(h)), m.plate, covers, loaded.model.limits)
                   for h in found.holes if h.screw is not None)  # fmt: skip
    joined = tuple(tuple((f"{name}-{p}", loop_of(mount, p, k, m.plate) or "") for p in group) for group in found.joined)
    return Footprint(m.name, name, found.interface, mount.side, spaces, screws, joined)
