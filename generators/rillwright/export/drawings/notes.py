"""Numbered notes of a sheet. Lengths in mm of paper."""

from __future__ import annotations

from ...layout.features import PlateLayout
from ...standards.sheets import thickness_tolerance
from .canvas import Canvas
from .paper import EDGE, LEFT, TITLE


def sold(p: PlateLayout) -> str:
    """Between which thicknesses a sheet is sold, in words; empty where no standard says it."""
    try:
        allowed = thickness_tolerance(p.material, p.thickness)
    except (KeyError, ValueError):
        return ""
    return f" (sheets are sold {allowed.minimum:.2f} to {allowed.maximum:.2f})"


def numbered(c: Canvas, lines: list[str]) -> None:
    """Numbered notes left of the title block, lettered as small as their width asks."""
    room = c.width - EDGE - TITLE[0] - LEFT - 6
    height = min(2.0, *(room / ((len(t) + 3) * 0.678) for t in lines))
    for i, text in enumerate(lines):
        c.label((LEFT + 3, EDGE + TITLE[1] - 4 - i * 5.2), f"{i + 1}. {text}", height, "left")
