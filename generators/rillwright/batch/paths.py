"""Parameter paths: from `reservoirs.left.tube.wall` or `plates.*.stock.thickness` to places in a base job.

A step is a key, the name of an entry in a list, its number from 0, or `*` for every entry. Keys that the base leaves
to their defaults are known all the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, get_origin

from ..spec.branches import child, fields_of, members
from ..spec.job import Job
from ..spec.messages import advice, shown
from ..spec.yaml_events import Loc

EVERY = "*"


class UnknownPath(ValueError):
    """A path that leads nowhere: what is wrong, and what to do."""

    def __init__(self, what: str, do: str | None = None) -> None:
        super().__init__(what)
        self.what, self.do = what, do


def places(path: str, data: dict[str, Any]) -> tuple[Loc, ...]:
    """Every place in a base job that a path means, at least one. Raises UnknownPath."""
    steps = path.split(".")
    if not all(steps):
        raise UnknownPath("a step of this path is empty", "write key.name.key with one dot between")
    missed: dict[str, set[str]] = {}
    found = tuple(_walk(steps, 0, data, [Job], (), missed))
    if not found:
        step, names = next(iter(missed.items()), ("", set()))
        raise UnknownPath(f"nothing in the base job has {shown(step)} there", advice(step, sorted(names), "names"))
    return found


def _walk(
    steps: list[str], at: int, data: Any, kinds: list[Any], loc: Loc, missed: dict[str, set[str]]
) -> Iterator[Loc]:
    if at == len(steps):
        yield loc
        return
    entries = _entries(steps, at, data, kinds)
    if not entries:
        missed.setdefault(steps[at], set()).update(map(str, _named(data) or ()))
    for part, below, kind in entries:
        yield from _walk(steps, at + 1, below, kind, (*loc, part), missed)


def _entries(steps: list[str], at: int, data: Any, kinds: list[Any]) -> list[tuple[str | int, Any, list[Any]]]:
    """What one step leads to: key or number, what lies there, and what the models say may lie there.

    Nothing where the step names an entry that is not in this list, but may be in another that a `*` before it means.
    """
    step, before = steps[at], ".".join(steps[:at]) or "the base job"
    every = [m for kind in kinds for m in members(kind)]
    keys = {key for kind in every for key in fields_of(kind)}
    if keys and (data is None or isinstance(data, dict)):
        if step == EVERY:
            raise UnknownPath(f"* stands for names and entries of lists, {before} has keys", _known(keys))
        if step not in keys:
            raise UnknownPath(f"there is no key {shown(step)} in {before}", advice(step, sorted(keys), "keys"))
        holders = [k for k in every if step in fields_of(k)]
        return [(step, (data or {}).get(step), [k for h in holders if (k := child(h, step)) is not None])]
    named = _named(data)
    if named is None and data is None and EVERY in steps[:at]:
        return []
    if named is None:
        raise UnknownPath(f"{before} has nothing below it", "end the path there")
    chosen = list(named) if step == EVERY else [step] if step in named else []
    if not chosen and isinstance(data, list) and step.isdigit() and int(step) < len(data):
        return [(int(step), data[int(step)], _below(every, int(step)))]
    if not chosen and EVERY not in steps[:at]:  # after a *, some entries may lack a part that others have
        raise UnknownPath(f"there is no {shown(step)} in {before}", advice(step, map(str, named), "names"))
    return [(named[c], data[named[c]], _below(every, named[c])) for c in chosen]


def _named(data: Any) -> dict[str | int, str | int] | None:
    """Keys of a mapping, or names (else numbers) of the entries of a list, each with its key or number."""
    if isinstance(data, dict):
        return {key: key for key in data}
    if isinstance(data, list):
        return {e["name"] if isinstance(e, dict) and isinstance(e.get("name"), str) else i: i for i, e in enumerate(data)}
    return None


def _below(kinds: list[Any], part: str | int) -> list[Any]:
    every = [k for k in kinds if get_origin(k) is not None]
    return [found for k in every if (found := child(k, part)) is not None]


def _known(keys: set[str]) -> str:
    return advice("", sorted(keys), "keys")
