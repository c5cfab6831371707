"""The groove that a cord asks for, and how a tube channel gives it or could give it. Lengths in mm."""

from __future__ import annotations

from typing import Any

from ...layout.groove_design import ABOVE_FLOOR, Groove, propose
from ...layout.seal import TubeSeal
from ...physics import seals

SHOULDER = 0.5  # least floor left each side of a stepped groove; our choice, no source
WANDER = 0.5  # times the cord: how far it may lie off the middle of the tube's wall; our choice, no source


def proposal(s: TubeSeal, gap: float) -> dict[str, Any]:
    """What to cut for one tube's cords, as plain numbers (per cent, mm, N/mm); `channel.groove` builds it.

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
    if s.step:
        return _as_cut(s, g, gap)
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


def _as_cut(s: TubeSeal, g: Groove, gap: float) -> dict[str, Any]:
    """What the job's own stepped groove gives."""
    inner, outer = s.bed
    wander = max(0.0, (outer - inner - seals.flattened_width(gap if gap > 0 else g.depth, g.cord)) / 2)
    step = {"depth": round(s.step, 3), "inner_radius": round(inner, 3), "outer_radius": round(outer, 3)}
    return {"floor": "stepped", "why": "the job asks for it", "wander": round(wander, 3), "step": step,
            "tube_above_floor": round(gap - s.step, 3), "tube_length": _tube(s, gap - g.depth)}  # fmt: skip


def _tube(s: TubeSeal, lower: float) -> float:
    """Length of a tube that comes nearer to both floors by this much, the struts kept, mm."""
    return round(s.nominal("tube length") + 2 * lower, 3)


def _percent(fraction: float) -> float:
    return round(100 * fraction, 3)
