"""What is wrong with a parameter file, in words: where, what is wanted, what was given, what to do."""

from __future__ import annotations

import difflib
import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

_SHOWN = 60  # characters of a given value that a message repeats
_LISTED = 20  # names that a message lists before it counts the rest


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong in a file. Line and column count from 1; line 0: the file as a whole.

    `got` is the given value in words already (see `shown`), None where there is nothing to show.
    """

    path: str
    line: int
    column: int
    key: str  # "reservoirs.0.tube.wall", empty for the whole file
    what: str
    got: str | None = None
    do: str | None = None

    def __str__(self) -> str:
        place = f"{self.path}:{self.line}:{self.column}" if self.line else self.path
        key = f" {self.key}:" if self.key else ""
        got = f" (got {self.got})" if self.got is not None else ""
        do = f"; {self.do}" if self.do else ""
        return f"{place}:{key} {self.what}{got}{do}"


class SpecError(Exception):
    """A parameter file that cannot be used: all its problems, in the order of the file."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        unique = dict.fromkeys(problems)
        self.problems: tuple[Problem, ...] = tuple(
            sorted(unique, key=lambda p: (p.path, p.line, p.column, p.key, p.what))
        )
        super().__init__("\n".join(map(str, self.problems)))

    def __reduce__(self) -> tuple[type[SpecError], tuple[tuple[Problem, ...]]]:
        return (SpecError, (tuple(self.problems),))  # so that it crosses from a worker process


def printable(text: str) -> str:
    """Text on one line, with what cannot be printed written as an escape."""
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text)


def shown(given: object) -> str:
    """A given value as its writer would know it again: YAML words, text in quotes, long text cut."""
    if given is None:
        return "nothing"
    if isinstance(given, bool):
        return "true" if given else "false"
    if isinstance(given, dict):
        return "a mapping" if given else "an empty mapping"
    if isinstance(given, list | tuple):
        return f"a list of {len(given)}"
    text = given if isinstance(given, str) else _number(given)
    if len(text) > _SHOWN:
        text = f"{text[:_SHOWN]}…"
    return f'"{printable(text)}"' if isinstance(given, str) else text


def _number(given: object) -> str:
    # str() of a very long int raises in Python (sys.get_int_max_str_digits); nobody reads so many digits.
    if isinstance(given, int) and abs(given) >= 10**_SHOWN:
        return "a very large number"
    return str(given)


def dotted(loc: Sequence[str | int]) -> str:
    """Key path as it is written in a message: reservoirs.0.tube.wall."""
    return ".".join(_step(part) for part in loc)


def _step(part: str | int) -> str:
    text = str(part)
    if text and text.isprintable() and not set(text) & set(". :"):
        return text[:_SHOWN]
    return json.dumps(printable(text)[:_SHOWN], ensure_ascii=False)


def nearest(name: str, known: Iterable[str]) -> str | None:
    """The known name that is most like a given one, None if none is like it."""
    by_lower = {k.lower().replace("_", "-"): k for k in known}
    # A very long name is like nothing known, and comparing it would take long.
    near = difflib.get_close_matches(name[:_SHOWN].lower().replace("_", "-"), by_lower, 1)
    return by_lower[near[0]] if near else None


def listed(names: Iterable[str]) -> str:
    """Names with commas; a long list is cut and says how many are left out."""
    every = list(names)
    rest = len(every) - _LISTED
    text = ", ".join(every[:_LISTED])
    return f"{text} and {rest} more" if rest > 0 else text


def advice(name: str, known: Iterable[str], kind: str) -> str:
    """What to do about an unknown name: the nearest known one, or else all of them."""
    every = list(known)
    near = nearest(name, every)
    if near is not None:
        return f'did you mean "{near}"?'
    return f"known {kind}: {listed(every)}" if every else f"there are no {kind} here"
