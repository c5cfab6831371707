"""A base job as plain data with its places, of which each variant gets a copy to change."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from ..spec.yaml_events import Loc, Marks
from ..spec.yaml_source import Source

_ENDS = ("from", "to")  # keys that name a port or drilling of the same plate


class Missing(ValueError):
    """Something cannot be set or taken away at a place; the message says why."""


def copied(source: Source) -> Source:
    """The same data and places, with nothing shared: not even what an anchor and its aliases stand for."""
    return Source(source.path, _data(source.data), _marks(source.marks))


def _data(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _data(below) for key, below in value.items()}
    return [_data(below) for below in value] if isinstance(value, list) else value


def _marks(marks: Marks) -> Marks:
    below = {part: _marks(m) for part, m in marks.below.items()}
    return Marks(marks.place, dict(marks.keys), below, marks.nodes, marks.height)


def put(source: Source, loc: Loc, value: Any, number: int) -> None:
    """Set a value; blocks on the way that the base leaves out are made. Raises Missing where one is no block.

    Its place becomes line −1 − `number`, which no file has: so whatever is wrong with it later tells who set it.
    """
    here: Any = source.data
    marks = source.marks
    for done, part in enumerate(loc[:-1], 1):
        if isinstance(here, dict) and here.get(part) is None:
            here[part] = {}
        here = here[part]
        if not isinstance(here, dict | list):
            raise Missing(f"{'.'.join(map(str, loc[:done]))} is a plain value in the base job, with nothing below it")
        marks = marks.below.setdefault(part, Marks(marks.place))
    here[loc[-1]] = _data(value)
    marks.below[loc[-1]] = Marks((-1 - number, 0))


def set_by(source: Source, line: int, key: str) -> int | None:
    """Number of the setting that a problem goes back to: of its own place, else of one below its key; None: the base."""
    if line < 0:
        return -1 - line
    marks: Marks | None = source.marks
    for step in key.split(".") if key else ():
        marks = next((m for part, m in marks.below.items() if str(part) == step), None) if marks else None
    return _first_set(marks) if marks is not None and key else None


def _first_set(marks: Marks) -> int | None:
    if marks.place[0] < 0:
        return -1 - marks.place[0]
    return next((n for m in marks.below.values() if (n := _first_set(m)) is not None), None)


def take_away(source: Source, locs: Iterable[Loc]) -> None:
    """Take entries out, and all that cannot stand without them.

    With a loop goes everything of that loop; with a port, drilling or passage whatever starts or ends at it, tubing
    too. A channel loses one of the ends it joins, and goes where fewer than two are left.
    """
    gone = set(locs)
    while more := _hanging(source.data, gone) - gone:
        gone |= more
    _unjoin(source.data, gone)
    for loc in sorted(gone, key=_last_first, reverse=True):
        _drop(source, loc)


def _last_first(loc: Loc) -> tuple[tuple[int, str], ...]:
    """Order in which a later entry of a list comes after an earlier one."""
    return tuple((part, "") if isinstance(part, int) else (-1, part) for part in loc)


def _hanging(data: dict[str, Any], gone: set[Loc]) -> set[Loc]:
    loops = {loc[1] for loc in gone if len(loc) == 2 and loc[0] == "loops"}
    found = {("reservoirs", i) for i, r in enumerate(data.get("reservoirs") or []) if _of(r, loops)}
    out: set[Loc] = {*found}
    ports: set[str] = set()
    for plate in data.get("plates") or {}:
        entries = _entries(data, plate)
        names = _names(entries, gone)
        ports |= {f"{plate}.{name}" for name in names}
        out |= {loc for loc, e in entries if _of(e, loops) or _ends_at(e, names)}
    runs = enumerate(data.get("runs") or [])
    return out | {("runs", i) for i, e in runs if isinstance(e, dict) and _ends_at(e, ports)}


def _entries(data: dict[str, Any], plate: str) -> list[tuple[Loc, dict[str, Any]]]:
    """Every entry of every list of a plate, with its place."""
    block = data["plates"][plate]
    lists = {k: v for k, v in (block.items() if isinstance(block, dict) else ()) if isinstance(v, list)}
    return [(("plates", plate, k, i), e) for k, v in lists.items() for i, e in enumerate(v) if isinstance(e, dict)]


def _names(entries: list[tuple[Loc, dict[str, Any]]], gone: set[Loc]) -> set[str]:
    return {e["name"] for loc, e in entries if loc in gone and isinstance(e.get("name"), str)}


def _unjoin(data: dict[str, Any], gone: set[Loc]) -> None:
    """Channels that stay join no more what goes."""
    for plate in data.get("plates") or {}:
        entries = _entries(data, plate)
        names = _names(entries, gone)
        for _, e in entries:
            for key in ("joins", "route"):
                if isinstance(e.get(key), list):
                    e[key] = [end for end in e[key] if not (isinstance(end, str) and end in names)]


def _of(entry: Any, loops: set[Any]) -> bool:
    return isinstance(entry, dict) and isinstance(entry.get("loop"), str) and entry["loop"] in loops


def _ends_at(entry: dict[str, Any], names: set[str]) -> bool:
    if any(isinstance(entry.get(k), str) and entry[k] in names for k in _ENDS):
        return True
    joins = entry.get("joins")
    if not isinstance(joins, list) or not any(isinstance(j, str) and j in names for j in joins):
        return False
    return sum(not (isinstance(j, str) and j in names) for j in joins) < 2


def _drop(source: Source, loc: Loc) -> None:
    holder, marks = source.data, source.marks
    for part in loc[:-1]:
        holder, marks = holder[part], marks.below[part]  # type: ignore[index]
    last: Any = loc[-1]
    if isinstance(holder, list):
        del holder[last]
        kept = [marks.below[i] for i in range(len(holder) + 1) if i != last]
        marks.below = dict(enumerate(kept))
    elif last in holder:
        del holder[last]
        marks.below.pop(last, None)
