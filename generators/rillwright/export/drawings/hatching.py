"""Hatching of cut material: thin lines at 45°, clipped to the regions."""

from __future__ import annotations

import math
from typing import Any

from .canvas import Canvas

SPACING = 2.5  # mm of paper


def hatch(canvas: Canvas, region: Any, spacing: float = SPACING, angle: float = 45.0) -> None:
    """Hatch a shapely polygon (or several) that lies in paper coordinates, mm."""
    from shapely import MultiLineString

    if region.is_empty:
        return
    x0, y0, x1, y1 = region.bounds
    middle, half = ((x0 + x1) / 2, (y0 + y1) / 2), math.hypot(x1 - x0, y1 - y0) / 2 + spacing
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    # Lines are counted from the paper's corner, so that regions of one part carry one pattern.
    off = -s * middle[0] + c * middle[1]
    first, last = math.ceil((off - half) / spacing), math.floor((off + half) / spacing)
    along = c * middle[0] + s * middle[1]
    lines = []
    for i in range(first, last + 1):
        d = i * spacing
        a, b = along - half, along + half
        lines.append(((a * c - d * s, a * s + d * c), (b * c - d * s, b * s + d * c)))
    clipped = region.intersection(MultiLineString(lines))
    for piece in getattr(clipped, "geoms", [clipped]):
        if piece.geom_type == "LineString":
            points = list(piece.coords)
            canvas.line(points[0], points[-1], "hatch")
