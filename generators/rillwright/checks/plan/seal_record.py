"""What there is to tell about a tube's cords, as plain numbers: squeeze, fill and yield in per cent, lengths in mm."""

from __future__ import annotations

import math
from typing import Any

from ...layout.seal import TubeSeal
from ...physics import seals
from .gland_numbers import chain_numbers
from .gland_record import corner_numbers
from .groove_proposal import proposal
from .seal_chain import Analysis, Drawn


def record(s: TubeSeal, a: Analysis, drawn: Drawn | None) -> dict[str, Any]:
    """One tube's two cords, which are alike; without draws there are no yields."""
    return {
        "seal": f"{s.reservoir}.cord",
        "kind": "tube",
        "loop": s.loop,
        "plates": list(s.plates),
        "pieces": 2,
        "cord": {"diameter": s.nominal("cord"), "material": s.cord_material, "hardness": s.hardness, "moulded": False},
        "cut_length": round(seals.ring_cut_length(math.tau * s.line_radius), 2),
        "line_radius": s.line_radius,
        "corner": corner_numbers(s.bed[0], s.cord_bought, circular=True),
        "joint": {"at": [round(v, 3) for v in s.joint], "angle": round(s.joint_angle, 2), "beside": s.joint_at},
        **chain_numbers(a, drawn, s.lengths, s.settles),
        "proposal": proposal(s, a.filling.gap),
    }  # fmt: skip
