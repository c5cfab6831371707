"""Rules on air that stays and coolant that does not drain, from the rows of the nets. Volumes in mL, places in mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from .finding import Outcome
from .report import Case, outcome

METHOD = "slow filling of the void read from the exported STL, on a grid of 1 mm cells (grid_mm: coarser in the largest)"
# By axis, toward less and toward more: the frame of the file is seen from above.
SIDES = (("left edge", "right edge"), ("front edge", "back edge"), ("under side", "upper side"))
SHARED = 0.4  # of a tilt's direction: below it an axis is not worth a word


def air_checks(rows: Sequence[dict[str, Any]], limit: float) -> list[Outcome]:
    """Outcomes: pockets of air as it works (the first stand), and coolant that no port drains there. limit: mL."""
    air, rest = [], []
    for r in rows:
        for s in r.get("standing", [])[:1]:
            pockets = [p for p in s["air"] if p["ml"] > limit]
            air += [_air(r, s, p, limit) for p in pockets or s["air"][:1]]
            if not s["air"]:
                air.append(Case(r["assembly"], (), 0.0, limit, "", "", nets=(r["loop"],), at_most=True, tolerance=0.1))
            rest.append(_rest(r, s))
    return [
        outcome("air.trapped", air, METHOD, severity="warning", bound="estimate"),
        outcome("air.undrained", rest, METHOD, severity="note", bound="estimate"),
    ]


def _air(r: dict[str, Any], s: dict[str, Any], pocket: dict[str, Any], limit: float) -> Case:
    tilt = s["tilt"]
    cure = ""
    if tilt:
        how = leaning(s["up"], tilt["up"], tilt["degrees"])
        cure = f"{how} to bleed it (up towards {tilt['up']}): leaves {tilt['trapped_ml']:g} mL; or "
    return Case(
        r["assembly"], (pocket["near"],), pocket["ml"], limit,
        f"a pocket of air stays there in loop {r['loop']} ({s['stand']}): no port lies higher on any way out of it",
        f"{cure}lead a port or a riser into the top of it", (tuple(pocket["at"]),), (r["loop"],), at_most=True,
        tolerance=0.1,
    )  # fmt: skip


def leaning(stand: Sequence[float], up: Sequence[float], degrees: float) -> str:
    """A tilt in words: `lean its right edge up 15°`. stand, up: what points up before and after, in the job's axes."""
    size = math.hypot(*stand)
    along = sum(a * b for a, b in zip(up, stand, strict=True)) / size**2
    side = [u - along * s for u, s in zip(up, stand, strict=True)]
    most = max(math.hypot(*side), 1e-9)
    raised = [SIDES[i][c > 0] for i, c in enumerate(side) if abs(c) > SHARED * most]
    return f"lean its {' and '.join(raised)} up {degrees:g}°"


def _rest(r: dict[str, Any], s: dict[str, Any]) -> Case:
    drain = next((b for b in s["by_port"] if b["port"] == s["drain"]), None)
    left = drain["undrained_ml"] if drain else s["undrained_ml"]
    where = s["coolant"][0] if s["coolant"] else None
    return Case(
        r["assembly"], tuple(dict.fromkeys((s["drain"] or "", *((where["near"],) if where else ())))), left, 0.05,
        f"this much of loop {r['loop']} stays when it is drained by its best port ({s['stand']})",
        "draw it off through that port, or give the loop a port at its lowest place",
        (tuple(where["at"]),) if where else (), (r["loop"],), at_most=True, tolerance=0.1,
    )  # fmt: skip
