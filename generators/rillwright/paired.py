"""Rows of two tables paired: numbered things by their places rather than their numbers, other tables by first columns."""

from __future__ import annotations

import csv
import io
import math
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

Name = tuple[str, ...]
Row = dict[str, str]
Rows = dict[Name, Row]
Change = tuple[str, str, str]  # what, in A, in B

_NUMBERED = re.compile(r"(.+)[-.](\d+)")
PLACE = ("x_mm", "y_mm", "z_mm")
LONG = ("groove", "channel")  # their one place says nothing of where they lie
STILL = 5e-4  # mm: tables give thousandths
NOTHING = "(none)"  # stands where one of the two has no such thing


@dataclass(frozen=True, slots=True)
class Numbered:
    """Things of one kind that differ only by number, of which some came, went or moved. `largest`: farthest move, mm."""

    what: str  # "board.cover.screw"
    a: int
    b: int
    moved: int
    largest: float

    @property
    def words(self) -> str:
        """`58 → 54, 4 fewer, 12 moved (largest 3.1 mm)`."""
        more = self.b - self.a
        said = [f"{self.a}  →  {self.b}" + (f", {abs(more)} {'more' if more > 0 else 'fewer'}" if more else "")]
        if self.moved:
            said.append(f"{self.moved} moved (largest {self.largest:.1f} mm)")
        return ", ".join(said)


def stem(name: Name) -> Name | None:
    """What the name of a numbered thing begins with; None for a name of its own."""
    found = _NUMBERED.fullmatch(name[-1])
    return (*name[:-1], found[1]) if found else None


def renamed(a: Rows, b: Rows) -> Rows:
    """Rows of B, each numbered one under the name in A of the same kind, first of one size, that lies nearest.

    What is left over keeps its name, or takes a number that nobody in A has if another took it.
    """
    to: dict[Name, Name] = {}
    for kind in ({k: k for n in b if (k := stem(n))}):
        ours, theirs = ([n for n in t if stem(n) == kind] for t in (a, b))
        for sized in (True, False):
            to |= _nearest([n for n in ours if n not in to.values()], [n for n in theirs if n not in to], a, b, sized)
    out: Rows = {to[n]: row for n, row in b.items() if n in to}
    free = max((int(m[2]) for n in (*a, *b) if (m := _NUMBERED.fullmatch(n[-1]))), default=0)
    for n, row in b.items():
        if n in to:
            continue
        if n in out or (n in a and stem(n)):
            free += 1
            n = (*n[:-1], f"{n[-1].rstrip('0123456789')}{free}")
        out[n] = row
    return out


def _nearest(ours: list[Name], theirs: list[Name], a: Rows, b: Rows, sized: bool) -> dict[Name, Name]:
    """Pairs, theirs to ours: the nearest two first."""
    found = sorted(
        (distance(a[o], b[t]), o != t, i, j) for i, o in enumerate(ours) for j, t in enumerate(theirs)
        if not sized or _size(a[o], ours) == _size(b[t], theirs)
    )  # fmt: skip
    left, right, pairs = set(range(len(ours))), set(range(len(theirs))), {}
    for _, _, i, j in found:
        if i in left and j in right:
            left.remove(i)
            right.remove(j)
            pairs[theirs[j]] = ours[i]
    return pairs


def _size(row: Row, names: list[Name]) -> list[str]:
    """Everything of a row but its name and its place."""
    called = {n[-1] for n in names}
    return [v for c, v in row.items() if c not in PLACE and v not in called]


def place(row: Row) -> tuple[float, ...] | None:
    """Where the thing of a row lies, mm; None where its table tells none, or only where something long begins."""
    try:
        return None if row.get("call_out", "").startswith(LONG) else tuple(float(row[c]) for c in PLACE)
    except (KeyError, ValueError):
        return None


def distance(a: Row, b: Row) -> float:
    """How far two rows' things lie apart, mm; 0 where a table tells no places."""
    one, other = place(a), place(b)
    return 0.0 if one is None or other is None else math.dist(one, other)


def numbered(a: Rows, b: Rows) -> list[Numbered]:
    """Kinds of which some came, went or moved; `b` as `renamed` gives it."""
    out = []
    for kind in ({k: k for n in (*a, *b) if (k := stem(n))}):
        ours, theirs = ({n for n in t if stem(n) == kind} for t in (a, b))
        moves = [d for n in ours & theirs if (d := distance(a[n], b[n])) > STILL]
        if moves or len(ours) != len(theirs):
            out.append(Numbered(".".join(kind), len(ours), len(theirs), len(moves), max(moves, default=0.0)))
    return out


def table_changes(a: Path, b: Path) -> list[Change] | None:
    """Rows of a CSV file that are not in both; None where one cannot be read. Paired by as few first columns as do."""
    try:
        tables = [list(csv.reader(io.StringIO(f.read_text(encoding="utf-8")))) for f in (a, b)]
    except (OSError, ValueError, csv.Error):
        return None
    if not all(tables) or tables[0][0] != tables[1][0]:
        return None
    head = tables[0][0]
    counts = [Counter(map(tuple, t[1:])) for t in tables]
    gone, come = (list((x - y).elements()) for x, y in (counts, counts[::-1]))
    keys = next((k for k in range(1, len(head)) if all(len({r[:k] for r in t}) == len(t) for t in (gone, come))), len(head))
    left, right = ({r[:keys]: r for r in t} for t in (gone, come))
    return [_told(k, left.get(k), right.get(k), head) for k in {**left, **right}]


def _told(key: Name, a: Sequence[str] | None, b: Sequence[str] | None, head: list[str]) -> Change:
    label, n = ", ".join(filter(None, key)), len(key)
    if a is None or b is None:
        words = ", ".join(filter(None, (a or b or ())[n:])) or "there"
        return (label, words, NOTHING) if b is None else (label, NOTHING, words)
    cells = [(h, x, y) for h, x, y in zip(head[n:], a[n:], b[n:], strict=False) if x != y]
    return (label, *(", ".join(f"{c[0]} {c[i] or NOTHING}" for c in cells) for i in (1, 2)))  # type: ignore[return-value]
