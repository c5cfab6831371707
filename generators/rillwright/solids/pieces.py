"""What is said where a plate falls to pieces: how many, where the second is and how large, and what cuts it off."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from ..layout.features import Cut, PlateLayout
from ..layout.pockets import Pocket
from ..layout.strokes import near

NEAR = 0.1  # mm from a piece: what lies nearer bounds it
NAMED = 4


def in_pieces(solids: Sequence[Any], cuts: Sequence[Cut], plate: PlateLayout) -> str:
    """The words; the largest piece counts as the plate. Places as in the file, mm."""
    if not solids:
        return "nothing is left of it; look for features that cut it through"
    if len(solids) == 1:
        return "what its cuts leave is not valid; give another floor_radius, or 0"
    second = sorted(solids, key=lambda s: float(s.Volume()))[-2]
    box, c = second.BoundingBox(), second.Center()
    size = " x ".join(f"{v:.2f}" for v in (box.xlen, box.ylen, box.zlen))
    names = [cut.name for cut in cuts if _beside(cut, box)]
    more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
    by = f", beside {', '.join(names[:NAMED])}{more}" if names else ""
    return (f"it falls into {len(solids)} pieces; look for features that cut it through: the second is {size} mm and "
            f"{second.Volume():.3g} mm³ large, near x {c.x:.2f}, y {c.y:.2f}, z {plate.side * c.z:.2f}{by}")  # fmt: skip


def _beside(cut: Cut, box: Any) -> bool:
    """Whether a cut comes near the box of a piece, in plan."""
    x, y = (box.xmin + box.xmax) / 2, (box.ymin + box.ymax) / 2
    half = math.hypot(box.xlen, box.ylen) / 2 + NEAR
    if isinstance(cut, Pocket):
        return near(cut, (x, y), half)
    (a, b, _), (c, d, _) = cut.at(0.0), cut.at(cut.depth)
    along = (c - a) ** 2 + (d - b) ** 2
    t = 0.0 if along == 0 else min(1.0, max(0.0, ((x - a) * (c - a) + (y - b) * (d - b)) / along))
    far = math.hypot(x - a - t * (c - a), y - b - t * (d - b))
    return far < max(r for r, _ in cut.profile) + half
