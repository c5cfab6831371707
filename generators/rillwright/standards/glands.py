"""Grooves for O-rings and cord, their tolerances and limits. Lengths in mm, squeeze and fill in per cent."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from ._table import Row, UnknownSize, table


@dataclass(frozen=True, slots=True)
class FaceGroove:
    """A rectangular groove in a flat face, mm. Tolerances are plus only."""

    cord_diameter: float
    depth: float
    width: float
    floor_radius: float
    depth_tolerance: float
    width_tolerance: float

    @property
    def squeeze(self) -> float:
        """Nominal squeeze 1 − h/d, per cent."""
        return 100 * (1 - self.depth / self.cord_diameter)

    @property
    def squeeze_min(self) -> float:
        """Squeeze of a nominal cord at the deepest groove, per cent."""
        return 100 * (1 - (self.depth + self.depth_tolerance) / self.cord_diameter)

    @property
    def fill(self) -> float:
        """Nominal fill π d²/(4 b h), per cent, floor radius left out."""
        return 100 * math.pi * self.cord_diameter**2 / (4 * self.width * self.depth)


@dataclass(frozen=True, slots=True)
class GlandLimits:
    """Limits of a static face gland; squeeze, fill and stretch in per cent."""

    squeeze_min: float
    squeeze_max: float
    fill_nominal: float
    fill_max: float
    stretch_max: float
    stretch_aim_min: float
    stretch_aim_max: float
    corner_radius_min: float  # inside radius in plan, times cord diameter
    corner_radius_best: float
    wall_slope_max: float  # degrees
    edge_break_min: float  # mm
    finish_liquid: float  # Ra, µm
    finish_gas: float  # Ra, µm
    extrusion_gap_max: float  # mm, diametral


def cord_diameters() -> tuple[float, ...]:
    """Cord diameters (mm) that have a groove, small to large."""
    return tuple(row.number("cord_diameter") for row in table("face_grooves").rows.values())


@lru_cache(maxsize=64)
def face_groove(cord_diameter: float) -> FaceGroove:
    """Groove for a cord of this diameter (mm). Source: seal suppliers' housing table, axial installation.

    Cords of 5 mm and more are squeezed less than 20 % at the deepest groove: the table has it so.
    Raises `UnknownSize` for a diameter that is not in the table; none is interpolated.
    """
    for row in table("face_grooves").rows.values():
        if math.isclose(row.number("cord_diameter"), cord_diameter, abs_tol=1e-6):
            return FaceGroove(*(row.number(name) for name in FaceGroove.__slots__))
    raise UnknownSize("cord", cord_diameter, cord_diameters(), "the face grooves", "or give depth and width")


def cord_tolerance(diameter: float, cls: str = "E2") -> float:
    """± tolerance (mm) of an extruded cord of this diameter (mm). Source: ISO 3302-1, classes E1, E2, E3.

    Raises `UnknownSize` for another class, or a diameter outside 0 to 10 mm.
    """
    classes = ("E1", "E2", "E3")
    if cls not in classes:
        raise UnknownSize("class", cls, classes, "ISO 3302-1")
    return _band("cord_tolerances", diameter).number(cls)


def moulded_tolerance(diameter: float) -> float:
    """± tolerance (mm) of a moulded O-ring's section (mm).

    Source: ISO 3601-1 for the standard sections; those between are from memory.

    Raises `UnknownSize` outside 0.8 to 8.4 mm.
    """
    return _band("moulded_sections", diameter).number("tolerance")


@lru_cache(maxsize=1)
def limits() -> GlandLimits:
    """Limits of a static face gland. Source: seal suppliers' handbooks."""
    rows = table("gland_limits")
    return GlandLimits(*(rows.find("limit", name).number("value") for name in GlandLimits.__slots__))


def _band(name: str, diameter: float) -> Row:
    """First row whose range holds the diameter: above < d ≤ up_to, or d = above = up_to."""
    bands = table(name)
    for row in bands.rows.values():
        low, high = row.number("above"), row.number("up_to")
        if low < diameter <= high or (low == high and math.isclose(diameter, low, abs_tol=1e-6)):
            return row
    raise UnknownSize("range for", f"{diameter:g} mm", (k[0] for k in bands.rows), bands.title)
