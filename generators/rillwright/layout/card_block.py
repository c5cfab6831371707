"""Drillings of a block that joins the ports of a row of cards: in parallel, in series, or split over loops. Lengths in mm.

Cards in parallel share one drilling along the row of their first ports and one along the row of their second ports.
Cards in series are joined in turn in the second and in the first row, so that coolant goes through every other card the
other way round. A drilling comes from an end of the row; where it has to pass bores that it must not open, it lies a
level deeper.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

from ..spec.job import Job, Limits
from ..spec.load import Loaded
from ..spec.mount import Block, CardGroup, Mount, Outlet
from ..spec.plate import Drilling, Plate, Port
from ..spec.yaml_events import Loc
from ..standards import threads
from .face_seals import groove_size
from .mounts import Mounted, _made

End = Literal["low", "high"]  # of the row: left or front, right or back
Point2 = tuple[float, float]


@dataclass(slots=True)
class Run:
    """A drilling along one row, over the bores of cards `low` to `high` of a group."""

    row: int
    low: int
    high: int
    group: int
    outlet: str = ""  # the port it begins in; empty: a plug
    end: End = "low"
    level: int = 0


@dataclass(frozen=True, slots=True)
class Rows:
    """Where the bores of a block stand: by row and card, along and across the row."""

    places: tuple[tuple[Point2, ...], tuple[Point2, ...]]
    along: int  # 0: the row lies along x, 1: along y

    @property
    def count(self) -> int:
        return len(self.places[0])

    def edge(self, end: End) -> str:
        return (("left", "right"), ("front", "back"))[self.along][end == "high"]

    @property
    def rising(self) -> bool:
        """Whether the cards are counted towards the high end."""
        return self.count < 2 or self.places[0][1][self.along] > self.places[0][0][self.along]


class Undrillable(Exception):
    """What cannot be drilled, and what to do."""

    def __init__(self, what: str, do: str, key: str = "") -> None:
        super().__init__(what)
        self.what, self.do, self.key = what, do, key


def add_block(m: Mounted, loaded: Loaded[Job]) -> None:
    """The drillings, outlets and depths of bores of a plate's block."""
    block, here = m.plate.block, ("plates", m.name, "block")
    assert block is not None
    try:
        mount = _mount(m.plate, block)
        rows = _rows(m, mount, block)
        _groups_hold(block, rows.count)
        runs = _runs(block, rows)
        _levels(runs, rows)
        depths = _depths(m.plate, block, runs, loaded.model.limits)
        _bores(m, mount, block, rows, runs, depths)
        for key, data, n in _cuts(m, mount, block, rows, runs, depths):
            _made(m, loaded, key, data, Port if key == "ports" else Drilling, (*here, "groups", n))
    except Undrillable as e:
        loc: Loc = (*here, e.key) if e.key else here
        m.problems.append(loaded.problem(loc, e.what, do=e.do))


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


def _groups_hold(block: Block, count: int) -> None:
    held = [k for g in block.groups for k in range(g.cards[0], g.cards[1] + 1)]
    beyond = [k for k in held if k > count]
    if beyond:
        raise Undrillable(f"there is no card {beyond[0]}: the row has {count}", "give cards from 1 to that", "groups")
    wrong = next((k for k in range(1, count + 1) if held.count(k) != 1), None)
    if wrong is not None:
        what = f"card {wrong} is in {'no' if wrong not in held else 'more than one'} group"
        raise Undrillable(what, "put every card into one group", "groups")


def ends_of(g: CardGroup) -> tuple[tuple[int, int], tuple[int, int]]:
    """Row and card of the bores that coolant enters and leaves a group by."""
    first, last = g.cards
    odd = (last - first + 1) % 2 == 1
    return (0, first), (1 if g.way == "parallel" or odd else 0, last)


def _runs(block: Block, rows: Rows) -> list[Run]:
    out = []
    for n, g in enumerate(block.groups):
        first, last = g.cards
        mine = []
        if g.way == "parallel" and last > first:
            mine = [Run(0, first, last, n), Run(1, first, last, n)]
        elif g.way == "series":
            mine = [Run(1 - (k - first) % 2, k, k + 1, n) for k in range(first, last)]
        for outlet, name, (row, card) in zip((g.inlet, g.outlet), names_of(block, n), ends_of(g), strict=True):
            end = _end_of(outlet, rows)
            if end is None:
                continue
            run = next((r for r in mine if r.row == row and g.way == "parallel"), None)
            if run is None:
                run = Run(row, card, card, n)
                mine.append(run)
            run.outlet, run.end = name, end
        out += mine
    for r in out:
        if not r.outlet:
            low, high = len(range(1, r.low)), len(range(r.high, rows.count))
            r.end = "low" if (low <= high) == rows.rising else "high"
    return out


def names_of(block: Block, n: int) -> tuple[str, str]:
    """Names of a group's inlet and outlet."""
    loop = block.groups[n].loop
    alone = sum(g.loop == loop for g in block.groups) == 1
    stem = loop if alone else f"{loop}-{n + 1}"
    return f"{stem}-in", f"{stem}-out"


def _end_of(outlet: Outlet, rows: Rows) -> End | None:
    """The row's end that an outlet lies at, None for one on another face."""
    return "low" if outlet.on == rows.edge("low") else "high" if outlet.on == rows.edge("high") else None


def _passed(r: Run, rows: Rows) -> range:
    """Cards whose bores a run passes; cards may be counted towards either end."""
    before, behind = range(1, r.low), range(r.high + 1, rows.count + 1)
    return before if (r.end == "low") == rows.rising else behind


def _levels(runs: list[Run], rows: Rows) -> None:
    """How deep each run lies, in steps: under every bore that it passes."""
    for _ in range(len(runs) + 1):
        still = True
        for r in runs:
            below = [max((o.level for o in runs if o.row == r.row and o.low <= k <= o.high), default=0)
                     for k in _passed(r, rows)]  # fmt: skip
            level = 1 + max(below) if below else 0
            still, r.level = still and level == r.level, level
        if still:
            return
    raise Undrillable(
        "its drillings would each have to pass under another",
        "bring the inlets and outlets to other faces, or join the cards by a covered plate", "groups",
    )  # fmt: skip


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
