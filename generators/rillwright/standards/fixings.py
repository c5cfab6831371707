"""What a cover's screw goes into besides a cut thread: inserts and nuts. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from ._table import table


@dataclass(frozen=True, slots=True)
class Insert:
    """A brass insert and its hole, mm."""

    thread: str
    hole: float
    length: float
    outside: float
    below: float  # hole deeper than the insert

    @property
    def depth(self) -> float:
        """Depth of its hole, mm."""
        return self.length + self.below


@dataclass(frozen=True, slots=True)
class Nut:
    """A hexagon nut, mm."""

    thread: str
    across_flats: float
    height: float


@dataclass(frozen=True, slots=True)
class Washer:
    """A plain washer, mm."""

    thread: str
    outside: float
    thickness: float


@lru_cache(maxsize=16)
def washer(thread: str) -> Washer:
    """A plain washer. Source: ISO 7089:2000 by dealers' tables. Raises `UnknownSize`."""
    row = table("washers").find("thread", thread)
    return Washer(thread, *(row.number(name) for name in Washer.__slots__[1:]))


@lru_cache(maxsize=16)
def insert(thread: str) -> Insert:
    """A brass insert for plastic. No standard; sizes that several makers sell alike. Raises `UnknownSize`."""
    row = table("inserts").find("thread", thread, advice="or cut the thread in the body")
    return Insert(thread, *(row.number(name) for name in Insert.__slots__[1:]))


@lru_cache(maxsize=16)
def nut(thread: str) -> Nut:
    """A hexagon nut. Source: ISO 4032:2012 by dealers' tables. Raises `UnknownSize`."""
    row = table("nuts").find("thread", thread)
    return Nut(thread, *(row.number(name) for name in Nut.__slots__[1:]))
