"""Metric and pipe threads, and the holes that fittings are screwed into. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from ._table import table

TAP_LEAD = 2.0  # pitches that a tap for blind holes cuts tapering below the full thread; DIN 2197 form E, from memory


@dataclass(frozen=True, slots=True)
class MetricThread:
    """A metric coarse thread, mm and mm²."""

    thread: str
    diameter: float
    pitch: float
    tap_drill: float
    pitch_diameter: float  # d2
    minor_diameter: float  # D1, internal
    core_diameter: float  # d3, of the screw
    stress_area: float  # As, mm²


@dataclass(frozen=True, slots=True)
class PipeThread:
    """A parallel pipe thread, mm; `tpi` in threads per inch."""

    thread: str
    tpi: float
    pitch: float
    major_diameter: float
    pitch_diameter: float
    minor_diameter: float
    minor_tolerance: float  # plus only, internal
    tap_drill: float

    @property
    def thread_height(self) -> float:
        """h = 0.640327 P, mm. Source: ISO 228-1."""
        return 0.640327 * self.pitch


@dataclass(frozen=True, slots=True)
class PortHole:
    """The hole that a fitting with a pipe thread is screwed into, mm."""

    thread: str
    spotface_diameter: float
    full_thread: float
    hole_depth: float
    spotface_depth_max: float


@lru_cache(maxsize=64)
def metric(thread: str) -> MetricThread:
    """A coarse thread by name, "M4". Source: ISO 261, ISO 724, ISO 898-1 (As). Raises `UnknownSize`."""
    row = table("metric_threads").find("thread", thread)
    return MetricThread(thread, *(row.number(name) for name in MetricThread.__slots__[1:]))


@lru_cache(maxsize=64)
def pipe(thread: str) -> PipeThread:
    """A pipe thread by name, "G1/4". Source: ISO 228-1:2000. Raises `UnknownSize`."""
    row = table("pipe_threads").find("thread", thread)
    return PipeThread(thread, *(row.number(name) for name in PipeThread.__slots__[1:]))


@lru_cache(maxsize=64)
def port(thread: str) -> PortHole:
    """Screw-in hole for a pipe thread. Source: DIN 3852-2, columns as we read them. Raises `UnknownSize`."""
    row = table("port_holes").find("thread", thread)
    return PortHole(thread, *(row.number(name) for name in PortHole.__slots__[1:]))


def engagement_factor(material_family: str) -> float:
    """Least engagement over nominal diameter, by the family of the material with the internal thread.

    Source: engineering handbooks' rule. Raises `UnknownSize` for glass, rubber or another family.
    """
    row = table("engagement").find("family", material_family, advice="glass and rubber carry no thread")
    return row.number("factor")
