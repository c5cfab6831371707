"""The section A-A of a sheet: where it goes, and how it is drawn. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from ...layout import paths
from ...layout.features import Feature, PlateLayout, Vec3
from ...layout.pockets import Pocket, Stroke
from . import dims
from .arrange import Arranged, SideView
from .crowd import Crowd
from .frames import Eye
from .hatching import hatch
from .marks import Box
from .symbols import arrow
from .views import Seen, Spot

WORTH = {"tube-channel": 6, "port": 4, "drilling": 3, "strut-seat": 1, "strut-screw": 2}
Kind = tuple[str, str, float]


@dataclass(frozen=True, slots=True)
class Cut:
    """A plane of section: `at` is its place on the main view's paper, `side` the side from which one looks."""

    name: str
    side: str
    eye: Eye
    at: float

    @property
    def towards(self) -> float:
        """How far the plane lies towards its own eye."""
        return -self.at if self.side == "below" else self.at

    def view(self, seen: Seen | None) -> SideView:
        return SideView(self.side, self.name, self.eye, Seen() if seen is None else seen)

    def lies_in(self, main: Eye, p: Vec3) -> bool:
        """Whether a point of the part lies in the plane; `main`: the eye of the main view."""
        return abs(main.sees(p)[1 if self.side == "below" else 0] - self.at) < 1e-4


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
    score: dict[float, float] = {}
    for f in plate.features:
        if isinstance(f, Feature) and abs(f.axis[2]) > 0.999:
            at = round(f.origin[axis], 4)
            score[at] = score.get(at, 0.0) + WORTH.get(f.role, 0.3)
    lines = [(p, _places(p, axis)) for p in plate.pockets]
    for at in score:
        score[at] += sum(_crossed(p, places, at) for p, places in lines)
    best = max(score, key=lambda v: (score[v], -abs(v)), default=0.0)
    return best * (eye.right, eye.up)[axis][axis]


def second_cut(plate: PlateLayout, eye: Eye, axis: int, first: float) -> float | None:
    """Where a section square to the first one goes: across what that does not show. None where it shows every kind.

    `axis` is 0 for a first section at one x of the paper, 1 for one at one y; `first` and the answer are places on it.
    """
    other = 1 - axis
    counting = [c for c in plate.cuts if _counts(c)]
    lines = {c.name: _places(c, other) for c in counting if isinstance(c, Pocket)}
    here = {c.name: _places(c, axis) for c in counting if isinstance(c, Pocket)}
    missing = {_kind(c) for c in counting} - _shown(counting, here, axis, first * (eye.right, eye.up)[axis][axis])
    places = [round(v, 4) for c in counting if _kind(c) in missing for v in _middles(c, lines, other)]
    if not places:
        return None
    best = max(dict.fromkeys(places), key=lambda v: (len(_shown(counting, lines, other, v) & missing), -abs(v)))
    return best * (eye.right, eye.up)[other][other]


def _counts(c: Feature | Pocket) -> bool:
    return c.role in WORTH or c.role in ("plug", "channel", "groove", "recess")


def _kind(c: Feature | Pocket) -> Kind:
    return c.role, c.face, round(c.depth, 2)


def _middles(c: Feature | Pocket, lines: dict[str, list[float]], axis: int) -> list[float]:
    if isinstance(c, Feature):
        return [c.origin[axis]] if abs(c.axis[axis]) < 1e-6 else []
    places = sorted(lines[c.name])
    return [places[len(places) // 2]]


def _shown(cuts: list[Feature | Pocket], lines: dict[str, list[float]], axis: int, at: float) -> set[Kind]:
    """Kinds that a plane cuts: bores through their axis or near it, channels and grooves across."""
    found = set()
    for c in cuts:
        if isinstance(c, Feature):
            cut = abs(c.origin[axis] - at) < 0.3 * c.radius and abs(c.axis[axis]) < 1e-6
        else:
            cut = any((a > at) != (b > at) for a, b in pairwise(lines[c.name]))
        if cut:
            found.add(_kind(c))
    return found


def _places(p: Pocket, axis: int) -> list[float]:
    """One coordinate of places every few millimetres along a pocket's line or outside."""
    way = p.shape.path if isinstance(p.shape, Stroke) else p.shape.outside
    return [q[axis] for q in (way.start, *(q for _, q, _ in paths.along(way, 5.0)))]


def _crossed(p: Pocket, places: list[float], at: float) -> float:
    """What it is worth to cut a pocket: each crossing of a channel or groove counts, a window in the way costs."""
    crossings = sum((a > at) != (b > at) for a, b in pairwise(places))
    return (1.5 if p.role in ("channel", "groove") else -2.0) * crossings


def cut_line(a: Arranged, at: float, side: str, crowd: Crowd, name: str = "A") -> None:
    """The plane of a section in the main view: thin chain, wide at its ends, arrows the way one looks."""
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
        # beside the arrow, but over it where the view's title stands there
        names = [(x - 10, low - 5), (x - 10, high + 4) if x > left + 72 else (x - 4, high + 7)]
    for p, q in ends:
        c.line(p, q, "visible")
    for tip, start in tips:
        c.line(start, tip)
        arrow(c, tip, start, 3.0)
    for p in names:
        c.label(p, name, 3.5, strong=True, mask=True)
        crowd.box(p[0] - 2, p[1] - 3, p[0] + 2, p[1] + 3)
