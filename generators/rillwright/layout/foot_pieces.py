"""The pieces of one foot print where it stands on a plate, as data of the plate's own keys. Lengths in mm.

A foot print is drawn as one looks at the face with the part off. On a face that looks down in the standing machine it
is therefore turned over about its y axis, and then turned as seen from above.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

from pydantic import BaseModel

from ..spec.covered import KeepOut
from ..spec.interface import Interface, Neighbour
from ..spec.interface import Space as SpaceSpec
from ..spec.mount import Mount
from ..spec.plate import Holes, Plate, Port
from ..spec.shapes import Slot, Window
from ..spec.sheet import ArcTo
from .footprint import Plane, Space
from .holes import places

Point2 = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Stand:
    """Where one foot print stands: place, turn (degrees), and whether it is turned over."""

    at: Point2
    turn: float
    over: bool

    def place(self, p: Point2) -> Point2:
        x, y = (-p[0] if self.over else p[0]), p[1]
        c, s = _turned(self.turn)
        return (_clean(self.at[0] + c * x - s * y), _clean(self.at[1] + s * x + c * y))

    @property
    def square(self) -> bool:
        return self.turn % 90 == 0


def _turned(degrees: float) -> tuple[float, float]:
    if degrees % 90 == 0:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(degrees // 90) % 4]
    return math.cos(math.radians(degrees)), math.sin(math.radians(degrees))


def _clean(v: float) -> float:
    return round(v, 9) + 0.0  # no 1e-15 in call-outs and tables


def pieces(
    plate: Plate, mount: Mount, found: Interface, stand: Stand, name: str, loops: dict[str, str | None]
) -> Iterator[tuple[str, dict[str, Any], type[BaseModel]]]:
    """What is added to the plate: list, data of the item, and its model."""
    near = face_of(mount.side)
    far = "outer" if near == "seal" else "seal"
    through = "through" if mount.side != near else None  # a bore on a cover opens into the channel under it
    data: dict[str, Any]
    for h in found.holes:
        there = [stand.place(p) for p in places(h)]
        data = {"name": f"{name}-{h.name}", "kind": h.kind, "thread": h.thread, "fit": h.fit, "at": there,
                "from": near if h.kind == "tapped" or h.depth is not None else far, "depth": h.depth}  # fmt: skip
        yield "holes", data, Holes
    for p in found.ports:
        data = {"name": f"{name}-{p.name}", "loop": loops[p.name], "on": mount.side, "at": stand.place(p.at),
                "bore": p.bore, "depth": through or p.depth,
                "face_seal": None if p.seal is None else p.seal.model_dump(by_alias=True, exclude_none=True)}  # fmt: skip
        yield "ports", data, Port
    for w in found.windows:
        yield "windows", _window(w, stand, f"{name}-{w.name}", near), Window
    for s in found.slots:
        line = [_point(p, stand) for p in s.line]
        data = {"name": f"{name}-{s.name}", "line": line, "width": s.width, "from": near, "depth": s.depth}
        yield "slots", data, Slot
    if plate.covers.seal or plate.covers.outer:
        for o in found.keep_out:
            yield "keep_out", _keep_out(o, stand, f"{name}-{o.name}"), KeepOut


def face_of(side: Plane) -> Literal["seal", "outer"]:
    """The plate's own face on a side, which may be that of a cover."""
    return "seal" if side in ("seal", "cover") else "outer"


def _point(p: Point2 | ArcTo, stand: Stand) -> Any:
    return {"through": stand.place(p.through), "to": stand.place(p.to)} if isinstance(p, ArcTo) else stand.place(p)


def _window(w: Window, stand: Stand, name: str, near: str) -> dict[str, Any]:
    data: dict[str, Any] = {"name": name, "from": near, "depth": w.depth, "corner_radius": w.corner_radius}
    if w.diameter is not None:
        return {**data, "at": stand.place(w.at), "diameter": w.diameter}
    if w.polygon is not None:
        moved = [replaced(p, w.at) for p in w.polygon]
        return {**data, "at": (0, 0), "polygon": [_point(p, stand) for p in moved]}
    assert w.length is not None
    assert w.width is not None
    if stand.square:
        long, wide = (w.length, w.width) if stand.turn % 180 == 0 else (w.width, w.length)
        return {**data, "at": stand.place(w.at), "length": long, "width": wide}
    return {**data, "at": (0, 0), "polygon": [stand.place(p) for p in _corners(w.at, w.length, w.width)]}


def replaced(p: Point2 | ArcTo, by: Point2) -> Point2 | ArcTo:
    """A point or arc moved, mm."""
    if isinstance(p, ArcTo):
        return ArcTo(through=(p.through[0] + by[0], p.through[1] + by[1]), to=(p.to[0] + by[0], p.to[1] + by[1]))
    return (p[0] + by[0], p[1] + by[1])


def _corners(at: Point2, length: float, width: float) -> list[Point2]:
    (x, y), a, b = at, length / 2, width / 2
    return [(x - a, y - b), (x + a, y - b), (x + a, y + b), (x - a, y + b)]


def _keep_out(o: KeepOut, stand: Stand, name: str) -> dict[str, Any]:
    data: dict[str, Any] = {"name": name, "at": stand.place(o.at), "clearance": o.clearance}
    if o.diameter is not None:
        return {**data, "diameter": o.diameter}
    assert o.length is not None
    assert o.width is not None
    if stand.square:
        long, wide = (o.length, o.width) if stand.turn % 180 == 0 else (o.width, o.length)
    else:  # an area that is kept free lies along x and y: the box round the turned one
        c, s = (abs(v) for v in _turned(stand.turn))
        long, wide = c * o.length + s * o.width, s * o.length + c * o.width
    return {**data, "length": long, "width": wide, "corner_radius": o.corner_radius}


def space_at(s: SpaceSpec | Neighbour, stand: Stand, name: str) -> Space:
    if isinstance(s, Neighbour) or s.diameter is not None:
        return Space(name, (stand.place(s.at),), (s.diameter or 0.0) / 2, *s.height)
    assert s.length is not None
    assert s.width is not None
    return Space(name, tuple(stand.place(p) for p in _corners(s.at, s.length, s.width)), 0.0, *s.height)
