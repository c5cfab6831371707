"""Socket screws and their holes: ISO 10642, DIN 7991, ISO 4762, ISO 273. Lengths in mm, angles in degrees."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, cast

from ._table import Table, UnknownSize, table

HeadStandard = Literal["ISO 10642", "DIN 7991"]
Fit = Literal["fine", "medium", "coarse"]
COUNTERSUNK: tuple[HeadStandard, ...] = ("ISO 10642", "DIN 7991")
CAP = "ISO 4762"


@dataclass(frozen=True, slots=True)
class CountersunkHead:
    """A countersunk head, mm. Screw lengths include the head.

    `head_diameter_theoretical_max` is the sharp edge for ISO 10642, the largest real head for DIN 7991.
    """

    thread: str
    standard: str
    thread_diameter: float
    head_diameter_theoretical_max: float
    head_diameter_actual_min: float
    head_height_max: float
    socket: float
    thread_length: float
    angle: float = 90.0  # of the cone, degrees

    @property
    def cone_height(self) -> float:
        """Height of the 90° cone from the largest head down to the thread diameter, (dk − d)/2, mm."""
        return (self.head_diameter_theoretical_max - self.thread_diameter) / 2

    @property
    def land(self) -> float:
        """Cylindrical rim above the cone, mm: nought for ISO 10642, k − (dk − d)/2 for DIN 7991."""
        return max(0.0, round(self.head_height_max - self.cone_height, 9))


@dataclass(frozen=True, slots=True)
class CapHead:
    """A cylinder head with hexagon socket, and the counterbore that takes it, mm."""

    thread: str
    standard: str
    thread_diameter: float
    head_diameter_max: float  # plain
    head_diameter_knurled_max: float
    head_height_max: float
    socket: float
    thread_length: float
    counterbore_diameter: float
    counterbore_depth: float  # head flush with the face


@lru_cache(maxsize=64)
def countersunk(thread: str, standard: str = "ISO 10642") -> CountersunkHead:
    """Head of a countersunk socket screw. Source: ISO 10642:2004 or DIN 7991:1986, as `countersunk.csv` says.

    Raises `UnknownSize` for a thread or standard without a row (M2.5 has none).
    """
    if standard not in COUNTERSUNK:
        raise UnknownSize("head standard", standard, COUNTERSUNK, "the countersunk screws")
    row = table("countersunk").find("thread", standard, thread, advice="or use a cap screw in a counterbore")
    return CountersunkHead(
        thread=thread,
        standard=standard,
        thread_diameter=row.number("thread_diameter"),
        head_diameter_theoretical_max=row.number("head_diameter_theoretical_max"),
        head_diameter_actual_min=row.number("head_diameter_actual_min"),
        head_height_max=row.number("head_height_max"),
        socket=row.number("socket"),
        thread_length=row.number("thread_length"),
        angle=row.number("angle"),
    )


@lru_cache(maxsize=64)
def cap(thread: str) -> CapHead:
    """Head and counterbore of a cap screw. Source: ISO 4762:2004, counterbore DIN 74.

    Raises `UnknownSize`. The counterbore of M2.5 is from memory.
    """
    row = table("cap").find("thread", thread)
    return CapHead(
        thread=thread,
        standard=CAP,
        thread_diameter=row.number("thread_diameter"),
        head_diameter_max=row.number("head_diameter_max"),
        head_diameter_knurled_max=row.number("head_diameter_knurled_max"),
        head_height_max=row.number("head_height_max"),
        socket=row.number("socket"),
        thread_length=row.number("thread_length"),
        counterbore_diameter=row.number("counterbore_diameter"),
        counterbore_depth=row.number("counterbore_depth"),
    )


def sizes(standard: str) -> tuple[str, ...]:
    """Threads that a screw standard has, small to large. Raises `UnknownSize` for another standard."""
    if standard == CAP:
        return tuple(row.text("thread") for row in table("cap").rows.values())
    if standard in COUNTERSUNK:
        return tuple(row.text("thread") for row in table("countersunk").where("standard", standard))
    raise UnknownSize("standard", standard, (*COUNTERSUNK, CAP), "the screw tables")


@lru_cache(maxsize=64)
def lengths(standard: str, thread: str) -> tuple[float, ...]:
    """Standard lengths (mm) of a screw, short to long, within the range its standard gives for the thread.

    ISO 10642 and DIN 7991 count the head in, ISO 4762 does not. Raises `UnknownSize`.
    """
    if thread not in sizes(standard):
        raise UnknownSize("thread", thread, sizes(standard), standard)
    heads: Table = table("cap" if standard == CAP else "countersunk")
    row = heads.find("thread", *((thread,) if standard == CAP else (standard, thread)))
    least, most = row.number("length_min"), row.number("length_max")
    steps = (r.number("length") for r in table("screw_lengths").where("standard", standard))
    return tuple(step for step in steps if least <= step <= most)


def clearance_hole(thread: str, fit: str = "medium") -> float:
    """Diameter (mm) of a clearance hole. Source: ISO 273:1979. Raises `UnknownSize` for a thread or fit."""
    fits = cast("tuple[Fit, ...]", ("fine", "medium", "coarse"))
    if fit not in fits:
        raise UnknownSize("fit", fit, fits, "ISO 273")
    return table("clearance_holes").find("thread", thread).number(fit)
