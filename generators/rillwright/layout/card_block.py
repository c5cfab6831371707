"""Drillings of a block that joins the ports of a row of cards: in parallel, in series, or by loops. Lengths in mm."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ..spec.job import Job, Limits
from ..spec.load import Loaded
from ..spec.mount import Block, Mount, Outlet
from ..spec.plate import Drilling, Plate, Port
from ..spec.yaml_events import Loc
from ..standards import threads
from .card_runs import Rows, Run, Undrillable, ends_of, names_of, require_groups, runs_of, set_levels
from .face_seals import groove_size
from .footprint import Footprint
from .mounts import Mounted, put


def add_block(m: Mounted, loaded: Loaded[Job]) -> None:
    """The drillings, outlets and depths of bores of a plate's block."""
    block, here = m.plate.block, ("plates", m.name, "block")
    assert block is not None
    try:
        mount = _mount(m.plate, block)
        rows = _rows(m, mount, block)
        runs = runs_of(block, rows)
        set_levels(runs, rows)
        depths = _depths(m.plate, block, runs, loaded.model.limits)
        _bores(m, mount, block, rows, runs, depths)
        for key, data, n in _cuts(m, mount, block, rows, runs, depths):
            put(m, loaded, key, data, Port if key == "ports" else Drilling, (*here, "groups", n))
        m.prints.append(Footprint(m.name, "block", "block", "seal", (), passages=_passages(mount, block, runs)))
    except Undrillable as e:
        loc: Loc = (*here, e.key) if e.key else here
        m.problems.append(loaded.problem(loc, e.what, do=e.do))


def groups_hold(m: Mounted, loaded: Loaded[Job]) -> bool:
    """Whether every card of a plate's block is in one group; told where not."""
    block = m.plate.block
    assert block is not None
    try:
        require_groups(block, _mount(m.plate, block).count)
    except Undrillable as e:
        loc: Loc = ("plates", m.name, "block", e.key) if e.key else ("plates", m.name, "block")
        m.problems.append(loaded.problem(loc, e.what, do=e.do))
    return not m.problems


def _passages(mount: Mount, block: Block, runs: list[Run]) -> tuple[tuple[str, ...], ...]:
    """The ports that the block has to join inside, passage by passage; every port is in one of them."""
    sets: list[set[str]] = [{bore_name(mount, port, k)} for port in block.ports for k in range(1, mount.count + 1)]
    joins = [{bore_name(mount, block.ports[r.row], k) for k in range(r.low, r.high + 1)} for r in runs]
    for n, g in enumerate(block.groups):
        joins += [{name, bore_name(mount, block.ports[row], card)}
                  for name, (row, card) in zip(names_of(block, n), ends_of(g), strict=True)]  # fmt: skip
    for j in joins:
        met = [s for s in sets if s & j]
        sets = [s for s in sets if s not in met] + [j.union(*met)]
    return tuple(tuple(sorted(s)) for s in sets)


def _mount(plate: Plate, block: Block) -> Mount:
    mount = next((x for x in plate.mounts if x.name == block.row), None)
    if mount is None:
        names = ", ".join(x.name for x in plate.mounts) or "none: the plate has no mounts"
        raise Undrillable(f"there is no mount {block.row!r}", f"give one of {names}", "row")
    if mount.side != "seal" or mount.turn % 90:
        raise Undrillable("the cards lie on the seal face of a block, in a row along one of its edges",
                          "give the mount side: seal and a turn by quarters", "row")  # fmt: skip
    if plate.outline.length is None:
        raise Undrillable("a block is a rectangle", "give its outline length and width")
    return mount


def bore_name(mount: Mount, port: str, card: int) -> str:
    """Name of a card's port in the plate."""
    return f"{mount.name}-{port}" if mount.count == 1 else f"{mount.name}-{card}-{port}"


def _rows(m: Mounted, mount: Mount, block: Block) -> Rows:
    at = {p.name: p.at for p, _ in m.items.get("ports", []) if isinstance(p, Port)}
    places = []
    for port in block.ports:
        names = [bore_name(mount, port, k) for k in range(1, mount.count + 1)]
        lost = next((n for n in names if n not in at), None)
        if lost is not None:
            raise Undrillable(f"{mount.interface} has no port {port!r}", "name its two ports under ports", "ports")
        places.append(tuple(at[n] for n in names))
    along = 0 if mount.turn % 180 == 0 else 1
    rows = Rows((places[0], places[1]), along)
    if abs(places[0][0][1 - along] - places[1][0][1 - along]) < 1:
        raise Undrillable("the cards' two ports lie in one line along the row, where drillings would open both",
                          "turn the cards by a quarter")  # fmt: skip
    return rows


