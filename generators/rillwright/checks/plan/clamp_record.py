"""What there is to tell about the clamping of a tube, as plain numbers: N, N·m, MPa, mm; tube pressure in bar."""

from __future__ import annotations

from typing import Any

from ...layout.clamp import Hold
from ...physics import glass, screws
from .clamp_load import SHARING, Clamp

STEPS = (0.3, 0.7, 1.0)  # share of the torque in each round; common practice, no source
AGAIN = "after a day at filling temperature, once more to the last step"  # common practice, no source
CAUTION = "no liquid screw lock on acrylic: its vapour crazes it"  # common practice, no source


def record(c: Clamp) -> dict[str, Any]:
    """One tube's clamping and its tightening table."""
    s = c.seal
    return {
        "reservoir": s.reservoir,
        "screws_per_plate": c.screws,
        "load": {
            "cord": round(c.cord, 1), "cord_upper": round(c.cord_upper, 1), "pressure": round(c.end_load, 1),
            "sharing": SHARING, "per_screw": round(c.per_screw, 1), "per_screw_upper": round(c.per_screw_upper, 1),
        },
        "plates": [_hold(h, c) for h in c.holds],
        "tightening": _tightening(c),
        "glass": {
            "pressure": round(10 * s.pressure, 3), "pressure_limit": round(10 * c.tube_pressure, 2),
            "end_pressure": round(glass.end_pressure(c.cord_upper, s.tube_outside, s.tube_wall), 3),
        },
    }  # fmt: skip


def crosswise(count: int) -> list[int]:
    """Order of tightening, numbers from 1: each screw as far as can be from the one before."""
    left, order = list(range(2, count + 1)), [1]
    while left:
        last = order[-1]
        order.append(max(left, key=lambda i: min((i - last) % count, (last - i) % count)))
        left.remove(order[-1])
    return order


def _tightening(c: Clamp) -> dict[str, Any]:
    least = min(h.torque for h in c.holds)
    return {
        "order": [f"{c.seal.reservoir}.strut-{i}" for i in crosswise(c.screws)],
        "steps": [round(share * least, 3) for share in STEPS],
        "again": AGAIN,
        "caution": CAUTION if any(h.material.startswith("pmma") for h in c.holds) else "",
    }


def _hold(h: Hold, c: Clamp) -> dict[str, Any]:
    return {
        "plate": h.plate,
        "material": h.material,
        "screw": f"{h.head} {h.thread}",
        "bearable": h.bearable,
        "bearing_area": round(h.area, 2),
        "limited_by": "plate" if h.preload < h.screw_preload else "screw",
        "preload": round(h.preload, 1),
        "preload_settled": round(h.settled, 1),
        "preload_change_hottest": round(h.warm, 1),
        "preload_change_coldest": round(h.cold, 1),
        "separation": round(h.settled / c.per_screw, 3),
        "lift": round(h.give(c.per_screw), 4),
        "torque": round(h.torque, 3),
        "wedge": round(screws.wedge_force(h.preload), 1),
        "engagement": round(h.engagement, 2),
        "strips_at": round(h.strips_at, 2),
        "cap_head": {"preload": round(h.cap_preload, 1), "torque": round(h.cap_torque, 3)},
        "washer": round(h.head_for(c.per_screw_upper), 1),
    }
