"""One drilling that a gallery may be made of, with its plug. Lengths in mm, frame of the plate."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from ..features import Vec3
from ..passages import RUN_BACK
from .rods import Rod
from .wanted import Entry, Plugs

PLUG = 40.0  # mm of drilling that a plug is worth; our choice, no source
Kind = Literal["run", "riser"]


@dataclass(frozen=True)
class Bore:
    """From `start` (on its face, or where it leaves the port it goes on from) straight to `end`."""

    kind: Kind
    start: Vec3
    end: Vec3
    diameter: float
    source: str  # port or face it starts from
    entry: Entry | None = None  # it is plugged there
    plug: Plugs | None = None
    meets: str = ""  # of a riser: what it stands for
    begin: float = 0.0  # distance from the start up to which it cuts nothing

    @cached_property
    def _hash(self) -> int:
        return hash((self.kind, self.start, self.end, self.source))

    def __hash__(self) -> int:
        return self._hash  # asked for a hundred times

    @cached_property
    def way(self) -> tuple[str, Vec3, Vec3]:
        """The same for bores that begin in one place and differ in length only."""
        n = math.dist(self.start, self.end)
        a, b, c = (round((e - s) / n) if n else 0 for s, e in zip(self.start, self.end, strict=True))
        return self.source, self.start, (a, b, c)

    @cached_property
    def length(self) -> float:
        return math.dist(self.start, self.end)

    @property
    def cut_from(self) -> float:
        """Distance from the start at which its own diameter begins."""
        return self.begin if self.plug is None else self.plug.depth - RUN_BACK

    @property
    def cost(self) -> float:
        return self.length - self.begin + (PLUG if self.plug is not None else 0.0)

    @cached_property
    def rods(self) -> tuple[Rod, ...]:
        """The drilling first, then the steps of its plug's hole."""
        if self.plug is None:
            return (Rod(self._at(self.begin), self.end, self.diameter / 2, round=True),)
        p = self.plug
        return (
            Rod(self.start, self.end, self.diameter / 2, round=True), Rod(self.start, self._at(p.depth), p.radius),
            Rod(self.start, self._at(p.spot_depth), p.spot),
        )  # fmt: skip

    def _at(self, distance: float) -> Vec3:
        t = distance / self.length
        a, b, c = (s + (e - s) * t for s, e in zip(self.start, self.end, strict=True))
        return (a, b, c)


@dataclass(frozen=True)
class Tree:
    """The drillings of one gallery."""

    gallery: str
    bores: tuple[Bore, ...]

    @cached_property
    def cost(self) -> float:
        return sum(b.cost for b in self.bores)