def _depths(plate: Plate, block: Block, runs: list[Run], limits: Limits) -> list[float]:
    """Depth of each level below the cards' face, mm. Raises Undrillable where the block is too thin."""
    wide = [threads.port(block.plug).spotface_diameter / 2]
    wide += [threads.port(o.thread).spotface_diameter / 2 for g in block.groups for o in (g.inlet, g.outlet)
             if o.on != "outer"]  # fmt: skip
    rim = max(wide) + limits.lip + plate.outline.chamfer
    first = block.level or max(rim, block.drill / 2 + limits.wall_wet + 2)
    shared = {(r.row, r.end, r.level) for r in runs}
    stacked = any((row, end, level - 1) in shared for row, end, level in shared)
    step = max(block.drill + limits.wall_wet, 2 * max(wide) + limits.spanner if stacked else 0.0)
    levels = 1 + max((r.level for r in runs), default=0)
    depths = [round(first + i * step, 3) for i in range(levels)]
    least = depths[-1] + max(rim, block.drill / 2 + limits.wall_outside)
    if least > plate.stock.thickness + 1e-9:
        many = f"in {levels} levels " if levels > 1 else ""
        raise Undrillable(
            f"its drillings {many}take a block {least:.1f} mm thick, and this one has {plate.stock.thickness:g} mm",
            "take a thicker block or smaller plugs, bring outlets to the ends, make groups smaller, or join the cards by a "
            "covered plate with channels",
        )  # fmt: skip
    return depths


def _level(runs: list[Run], row: int, card: int) -> int:
    return max((r.level for r in runs if r.row == row and r.low <= card <= r.high), default=0)


def _bores(m: Mounted, mount: Mount, block: Block, rows: Rows, runs: list[Run], depths: list[float]) -> None:
    """Each bore as deep as the drilling that it meets."""
    deep = {bore_name(mount, port, k): depths[_level(runs, row, k)] for row, port in enumerate(block.ports)
            for k in range(1, rows.count + 1)}  # fmt: skip
    items = m.items["ports"]
    for i, (p, origin) in enumerate(items):
        assert isinstance(p, Port)
        if p.name in deep:
            items[i] = (p.model_copy(update={"depth": deep[p.name]}), origin)
    for p, _ in items:
        if isinstance(p, Port) and p.name in deep and p.face_seal is not None and p.bore is not None:
            room = groove_size(p.face_seal, p.bore)[2] + block.drill / 2
            if depths[0] < room:
                raise Undrillable(f"a drilling {depths[0]:g} mm deep would cut the grooves",
                                  f"give {room + 3:g} or more, or leave level out", "level")  # fmt: skip


def _cuts(
    m: Mounted, mount: Mount, block: Block, rows: Rows, runs: list[Run], depths: list[float]
) -> Iterator[tuple[str, dict[str, Any], int]]:
    """Outlets and drillings as data, with the number of their group."""
    for n, g in enumerate(block.groups):
        for outlet, name, (row, card) in zip((g.inlet, g.outlet), names_of(block, n), ends_of(g), strict=True):
            yield from _outlet(m, mount, block, rows, runs, depths, (n, row, card, outlet, name))
    number = 0
    for r in runs:
        near, far = (r.low, r.high) if (r.end == "low") == rows.rising else (r.high, r.low)
        across = rows.places[r.row][near - 1][1 - rows.along]
        data: dict[str, Any] = {"to": bore_name(mount, block.ports[r.row], far), "diameter": block.drill}
        if r.outlet:
            data |= {"name": f"{r.outlet}-run", "from": r.outlet}
        else:
            number += 1
            data |= {"name": f"{mount.name}-run-{number}", "from": rows.edge(r.end), "loop": block.groups[r.group].loop,
                     "at": (across, -depths[r.level]), "plug": block.plug}  # fmt: skip
        yield "drillings", data, r.group


def _outlet(
    m: Mounted, mount: Mount, block: Block, rows: Rows, runs: list[Run], depths: list[float],
    what: tuple[int, int, int, Outlet, str],
) -> Iterator[tuple[str, dict[str, Any], int]]:  # fmt: skip
    n, row, card, outlet, name = what
    at, z = rows.places[row][card - 1], depths[_level(runs, row, card)]
    port: dict[str, Any] = {"name": name, "loop": block.groups[n].loop, "on": outlet.on, "thread": outlet.thread}
    if outlet.on == "outer":
        yield "ports", {**port, "at": at}, n
        room = m.plate.stock.thickness - z - threads.port(outlet.thread).hole_depth
        if room > 0:
            yield "drillings", {"name": f"{name}-run", "from": name, "to": bore_name(mount, block.ports[row], card),
                                "diameter": block.drill}, n  # fmt: skip
        return
    own = next((r for r in runs if r.outlet == name), None)
    place = at[1 - rows.along] if own is not None else at[rows.along]
    z = depths[own.level] if own is not None else z
    yield "ports", {**port, "at": (place, -z)}, n
    if own is None:
        other = rows.places[1 - row][card - 1][1 - rows.along]
        mine, toward = at[1 - rows.along], outlet.on in ("back", "right")
        if (other > mine) == toward:
            raise Undrillable(
                f"{name!r} on the {outlet.on} edge would pass through the card's other bore",
                "bring it to the opposite edge, to the outer face, or to the row's end", "groups",
            )  # fmt: skip
        yield "drillings", {"name": f"{name}-run", "from": name, "to": bore_name(mount, block.ports[row], card),
                            "diameter": block.drill}, n  # fmt: skip
