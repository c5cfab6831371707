"""Foot prints with sizes changed by a mount's words."""

from __future__ import annotations

from collections.abc import Mapping
from copy import deepcopy
from pathlib import Path
from typing import Any

from .interface import Interface
from .load import Loaded, fitted, load
from .messages import SpecError, advice, nearest, shown
from .yaml_source import Source


class Unfit(Exception):
    """A mount's word that does not fit its foot print: the word (empty: the mount), what is wrong, what to do."""

    def __init__(self, word: str, what: str, do: str | None = None, got: object = None) -> None:
        super().__init__(what)
        self.word, self.what, self.do, self.got = word, what, do, got


def read_interface(path: Path) -> Loaded[Interface]:
    """A foot print from its file, shown as the user would find it. Raises SpecError with places in that file."""
    found = load(path, Interface)
    problems = []
    for word, size in found.model.sizes.items():
        for i, key in enumerate(size.into):
            try:
                _place(found.source.data, key)
            except KeyError as e:
                what, do = e.args
                problems.append(found.problem(("sizes", word, "into", i), what, key, do))
    if found.model.interface != path.stem:
        problems.append(found.problem(("interface",), "the file has another name", found.model.interface,
                                      f"write {path.stem}, as the file is named"))  # fmt: skip
    if problems:
        raise SpecError(problems)
    return found


def sized(loaded: Loaded[Interface], given: Mapping[str, Any]) -> Interface:
    """The foot print with these sizes. Raises Unfit."""
    known = loaded.model.sizes
    for word in given:
        if word not in known:
            raise Unfit(word, f"{loaded.model.interface} has no size of this name", advice(word, known, "sizes"), word)
    for word, size in known.items():
        if size.ask and word not in given:
            about = f": {size.about}" if size.about else ""
            raise Unfit("", f"{loaded.model.interface} needs set.{word}{about}", "measure the part and give it")
    if not given:
        return loaded.model
    data = deepcopy(loaded.source.data)
    for word, value in given.items():
        for key in known[word].into:
            holder, last = _place(data, key)
            holder[last] = value
            try:
                made = fitted(Source(loaded.source.path, data, loaded.source.marks), Interface).model
            except SpecError as e:
                raise Unfit(word, e.problems[0].what, e.problems[0].do, shown(value)) from None
    return made


def _place(data: Any, key: str) -> tuple[Any, Any]:
    """What holds the value at a key path, and its key or index there. Raises KeyError with what and what to do."""
    here, steps = data, key.split(".")
    for i, step in enumerate(steps):
        at = _step(here, step)
        if at is None:
            names = [x["name"] for x in here if isinstance(x, dict) and "name" in x] if isinstance(here, list) else (
                list(here) if isinstance(here, dict) else [])  # fmt: skip
            near = nearest(step, [str(n) for n in names])
            raise KeyError(f"there is no {step!r} at {'.'.join(steps[:i]) or 'the top'}",
                           f'did you mean "{near}"?' if near else "give a key that the file holds")  # fmt: skip
        if i == len(steps) - 1:
            return here, at
        here = here[at]
    raise KeyError("an empty key", "give a key that the file holds")


def _step(here: Any, step: str) -> str | int | None:
    if isinstance(here, dict):
        return step if step in here else None
    if isinstance(here, list):
        named = next((i for i, x in enumerate(here) if isinstance(x, dict) and x.get("name") == step), None)
        return named if named is not None else int(step) if step.isdigit() and int(step) < len(here) else None
    return None
