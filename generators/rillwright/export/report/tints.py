"""Colour and hatch of each loop: a loop is told by its hatch and its name where the colour cannot be seen."""

from __future__ import annotations

from ...layout.job_layout import JobLayout
from ..still_scene import TINTS

Rgb = tuple[float, float, float]
HATCHES = ("dots", "level", "crossed", "upright", "dashes", "squares", "rising", "falling")
_NONE: Rgb = (0.45, 0.47, 0.50)


def tint_of(layout: JobLayout, loop: str) -> Rgb:
    """sRGB of a loop, 0 to 1; grey for no loop."""
    return TINTS.get(layout.loops.get(loop, ""), _NONE)


def hatch_of(layout: JobLayout, loop: str) -> str:
    """Name of the loop's hatch; loops differ in it up to eight of them."""
    names = list(layout.loops)
    return HATCHES[names.index(loop) % len(HATCHES)] if loop in names else "none"


def css(rgb: Rgb, darker: float = 1.0) -> str:
    """`#rrggbb`; `darker` under 1 darkens it."""
    return "#" + "".join(f"{round(255 * c * darker):02x}" for c in rgb)
