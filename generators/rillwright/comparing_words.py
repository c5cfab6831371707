"""What moved, what is bought and which tables differ between two built jobs, in few lines."""

from __future__ import annotations

import csv
from typing import TYPE_CHECKING

from .paired import LONG, NOTHING, PLACE, place, stem

if TYPE_CHECKING:
    from .differences import Differences, Folder
    from .paired import Change

FEW = 4  # rows of a table that are told
_PLACES = tuple(f" {c}" for c in PLACE)
BOUGHT = "cut-list.csv"


def feature_lines(a: Folder, b: Folder, found: Differences) -> list[str]:
    """Numbered kinds counted, others that moved with both places, then all that differs in something else."""
    kinds, changes = found.numbered["features"], found.tables["features"] or []
    told = [(n.what, n.words) for n in kinds]
    one, other = a.rows("features") or {}, b.rows("features") or {}
    for name, row in one.items():
        old, new = place(row), place(other.get(name, {}))
        if stem(name) is None and old and new and old != new:
            far = sum((x - y) ** 2 for x, y in zip(old, new, strict=True)) ** 0.5
            told.append((".".join(name), f"moved {far:.1f} mm: ({_at(old)})  →  ({_at(new)})"))
    counted = {tuple(n.what.split(".", 1)) for n in kinds}
    told += [(w, f"{x}  →  {y}") for w, x, y in changes if not w.endswith(_PLACES)
             and not (NOTHING in (x, y) and stem(tuple(w.split(".", 1))) in counted)]  # fmt: skip
    known = {w.removesuffix(" call_out") for w, _ in told}
    otherwise = {w.rpartition(" ")[0] for w, *_ in changes if w.endswith(_PLACES)}
    long = [".".join(n) for n, row in one.items() if row.get("call_out", "").startswith(LONG)]
    told += [(w, "lies otherwise") for w in long if w in otherwise and w not in known]
    return _columns("features", told)


def part_lines(a: Folder, b: Folder, found: Differences) -> list[str]:
    """Counts and lengths from the list of what is bought, then parts that are not numbered."""
    kinds, changes = found.numbered["parts"], found.tables["parts"] or []
    left, right = (_bought(x) for x in (a, b)) if found.sheets.get(BOUGHT) else ({}, {})
    told = [(w, f"{left.get(w, NOTHING)}  →  {right.get(w, NOTHING)}") for w in {**left, **right}
            if left.get(w) != right.get(w)] or [(n.what, n.words) for n in kinds]  # fmt: skip
    counted = {(n.what,) for n in kinds}
    told += [(w, f"{x}  →  {y}") for w, x, y in changes if not (NOTHING in (x, y) and stem((w,)) in counted)]
    return _columns("bought parts", told)


def _bought(folder: Folder) -> dict[str, str]:
    """Count or length of each line of the list, with its unit, and its size where its name does not tell it."""
    with (folder.path / BOUGHT).open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file, restval="", restkey=""))
    return {f"{r.get('what')} ({r.get('for')})": f"{r.get('count')} {r.get('unit')}"
            + (f", {r.get('size_mm')}" if r.get("kind") == "blank" else "") for r in rows}  # fmt: skip


def file_lines(found: Differences) -> list[str]:
    """Tables by their rows; of the rest only the names."""
    files = [f for f in found.files if not (f[0] == BOUGHT and found.sheets.get(BOUGHT))]
    if not files:
        return ["paper and other tables: the same"] if not found.files else []
    lines = [f"paper and other tables: {len(files)} differ"]
    for side, i in (("A", 2), ("B", 1)):
        if alone := [f[0] for f in files if f[i] == NOTHING]:
            lines.append(f"  only in {side}: {', '.join(alone)}")
    plain = [n for n, *sizes in files if n not in found.sheets and NOTHING not in sizes]
    if plain:
        lines.append(f"  {', '.join(plain)}")
    for name, *_ in files:
        if name in found.sheets:
            lines += _sheet(name, found.sheets[name])
    return lines


def _sheet(name: str, rows: list[Change]) -> list[str]:
    gone, come = sum(r[2] == NOTHING for r in rows), sum(r[1] == NOTHING for r in rows)
    counts = ((come, "added"), (gone, "gone"), (len(rows) - gone - come, "changed"))
    said = ", ".join(f"{n} {word}" for n, word in counts if n)
    lines = [f"  {name}: rows {said or 'in another order'}", *(f"    {w}: {x}  →  {y}" for w, x, y in rows[:FEW])]
    return [*lines, f"    and {len(rows) - FEW} more; --json lists all"] if len(rows) > FEW else lines


def _at(spot: tuple[float, ...]) -> str:
    return ", ".join(f"{c:g}" for c in spot)


def _columns(title: str, told: list[tuple[str, str]]) -> list[str]:
    if not told:
        return [f"{title}: the same"]
    wide = min(max(len(w) for w, _ in told), 60)
    return [f"{title}: {len(told)} differ", *(f"  {w:<{wide}}  {words}" for w, words in told)]
