"""Parts of a section of one feature: rim, thread, the way that goes on behind a bore, leaders under it. mm."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

from ...layout.features import Feature, PlateLayout, Profile
from . import dims
from .canvas import Canvas
from .tags import Group, short
from .views import Spot

ON = 4.0  # mm of the way behind that are drawn
Bore = tuple[float, float, float]  # radius, from, to (from the top face)
Note = tuple[float, float, str]  # across, down, text
Way = tuple[float, float]  # radius, and how deep it begins


def goes_on(f: Feature, plate: PlateLayout) -> Feature | None:
    """The drilling that begins in a bore and goes on in its line."""
    for d in plate.features:
        same = math.dist(d.origin, f.origin) < 1e-6 and math.dist(d.axis, f.axis) < 1e-6
        if d.role == "drilling" and same and d.facts["length"] > f.depth - 1e-6:
            return d
    return None


def way_behind(g: Group, plate: PlateLayout, found: list[Group]) -> tuple[Way, str] | None:
    """Radius and beginning of what goes on behind a kind of bore, and its words: `Ø7 goes on: L1, N1`."""
    tags = {m.item.name: m.tag for h in found for m in h.members}
    runs = [d for m in g.members if isinstance(m.item, Feature) and (d := goes_on(m.item, plate)) is not None]
    if not runs or not isinstance(g.first, Feature):
        return None
    wide = dict.fromkeys(short(d.facts["diameter"]) for d in runs)
    radius = runs[0].facts["diameter"] / 2
    words = f"Ø{' / Ø'.join(wide)} goes on: {', '.join(tags[d.name] for d in runs)}"
    return (radius, floor_at(g.first.profile, radius)), words


def floor_at(profile: Profile, radius: float) -> float:
    """How deep a bore is at this distance from its axis, mm."""
    deep = 0.0
    for (r0, z0), (r1, z1) in pairwise(profile):
        if min(r0, r1) - 1e-9 <= radius <= max(r0, r1) + 1e-9:
            deep = max(deep, z0, z1) if abs(r1 - r0) < 1e-9 else max(deep, z0 + (z1 - z0) * (radius - r0) / (r1 - r0))
    return deep


def draw_way(s: Spot, way: Way, down: float) -> None:
    """Its sides, dashed, to where the section ends."""
    r, start = way
    for x in (-r, r):
        s.canvas.line(s.at((x, -start)), s.at((x, -down)), "hidden")


def draw_notes(s: Spot, notes: list[Note], low: float) -> None:
    """Leaders from below, their words to the left, one under the other."""
    for i, (x, z, text) in enumerate(notes):
        tip = s.at((x, -z))
        dims.leader(s.canvas, tip, (tip[0] - 2.0, low - 5.0 - 5.5 * i), text, right=False)


def rim(canvas: Canvas, solid: Any, block: Any, floor: bool) -> None:
    """Edges of the cut: wide where material ends, thin and long-dashed where only the drawing does."""
    x0, y0, x1, _ = block.bounds
    for poly in getattr(solid, "geoms", [solid]):
        for ring in (poly.exterior, *poly.interiors):
            points = list(ring.coords)
            for a, b in pairwise(points):
                side = any(abs(a[0] - x) < 1e-6 and abs(b[0] - x) < 1e-6 for x in (x0, x1))
                foot = abs(a[1] - y0) < 1e-6 and abs(b[1] - y0) < 1e-6 and not floor
                canvas.line(a, b, "centre" if side or foot else "visible")


def draw_thread(s: Spot, thread: Bore, down: float) -> None:
    """ISO 6410-1: major diameter thin, end of full thread wide."""
    r, top, full = thread
    for x in (-r, r):
        s.canvas.line(s.at((x, -top)), s.at((x, -full)), "thin")
    if full < down - 1e-6:
        s.canvas.line(s.at((-r, -full)), s.at((r, -full)), "visible")
