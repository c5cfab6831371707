"""The groove that a cord asks for, and how a tube channel could give it: proposed only. Lengths in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal

from ...layout.seal import TubeSeal
from ...physics import cord_load, seals
from ...standards import glands

ABOVE_FLOOR = 0.3  # between tube end and channel floor over a stepped groove: under the 0.41 of a seal's gap; our choice
SHOULDER = 0.5  # least floor left each side of a stepped groove; our choice, no source
WANDER = 0.5  # times the cord: how far it may lie off the middle of the tube's wall; our choice, no source
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


def proposal(s: TubeSeal, gap: float) -> dict[str, Any]:
    """What to cut for one tube's cords, as plain numbers (per cent, mm, N/mm); nothing of it is built.

    A plain channel floor where the channel's walls keep the cord near the middle of the tube's wall; else a groove
    stepped into the floor, with the tube's end just above it. `gap` is the height left for the cord now, mm.
    """
    cord = next(t for t in s.lengths if t.dimension.name == "cord")
    read = s.nominal("cord") if cord.origin == "measured" else None
    g = propose(s.cord_bought, s.hardness, read, max(cord.dimension.minus, cord.dimension.plus))
    return {
        "depth": g.depth, "width": g.width, "floor_radius": g.floor_radius,
        "depth_plus": g.depth_plus, "width_plus": g.width_plus, "basis": g.basis, "cord": g.cord,
        "squeeze": {"nominal": _percent(g.squeeze), "worst": [_percent(v) for v in g.squeeze_worst]},
        "fill": {"nominal": _percent(g.fill), "worst": _percent(g.fill_worst)},
        "force": {"formula": round(g.force[0], 3), "upper": round(g.force[1], 3)},
        **_floor(s, g, gap),
    }  # fmt: skip


def _floor(s: TubeSeal, g: Groove, gap: float) -> dict[str, Any]:
    """Plain or stepped, why, and what else has to change for it."""
    inner, outer = s.channel
    flat = seals.flattened_width(g.depth, g.cord)
    wander = max(0.0, (outer - inner - flat) / 2)
    half = g.width / 2
    shoulder = min(s.line_radius - half - inner, outer - s.line_radius - half)
    may = WANDER * g.cord
    off = f"in the channel the cord can lie {wander:.2f} mm off the middle of the tube's wall"
    if wander <= may or shoulder < SHOULDER:
        why = f"{off}, of {may:.2f} mm allowed" if wander <= may else f"{off}, but a step would leave too little floor"
        return {"floor": "plain", "why": why, "wander": round(wander, 3), "step": None, "tube_above_floor": g.depth,
                "tube_length": _tube(s, gap - g.depth)}  # fmt: skip
    step = {"depth": round(g.depth - ABOVE_FLOOR, 3), "inner_radius": round(s.line_radius - half, 3),
            "outer_radius": round(s.line_radius + half, 3)}  # fmt: skip
    return {"floor": "stepped", "why": f"{off}, more than {may:.2f} mm", "wander": round(wander, 3), "step": step,
            "tube_above_floor": ABOVE_FLOOR, "tube_length": _tube(s, gap - ABOVE_FLOOR)}  # fmt: skip


def _tube(s: TubeSeal, lower: float) -> float:
    """Length of a tube that comes nearer to both floors by this much, the struts kept, mm."""
    return round(s.nominal("tube length") + 2 * lower, 3)


def _percent(fraction: float) -> float:
    return round(100 * fraction, 3)
