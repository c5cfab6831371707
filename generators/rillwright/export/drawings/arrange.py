"""Which views a sheet carries, at which scale, and where each goes. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass

from ...layout.dowels import extent
from ...layout.features import PlateLayout
from .canvas import Canvas, Point
from .frames import Eye
from .paper import EDGE, LEFT, TITLE, Size, frame, paper
from .views import Seen, Spot

SCALES = (1.0, 0.5, 0.2, 0.1, 0.05)  # ISO 5455; nothing larger, so that a part is never drawn beyond its size
ABOVE, BELOW, ASIDE, BESIDE = 13.0, 25.0, 28.0, 17.0  # for dimensions above, below, left and right of the main view
NEXT = 15.0  # beside a side view: its tags and title
SIDES = ("left", "right", "below", "above")


@dataclass(frozen=True, slots=True)
class SideView:
    """A view of one side of the main view's part: an edge, or a section."""

    side: str  # on which side of the part the eye stands, as the main view lies
    name: str  # edge, or "A-A"
    eye: Eye
    seen: Seen


@dataclass(frozen=True, slots=True)
class Arranged:
    """Where everything is on one sheet. Boxes are (left, low, right, high) on the paper."""

    size: Size
    scale: float
    canvas: Canvas
    main: Spot
    box: tuple[float, float, float, float]
    sides: tuple[tuple[SideView, Spot, tuple[float, float, float, float]], ...]

    @property
    def ratio(self) -> str:
        return ratio(self.scale)


def ratio(scale: float) -> str:
    """Scale as drawings write it: 1:2, 5:1."""
    return f"{scale:g}:1" if scale >= 1 else f"1:{1 / scale:g}"


def bounds(plate: PlateLayout, eye: Eye) -> tuple[float, float, float, float]:
    """What a plate covers as an eye sees it: left, low, right, high at full size."""
    x, y, t = extent(plate)
    corners = [eye.sees((a * x / 2, b * y / 2, c)) for a in (-1, 1) for b in (-1, 1) for c in (0.0, -plate.side * t)]
    us, vs = zip(*corners, strict=True)
    return min(us), min(vs), max(us), max(vs)


def lies(side: str, projection: str) -> str:
    """On which side of the main view a side view is put: there in third-angle, opposite in first-angle."""
    if projection == "third":
        return side
    return {"left": "right", "right": "left", "below": "above", "above": "below"}[side]


def arranged(
    plate: PlateLayout, main: Eye, views: list[SideView], projection: str, size: Size | str
) -> Arranged:
    """The largest scale that fits, on the smaller paper that serves it; the smallest scale where nothing fits."""
    sizes: tuple[Size, ...] = ("A4", "A3") if size == "auto" else (size,)  # type: ignore[assignment]
    for scale in SCALES:
        for paper_size in sizes:
            wide, high = _needs(plate, main, views, scale)
            room = _room(paper_size)
            if wide <= room[0] and high <= room[1]:
                return _placed(plate, main, views, projection, paper_size, scale)
    return _placed(plate, main, views, projection, sizes[-1], SCALES[-1])


def _room(size: Size) -> tuple[float, float]:
    left, low, right, high = frame(size)
    return right - left - 4, high - low - TITLE[1] - 8


def _needs(plate: PlateLayout, main: Eye, views: list[SideView], scale: float) -> tuple[float, float]:
    left, low, right, high = bounds(plate, main)
    wide, tall = scale * (right - left) + ASIDE + BESIDE, scale * (high - low) + ABOVE + BELOW
    for v in views:
        a, b, c, d = bounds(plate, v.eye)
        if v.side in ("left", "right"):
            wide += scale * (c - a) + NEXT
        else:
            tall += scale * (d - b) + NEXT
    return wide, tall


def _placed(
    plate: PlateLayout, main: Eye, views: list[SideView], projection: str, size: Size, scale: float
) -> Arranged:
    canvas = Canvas(*paper(size))
    at = {lies(v.side, projection): v for v in views}
    wide, tall = _needs(plate, main, views, scale)
    room = _room(size)
    x, y = LEFT + 2 + (room[0] - wide) / 2, EDGE + TITLE[1] + 4 + (room[1] - tall) / 2
    a, b, c, d = bounds(plate, main)
    left_view, below_view = at.get("left"), at.get("below")
    x += ASIDE + (_span(plate, left_view, scale)[0] + NEXT if left_view else 0.0)
    y += BELOW + (_span(plate, below_view, scale)[1] + NEXT if below_view else 0.0)
    spot = Spot(canvas, (x - scale * a, y - scale * b), scale)
    box = (x, y, x + scale * (c - a), y + scale * (d - b))
    sides = tuple(_beside(plate, v, where, spot, box, scale) for where, v in at.items())
    return Arranged(size, scale, canvas, spot, box, sides)


def _span(plate: PlateLayout, view: SideView, scale: float) -> tuple[float, float]:
    a, b, c, d = bounds(plate, view.eye)
    return scale * (c - a), scale * (d - b)


def _beside(
    plate: PlateLayout, view: SideView, where: str, main: Spot, box: tuple[float, float, float, float], scale: float
) -> tuple[SideView, Spot, tuple[float, float, float, float]]:
    a, b, c, d = (scale * v for v in bounds(plate, view.eye))
    left, low, right, high = box
    origin: Point = {
        "above": (main.origin[0], high + ABOVE + NEXT / 2 - b), "below": (main.origin[0], low - BELOW - NEXT / 2 - d),
        "right": (right + BESIDE + NEXT / 2 - a, main.origin[1]), "left": (left - ASIDE - NEXT / 2 - c, main.origin[1]),
    }[where]  # fmt: skip
    return view, Spot(main.canvas, origin, scale), (origin[0] + a, origin[1] + b, origin[0] + c, origin[1] + d)
