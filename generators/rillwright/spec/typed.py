"""What is written in a parameter file, value by value, with its line: for telling two files apart."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from .yaml_events import Loc
from .yaml_source import Source


def leaves(value: Any, words: str = "", loc: Loc = ()) -> Iterator[tuple[str, Loc, Any]]:
    """Every value in nested data, with its path in words and its key path.

    In words, members of a list are named by their `name` where all have one. A list of plain values is one value.
    """
    if isinstance(value, dict):
        members = [(str(k), k, v) for k, v in value.items()]
    elif isinstance(value, list) and value and all(isinstance(v, dict) and "name" in v for v in value):
        members = [(str(v["name"]), i, v) for i, v in enumerate(value)]
    elif isinstance(value, list) and any(isinstance(v, dict | list) for v in value):
        members = [(str(i), i, v) for i, v in enumerate(value)]
    else:
        yield words, loc, value
        return
    for name, step, member in members:
        yield from leaves(member, f"{words}.{name}" if words else name, (*loc, step))


def typed(source: Source) -> dict[str, dict[str, Any]]:
    """By path in words: each value as it is written, and the line it stands in."""
    return {words: {"value": v, "line": source.where(loc)[0]} for words, loc, v in leaves(source.data)}
