"""The section A-A of a sheet: where it goes, and how it is drawn. Lengths in mm."""

from __future__ import annotations

from itertools import pairwise

from ...layout import paths
from ...layout.features import Feature, PlateLayout
from ...layout.pockets import Pocket, Stroke
from . import dims
from .arrange import Arranged, SideView
from .crowd import Crowd
from .frames import Eye
from .hatching import hatch
from .marks import Box
from .symbols import arrow
from .views import Spot


def draw_section(plate: PlateLayout, view: SideView, spot: Spot, box: Box) -> None:
    """A section on its place: lines behind the cut, hatching, thickness."""
    from shapely import Polygon

    spot.draw(view.seen.visible, "visible")
    for outside, *holes in view.seen.cut:
        hatch(spot.canvas, Polygon([spot.at(p) for p in outside], [[spot.at(p) for p in h] for h in holes]))
    left, low, right, high = box
    if view.side == "below":
        spot.canvas.label(((left + right) / 2, high + 4), view.name, 3.5, strong=True)
        dims.upright(spot.canvas, (right, low), (right, high), right + 8, f"{plate.thickness:g}")
    else:
        spot.canvas.label(((left + right) / 2, high + 12), view.name, 3.5, strong=True)
        dims.across(spot.canvas, (left, high), (right, high), high + 5, f"{plate.thickness:g}")


def cut_at(plate: PlateLayout, eye: Eye, axis: int) -> float:
    """Where the section goes: across the most of what matters. Returns the place on the paper at full size."""
    worth = {"tube-channel": 6, "port": 4, "drilling": 3, "strut-seat": 1, "strut-screw": 2}
    score: dict[float, float] = {}
    for f in plate.features:
        if isinstance(f, Feature) and abs(f.axis[2]) > 0.999:
            at = round(f.origin[axis], 4)
            score[at] = score.get(at, 0.0) + worth.get(f.role, 0.3)
    lines = [(p, _places(p, axis)) for p in plate.pockets]
    for at in score:
        score[at] += sum(_crossed(p, places, at) for p, places in lines)
    best = max(score, key=lambda v: (score[v], -abs(v)), default=0.0)
    return best * (eye.right, eye.up)[axis][axis]


def _places(p: Pocket, axis: int) -> list[float]:
    """One coordinate of places every few millimetres along a pocket's line or outside."""
    way = p.shape.path if isinstance(p.shape, Stroke) else p.shape.outside
    return [q[axis] for q in (way.start, *(q for _, q, _ in paths.along(way, 5.0)))]


def _crossed(p: Pocket, places: list[float], at: float) -> float:
    """What it is worth to cut a pocket: each crossing of a channel or groove counts, a window in the way costs."""
    crossings = sum((a > at) != (b > at) for a, b in pairwise(places))
    return (1.5 if p.role in ("channel", "groove") else -2.0) * crossings


def cut_line(a: Arranged, at: float, side: str, crowd: Crowd) -> None:
    """The plane of section A-A in the main view: thin chain, wide at its ends, arrows the way one looks."""
    c, (left, low, right, high) = a.canvas, a.box
    if side == "below":
        y = a.main.at((0.0, at))[1]
        ends = [((left - 6, y), (left - 1, y)), ((right + 1, y), (right + 5, y))]
        c.line((left - 1, y), (right + 1, y), "centre")
        tips = [((left - 5, y + 1 + 6), (left - 5, y + 1)), ((right + 4, y + 7), (right + 4, y + 1))]
        names = [(left - 8, y + 4), (right + 7, y + 4)]
    else:
        x = a.main.at((at, 0.0))[0]
        ends = [((x, low - 6), (x, low - 1)), ((x, high + 1), (x, high + 5))]
        c.line((x, low - 1), (x, high + 1), "centre")
        tips = [((x - 7, low - 5), (x - 1, low - 5)), ((x - 7, high + 4), (x - 1, high + 4))]
        names = [(x - 4, low - 8), (x - 4, high + 7)]
    for p, q in ends:
        c.line(p, q, "visible")
    for tip, start in tips:
        c.line(start, tip)
        arrow(c, tip, start, 3.0)
    for p in names:
        c.label(p, "A", 3.5, strong=True, mask=True)
        crowd.box(p[0] - 2, p[1] - 3, p[0] + 2, p[1] + 3)
