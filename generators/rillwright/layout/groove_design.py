"""The groove that a cord asks for: by the housing table, scaled to a measured cord, or by the limits. Lengths in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from ..physics import cord_load, seals
from ..standards import glands

ABOVE_FLOOR = 0.3  # between tube end and channel floor over a stepped groove: under the 0.41 of a seal's gap; our choice
Basis = Literal["table", "scaled", "limits"]


@dataclass(frozen=True, slots=True)
class Groove:
    """Depth and width for a cord, mm, with their plus tolerances; squeeze and fill as fractions, force in N/mm."""

    cord: float
    depth: float
    width: float
    floor_radius: float
    depth_plus: float
    width_plus: float
    basis: Basis
    squeeze: float
    squeeze_worst: tuple[float, float]
    fill: float
    fill_worst: float
    force: tuple[float, float]  # by Lindley and Gent, and by the published upper band


def propose(nominal: float, hardness: float, measured: float | None = None, off: float = 0.0) -> Groove:
    """The groove of the housing table for a cord; scaled where the cord was measured, by the limits where none is listed.

    Source: housing table and gland limits of the seal suppliers (`standards.glands`); scaling depth and width with
    the cord keeps the table's squeeze and fill. A listed groove is taken for every hardness, since the table tells
    none: what hardness does is told as the cord's force.

    nominal: diameter as bought, mm. hardness: Shore A. measured: diameter as read, mm. off: ± of the diameter, mm.
    Raises ValueError for a cord that is no length, or a hardness outside 20 to 95.
    """
    d = nominal if measured is None else measured
    if not (nominal > 0 and 0 <= off < d):
        raise ValueError(f"a cord of {d:g} ± {off:g} mm is none; give its diameter and ± in mm")
    depth, width, radius, plus, basis = _section(nominal, measured)
    squeeze = seals.squeeze(depth, d)
    worst = (seals.squeeze(depth + plus[0], d - off), seals.squeeze(depth, d + off))
    lindley = cord_load.lindley_load(cord_load.gent_modulus(hardness), d, squeeze)
    return Groove(
        d, depth, width, radius, *plus, basis, squeeze, worst,
        seals.fill(depth, d, width), seals.fill(depth, d + off, width),
        (lindley, cord_load.upper_load(hardness, d, squeeze)),
    )  # fmt: skip


def _section(nominal: float, measured: float | None) -> tuple[float, float, float, tuple[float, float], Basis]:
    """Depth, width, floor radius, plus tolerances and basis."""
    d = nominal if measured is None else measured
    near = min(glands.cord_diameters(), key=lambda x: abs(x - nominal))
    row = glands.face_groove(near)
    plus = (row.depth_tolerance, row.width_tolerance)
    if not math.isclose(near, nominal, abs_tol=1e-6):
        limits = glands.limits()
        depth = d * (1 - (limits.squeeze_min + limits.squeeze_max) / 200)
        width = math.pi * d**2 / (4 * depth * limits.fill_nominal / 100)
        return round(depth, 2), round(width, 2), row.floor_radius, plus, "limits"
    if measured is None:
        return row.depth, row.width, row.floor_radius, plus, "table"
    scale = measured / nominal
    return round(row.depth * scale, 2), round(row.width * scale, 2), row.floor_radius, plus, "scaled"
