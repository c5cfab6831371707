"""What there is to tell about a groove in a face and its ring, as plain numbers: per cent, mm, N/mm."""

from __future__ import annotations

from typing import Any

from ...layout.gland import Gland
from ...layout.groove_design import propose
from ...physics import cord_load, seals
from ...standards import glands
from .gland_numbers import chain_numbers, joint_numbers
from .seal_chain import Analysis, Drawn

MOST_SQUEEZE = 0.6  # end of Lindley's curve


def record(g: Gland, a: Analysis, drawn: Drawn | None) -> dict[str, Any]:
    """One gland, and the names of those alike; without draws there are no yields."""
    squeeze = min(MOST_SQUEEZE, max(0.0, a.filling.squeeze.nominal))
    formula = cord_load.lindley_load(cord_load.gent_modulus(g.stock.hardness), g.nominal("cord"), squeeze)
    upper = cord_load.upper_load(g.stock.hardness, g.nominal("cord"), squeeze)
    free = g.nominal("ring length")
    return {
        "seal": g.seal, "kind": g.kind, "plate": g.plate, "loop": g.loop, "features": list(g.features),
        "alike": list(g.alike), "pieces": g.pieces,
        "cord": {"diameter": g.nominal("cord"), "material": g.stock.material, "hardness": g.stock.hardness,
                 "moulded": g.stock.moulded},
        "line": round(g.line, 3),
        "cut_length": None if g.stock.moulded else round(seals.ring_cut_length(g.line, g.line / free - 1), 2),
        "groove": {"depth": round(g.nominal("groove depth"), 4), "width": round(g.nominal("groove width"), 4),
                   "floor_radius": g.floor_radius,
                   "floor_radius_most": propose(g.stock.diameter, g.stock.hardness).floor_radius},
        "corner": corner_numbers(g.corner, g.stock.diameter, g.circular),
        "joint": None if g.joint is None else joint_numbers(g.joint),
        "force": {"formula": round(formula, 3), "upper": round(upper, 3)},
        **chain_numbers(a, drawn, g.lengths, g.settles),
    }  # fmt: skip


def corner_numbers(radius: float, cord: float, circular: bool) -> dict[str, Any]:
    """Smallest inside radius in plan over the cord, and what the handbooks want of it."""
    limits = glands.limits()
    return {"radius": round(radius, 3), "over_cord": round(radius / cord, 2), "least": limits.corner_radius_min,
            "best": limits.corner_radius_best, "circular": circular}  # fmt: skip
