"""What there is to tell about a tube's cords, as plain numbers: squeeze, fill and yield in per cent, lengths in mm."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from ...layout.seal import TubeSeal
from ...physics import seals
from ...physics.tolerance import Spread
from .groove_proposal import proposal
from .seal_chain import Analysis, Condition, Drawn

if TYPE_CHECKING:
    from ...physics.monte_carlo import Scatter


def record(s: TubeSeal, a: Analysis, drawn: Drawn | None) -> dict[str, Any]:
    """One tube's two cords, which are alike; without draws there are no yields."""
    now = a.filling
    return {
        "seal": f"{s.reservoir}.cord",
        "loop": s.loop,
        "plates": list(s.plates),
        "pieces": 2,
        "cord": {"diameter": s.nominal("cord"), "material": s.cord_material, "hardness": s.hardness},
        "cut_length": round(seals.ring_cut_length(math.tau * s.line_radius), 2),
        "line_radius": s.line_radius,
        "joint": {"at": [round(v, 3) for v in s.joint], "beside": s.joint_at},
        "gap": round(now.gap, 3),
        "extrusion_gap": _extrusion(s),
        "conditions": [
            _condition(c, drawn.yields[i] if drawn else None) for i, c in enumerate(a.conditions)
        ],
        "dominant": now.squeeze.dominant,
        "contributions": {n: _percent(v) for n, v in sorted(now.squeeze.contributions.items(), key=lambda i: -i[1])},
        "measure": {"length": a.measure, "leaves": _percent(a.measure_leaves)} if a.measure else None,
        "lengths": [
            {"name": t.dimension.name, "nominal": round(t.dimension.nominal, 4), "minus": t.dimension.minus,
             "plus": t.dimension.plus, "origin": t.origin, "source": t.source}
            for t in s.lengths
        ],
        "drawn": _drawn(drawn) if drawn else None,
        "proposal": proposal(s, now.gap),
    }  # fmt: skip


def _drawn(d: Drawn) -> dict[str, Any]:
    from ...physics import monte_carlo

    return {
        "draws": monte_carlo.DRAWS,
        "seed": monte_carlo.SEED,
        "squeeze": _scatter(d.squeeze),
        "fill": _scatter(d.fill) if d.fill else None,
    }


def _extrusion(s: TubeSeal) -> float:
    """Diametral gap between tube and channel, on the side that inside pressure pushes the cord to, mm."""
    return round(seals.extrusion_gap(2 * s.channel[1], s.tube_outside), 3)


def _condition(c: Condition, yields: tuple[float, float] | None) -> dict[str, Any]:
    return {
        "name": c.name,
        "celsius": c.celsius,
        "squeeze": _spread(c.squeeze),
        "fill": _spread(c.fill) if c.fill else None,
        "yield_within_limits": _percent(yields[0]) if yields else None,
        "yield_seals": _percent(yields[1]) if yields else None,
    }


def _spread(s: Spread) -> dict[str, Any]:
    return {
        "nominal": _percent(s.nominal),
        "worst": [_percent(s.worst_low), _percent(s.worst_high)],
        "rss": [_percent(s.rss_low), _percent(s.rss_high)],
    }


def _scatter(m: Scatter) -> dict[str, Any]:
    """Draws at filling: mean, deviation, extremes, and the range that holds all but 0.135 % each side."""
    return {
        "mean": _percent(m.mean),
        "deviation": _percent(m.deviation),
        "all": [_percent(m.low), _percent(m.high)],
        "most": [_percent(m.p0_135), _percent(m.p99_865)],
    }


def _percent(fraction: float) -> float:
    return round(100 * fraction, 3)
