"""The picture of one clamping: the plate as it lies, with zero, axes, dowels and tags. Lengths in mm."""

from __future__ import annotations

from collections.abc import Sequence

from ...layout.dowels import Dowels
from ...layout.features import PlateLayout
from . import marks
from .arrange import bounds
from .canvas import Canvas, Point
from .crowd import FULL, LINE, Crowd
from .frames import Eye
from .symbols import arrow
from .tags import Group, Tagged
from .views import Seen, Spot

WIDE, HIGH = 172.0, 74.0  # what the picture may take, mm
RIM = (16.0, 11.0)  # beside, and above and below the part in the picture, for dowels, axes and tags
MANY = 12  # features of a pattern; beyond, the picture tags every tenth


def picture(
    plate: PlateLayout, eye: Eye, look: Seen, found: Sequence[Group], cut: Sequence[Tagged], dowels: Dowels | None,
    first: bool,
) -> Canvas:  # fmt: skip
    """`look` is what the eye sees, `cut` what this clamping cuts; `dowels` None where the plate stands on an edge.

    `first`: the clamping before the flip.
    """
    left, low, right, high = reach(plate, eye, dowels, 0.0)
    above = RIM[1] if dowels is not None else 14.0  # an edge's zero lies on its upper side, and Y points out of it
    scale = min((WIDE - 2 * RIM[0]) / (right - left), (HIGH - RIM[1] - above) / (high - low), 2.0)
    canvas = Canvas(WIDE, scale * (high - low) + RIM[1] + above)
    spot = Spot(canvas, (WIDE / 2 - scale * (left + right) / 2, RIM[1] - scale * low), scale)
    crowd = Crowd(canvas.width, canvas.height)
    spot.draw(look.visible, "visible")
    crowd.curves(spot, look.visible)
    _zero(spot, crowd)
    if dowels is not None:
        _pins(spot, eye, dowels, first, crowd)
    marks.tag_all(plate, eye, spot, _shown(found, cut), crowd)
    return canvas


def reach(plate: PlateLayout, eye: Eye, dowels: Dowels | None, waste: float) -> tuple[float, float, float, float]:
    """What the outline and the dowels take, with waste round them: left, low, right, high."""
    left, low, right, high = bounds(plate, eye)
    for p in () if dowels is None else dowels.pins:
        (x, y), r = eye.sees((*p.at, 0.0)), p.diameter / 2
        left, low, right, high = min(left, x - r), min(low, y - r), max(right, x + r), max(high, y + r)
    return left - waste, low - waste, right + waste, high + waste


def _shown(found: Sequence[Group], cut: Sequence[Tagged]) -> list[Tagged]:
    """What is tagged in the picture: of long patterns every tenth and the last; the table has them all."""
    names = {m.tag for m in cut}
    out: list[Tagged] = []
    for g in found:
        mine = [m for m in g.members if m.tag in names]
        out += mine if len(mine) <= MANY else [m for i, m in enumerate(mine) if i % 10 == 0 or i == len(mine) - 1]
    return out


def _zero(spot: Spot, crowd: Crowd) -> None:
    c, (x, y) = spot.canvas, spot.at((0.0, 0.0))
    for tip, name, at in (((x + 9, y), "X", (x + 11.5, y)), ((x, y + 9), "Y", (x, y + 11.5))):
        c.line((x, y), tip, "visible")
        arrow(c, tip, (x, y), 3.0)
        c.label(at, name, 3.0, strong=True, mask=True)
        crowd.box(at[0] - 2, at[1] - 2, at[0] + 2, at[1] + 2)
    c.circle((x, y), 1.5, "visible")
    crowd.box(x - 2, y - 2, x + 10, y + 2, FULL / 10)
    crowd.box(x - 2, y - 2, x + 2, y + 10, FULL / 10)


def _pins(spot: Spot, eye: Eye, dowels: Dowels, first: bool, crowd: Crowd) -> None:
    """Pins, and the axis that the plate is turned about."""
    c = spot.canvas
    places: list[Point] = [spot.at(eye.sees((*p.at, 0.0))) for p in dowels.pins]
    beside = abs(places[0][0] - places[1][0]) > 1.0
    for p, pin, anchor, out in zip(places, dowels.pins, ("right", "left"), (2.0, -2.0), strict=True):
        r = pin.diameter / 2 * spot.scale
        c.circle(p, r, "visible")
        c.line((p[0] - r - 2, p[1]), (p[0] + r + 2, p[1]), "centre")
        c.line((p[0], p[1] - r - 2), (p[0], p[1] + r + 2), "centre")
        at = (p[0] + out, p[1] + r + 3.2) if beside else (p[0] + r + 3, p[1] + 2.5)
        c.label(at, f"dowel Ø{pin.diameter:g}", 2.2, anchor if beside else "left")  # type: ignore[arg-type]
        crowd.box(p[0] - 12, p[1] - r - 2, p[0] + 12, p[1] + r + 5)
    (x0, y0), (x1, y1) = places
    c.line((x0, y0), (x1, y1), "cut" if first else "centre")
    if beside:
        c.label((x0 + 2, y0 - 6), "flip axis", 2.2, "right")
    else:
        c.label((x0 + 5, y0 - 2.5), "flip axis", 2.2, "left")
    crowd.line((x0, y0), (x1, y1), LINE)
    crowd.box(x0 - 9, y0 - 8, x0 + 9, y0 - 4)
