"""Openings through a plate: which are cut round, with tabs, and how many of these. Lengths in mm."""

from __future__ import annotations

import math

from ...layout import paths
from ...layout.features import Feature, PlateLayout
from ...layout.pockets import Area, Pocket

CLEARED = 3.0  # cutters that fit beside one another into what is cleared: less would be a slug to fly; our choice
TAB_PITCH, FEWEST = 100.0, 3  # mm of line to a tab, and the fewest; common practice, no source


def opening(item: Feature | Pocket, plate: PlateLayout) -> Area | None:
    """The area of a pocket that leaves nothing of the plate under it."""
    if isinstance(item, Pocket) and isinstance(item.shape, Area) and item.depth >= plate.thickness - 1e-9:
        return item.shape
    return None


def cut_round(item: Feature | Pocket, plate: PlateLayout, cutter: float | None) -> int:
    """Tabs that hold what falls out of an opening that is cut round; 0 for what is cleared."""
    area = opening(item, plate)
    if area is None or cutter is None or area.islands:
        return 0
    xs, ys = zip(*paths.polygon(area.outside).exterior.coords, strict=True)
    if min(max(xs) - min(xs), max(ys) - min(ys)) <= CLEARED * cutter:
        return 0
    return tabs(area.outside)


def tabs(way: paths.Way) -> int:
    """Tabs along a closed line."""
    return max(FEWEST, math.ceil(sum(p.length for p in paths.pieces(way)) / TAB_PITCH))
