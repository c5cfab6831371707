"""What every seal's record has in common, as plain numbers: squeeze, fill and yield in per cent, lengths in mm."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from ...layout.joints import Joint
from ...layout.toleranced import Toleranced
from ...physics.tolerance import Spread
from .seal_chain import SETTLED, Analysis, Condition, Drawn

if TYPE_CHECKING:
    from ...physics.monte_carlo import Scatter


def chain_numbers(a: Analysis, drawn: Drawn | None, lengths: Iterable[Toleranced], settles: Toleranced) -> dict[str, Any]:
    """Conditions, what they come from and what to measure; without draws there are no yields."""
    now = a.filling
    return {
        "gap": round(now.gap, 3),
        "extrusion": {
            **spread(a.extrusion, 1), "measure": a.extrusion_measure,
            "contributions": shares(a.extrusion), "drawn": scatter(drawn.extrusion, 1) if drawn else None,
        },
        "stretch": spread(a.stretch) if a.stretch else None,
        "conditions": [_condition(c, drawn.yields[i] if drawn else None) for i, c in enumerate(a.conditions)],
        "dominant": now.squeeze.dominant,
        "contributions": shares(now.squeeze),
        "measure": {"length": a.measure, "leaves": percent(a.measure_leaves)} if a.measure else None,
        "lengths": [_length(t) for t in lengths],
        "compression_set": {
            "nominal": percent(settles.dimension.nominal), "low": percent(settles.dimension.low),
            "high": percent(settles.dimension.high), "source": settles.source,
        },
        "drawn": _drawn(drawn) if drawn else None,
    }  # fmt: skip


def joint_numbers(j: Joint) -> dict[str, Any]:
    """Where a ring's ends meet; degrees about the ring's middle."""
    return {"name": j.name, "plate": j.plate, "at": [round(v, 3) for v in j.at], "angle": round(j.angle, 2),
            "beside": j.beside}  # fmt: skip


def _length(t: Toleranced) -> dict[str, Any]:
    d = t.dimension
    return {"name": d.name, "nominal": round(d.nominal, 4), "minus": d.minus, "plus": d.plus, "origin": t.origin,
            "source": t.source}  # fmt: skip


def _condition(c: Condition, yields: tuple[float, float] | None) -> dict[str, Any]:
    return {
        "name": c.name,
        "celsius": c.celsius,
        "squeeze": spread(c.squeeze),
        "fill": spread(c.fill) if c.fill else None,
        "yield_within_limits": percent(yields[0]) if yields and c.name != SETTLED else None,
        "yield_seals": percent(yields[1]) if yields else None,
    }


def _drawn(d: Drawn) -> dict[str, Any]:
    from ...physics import monte_carlo

    return {
        "draws": monte_carlo.DRAWS, "seed": monte_carlo.SEED, "squeeze": scatter(d.squeeze),
        "fill": scatter(d.fill) if d.fill else None, "stretch": scatter(d.stretch) if d.stretch else None,
    }  # fmt: skip


def shares(s: Spread) -> dict[str, float]:
    """What each length contributes to the scatter, per cent, the most first."""
    return {n: percent(v) for n, v in sorted(s.contributions.items(), key=lambda i: -i[1])}


def spread(s: Spread, times: float = 100) -> dict[str, Any]:
    """Nominal, worst case and root-sum-square; fractions become per cent."""
    return {
        "nominal": round(times * s.nominal, 3),
        "worst": [round(times * s.worst_low, 3), round(times * s.worst_high, 3)],
        "rss": [round(times * s.rss_low, 3), round(times * s.rss_high, 3)],
    }


def scatter(m: Scatter, times: float = 100) -> dict[str, Any]:
    """Draws: mean, deviation, extremes, and the range that holds all but 0.135 % each side."""
    return {
        "mean": round(times * m.mean, 3),
        "deviation": round(times * m.deviation, 3),
        "all": [round(times * m.low, 3), round(times * m.high, 3)],
        "most": [round(times * m.p0_135, 3), round(times * m.p99_865, 3)],
    }


def percent(fraction: float) -> float:
    """A fraction in per cent, to a thousandth."""
    return round(100 * fraction, 3)
