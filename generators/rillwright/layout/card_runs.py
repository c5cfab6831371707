"""Which drillings join a row of cards, from which end each comes, and how deep it has to lie. Lengths in mm.

Cards in parallel share one drilling along the row of their first ports and one along the row of their second ports.
Cards in series are joined in turn in the second and in the first row, so that coolant goes through every other card the
other way round. A drilling comes from an end of the row; where it has to pass bores that it must not open, it lies a
level deeper.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ..spec.mount import Block, CardGroup, Outlet

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


def require_groups(block: Block, count: int) -> None:
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


def runs_of(block: Block, rows: Rows) -> list[Run]:
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
        _choose_end(r, block, rows)
    return out


def _choose_end(r: Run, block: Block, rows: Rows) -> None:
    """The end that it passes fewer bores from, and no outlet that goes on to the far face."""
    deep = {(row, card): name for n, g in enumerate(block.groups)
            for name, outlet, (row, card) in zip(names_of(block, n), (g.inlet, g.outlet), ends_of(g), strict=True)
            if outlet.on == "outer"}  # fmt: skip
    ends: tuple[End, ...] = (r.end,) if r.outlet else ("low", "high")
    ways = []
    for end in ends:
        r.end = end
        under = passed(r, rows)
        stops = [deep[r.row, k] for k in under if (r.row, k) in deep]
        ways.append((bool(stops), len(under), end, stops))
    shut, _, r.end, stops = min(ways)
    if shut:
        cards = f"card {r.low}" if r.low == r.high else f"cards {r.low} and {r.high}"
        names = ", ".join(n for w in ways for n in w[3])
        raise Undrillable(
            f"no drilling comes to {cards} from the row's ends: {names} to the outer face "
            "stands in the way", "bring that outlet to an edge; or make the groups smaller, or join the cards by a covered "
            "plate", "groups",
        )  # fmt: skip


def names_of(block: Block, n: int) -> tuple[str, str]:
    """Names of a group's inlet and outlet."""
    loop = block.groups[n].loop
    alone = sum(g.loop == loop for g in block.groups) == 1
    stem = loop if alone else f"{loop}-{n + 1}"
    return f"{stem}-in", f"{stem}-out"


def _end_of(outlet: Outlet, rows: Rows) -> End | None:
    """The row's end that an outlet lies at, None for one on another face."""
    return "low" if outlet.on == rows.edge("low") else "high" if outlet.on == rows.edge("high") else None


def passed(r: Run, rows: Rows) -> range:
    """Cards whose bores a run passes; cards may be counted towards either end."""
    before, behind = range(1, r.low), range(r.high + 1, rows.count + 1)
    return before if (r.end == "low") == rows.rising else behind


def set_levels(runs: list[Run], rows: Rows) -> None:
    """How deep each run lies, in steps: under every bore that it passes."""
    for _ in range(len(runs) + 1):
        still = True
        for r in runs:
            below = [max((o.level for o in runs if o.row == r.row and o.low <= k <= o.high), default=0)
                     for k in passed(r, rows)]  # fmt: skip
            level = 1 + max(below) if below else 0
            still, r.level = still and level == r.level, level
        if still:
            return
    raise Undrillable(
        "its drillings would each have to pass under another",
        "bring the inlets and outlets to other faces, or join the cards by a covered plate", "groups",
    )  # fmt: skip
