"""Names of loops and plates that lead nowhere in a job file that does not fit its model: told with all the rest."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from .messages import Problem, advice, dotted, shown
from .yaml_events import Loc
from .yaml_source import Source


def loose_names(source: Source) -> Iterator[Problem]:
    """Every `loop` and every plate of `between` that names none of the file's. `references` asks much more, of a model."""
    loops, plates = (source.data.get(k) for k in ("loops", "plates"))
    for loc, name in _said(source.data):
        kind, known = ("loop", loops) if loc[-1] == "loop" else ("plate", plates)
        if isinstance(known, dict) and name not in known:
            what = f"there is no {kind} of this name"
            do = advice(name, known, f"{kind}s")
            yield Problem(source.path, *source.where(loc), dotted(loc), what, shown(name), do)


def _said(value: Any, loc: Loc = ()) -> Iterator[tuple[Loc, str]]:
    """Key path and text of all that is written as a `loop`, or in a `between`."""
    members = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for step, member in members:
        here = (*loc, step)
        if isinstance(member, str) and (step == "loop" or loc[-1:] == ("between",)):
            yield here, member
        yield from _said(member, here)
