"""Moving parts of a base job in plan: a reservoir, a port, or a loop with everything that is its own."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ..spec.yaml_events import Loc
from .tree import Missing

_ALONG_X, _ALONG_Y = ("front", "back"), ("left", "right")


def move(data: dict[str, Any], loc: Loc, dx: float, dy: float) -> None:
    """Move what lies at a place by so many mm. A hole in an edge moves along its edge only.

    Raises Missing for what has no place of its own in plan, or one that is not written as plain numbers.
    """
    if len(loc) == 2 and loc[0] == "loops":
        for entry in _of_loop(data, loc[1]):
            _moved(entry, loc, dx, dy)
        return
    here: Any = data
    for part in loc:
        here = here[part]
    if not isinstance(here, dict) or not any(isinstance(here.get(k), list) for k in ("at", "to")):
        raise Missing(f"{_words(loc)} has no place of its own (at: [x, y]) that could be moved")
    _moved(here, loc, dx, dy)


def _of_loop(data: dict[str, Any], loop: Any) -> Iterator[dict[str, Any]]:
    blocks = [{"reservoirs": data.get("reservoirs")}, *(data.get("plates") or {}).values()]
    for block in blocks:
        lists = (v for v in (block or {}).values() if isinstance(v, list))
        yield from (e for entries in lists for e in entries if isinstance(e, dict) and e.get("loop") == loop)


def _moved(entry: dict[str, Any], loc: Loc, dx: float, dy: float) -> None:
    face = entry.get("on", entry.get("from"))
    if isinstance(at := entry.get("at"), list) and at:
        if face in _ALONG_X or face in _ALONG_Y:
            entry["at"] = [_sum(at[0], dx if face in _ALONG_X else dy, loc), *at[1:]]
        elif str(face).startswith("edge-"):
            raise Missing(f"{_words(loc)} lies on {face} of a polygon, where moving by x and y has no clear meaning")
        else:
            entry["at"] = _both(at, dx, dy, loc)
    for key in ("to", "joins", "route", "pins"):
        if isinstance(given := entry.get(key), list):
            entry[key] = _both(given, dx, dy, loc)


def _both(point: list[Any], dx: float, dy: float, loc: Loc) -> list[Any]:
    """A point moved; in a list of points, names and arcs each point of it."""
    if any(isinstance(p, list | dict) or (isinstance(p, str) and p[:1].isalpha()) for p in point):
        return [_one(p, dx, dy, loc) for p in point]
    return [_sum(v, d, loc) for v, d in zip(point, (dx, dy), strict=False)] + point[2:]


def _one(given: Any, dx: float, dy: float, loc: Loc) -> Any:
    if isinstance(given, dict):  # an arc: through, to
        return {key: _one(p, dx, dy, loc) for key, p in given.items()}
    return _both(given, dx, dy, loc) if isinstance(given, list) else given


def _sum(value: Any, more: float, loc: Loc) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise Missing(f"{_words(loc)} can be moved only where its places are plain numbers in mm")
    total = round(value + more, 6)
    return int(total) if total == int(total) else total


def _words(loc: Loc) -> str:
    return ".".join(map(str, loc))
