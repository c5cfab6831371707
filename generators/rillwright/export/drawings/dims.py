"""Dimensions on the paper: overall, running (ordinate) and leaders, after ISO 129-1. Lengths in mm of paper."""

from __future__ import annotations

import math
from collections.abc import Sequence

from .canvas import Canvas, Point
from .symbols import arrow

TEXT = 2.5
GAP = 1.0  # between the part and an extension line
SPREAD = 3.3  # between two values of a row


def across(c: Canvas, a: Point, b: Point, at: float, text: str, height: float = TEXT) -> None:
    """Horizontal dimension between two points, its line at y = `at`; arrows outside where there is no room."""
    (x0, y0), (x1, y1) = sorted((a, b))
    for x, y in ((x0, y0), (x1, y1)):
        s = math.copysign(1, at - y)
        c.line((x, y + GAP * s), (x, at + 1.5 * s))
    wide = len(text) * height * 0.68
    if x1 - x0 > 7:
        c.line((x0, at), (x1, at))
        arrow(c, (x0, at), (x1, at))
        arrow(c, (x1, at), (x0, at))
    else:
        c.line((x0 - 5, at), (x1 + 5, at))
        arrow(c, (x0, at), (x0 - 5, at))
        arrow(c, (x1, at), (x1 + 5, at))
    if x1 - x0 > wide + 1:
        c.label(((x0 + x1) / 2, at + 0.5 + height / 2), text, height, mask=True)
    else:
        c.line((x1, at), (x1 + 5 + wide, at))
        c.label((x1 + 5, at + 0.5 + height / 2), text, height, "left")


def upright(c: Canvas, a: Point, b: Point, at: float, text: str, height: float = TEXT) -> None:
    """Vertical dimension between two points, its line at x = `at`, text read from the right."""
    (x0, y0), (x1, y1) = sorted((a, b), key=lambda p: p[1])
    for x, y in ((x0, y0), (x1, y1)):
        s = math.copysign(1, at - x)
        c.line((x + GAP * s, y), (at + 1.5 * s, y))
    wide = len(text) * height * 0.68
    inside = y1 - y0 > 7
    if inside:
        c.line((at, y0), (at, y1))
        arrow(c, (at, y0), (at, y1))
        arrow(c, (at, y1), (at, y0))
    else:
        c.line((at, y0 - 5), (at, y1 + 5))
        arrow(c, (at, y0), (at, y0 - 5))
        arrow(c, (at, y1), (at, y1 + 5))
    if y1 - y0 > wide + 1:
        c.label((at - 0.5 - height / 2, (y0 + y1) / 2), text, height, angle=90)
    else:
        c.line((at, y0), (at, y0 - 5.5 - wide))
        c.label((at - 0.5 - height / 2, y0 - 5.5), text, height, "right", angle=90)


def spread(wanted: Sequence[float], gap: float) -> list[float]:
    """Places in the same order, at least `gap` apart and as near to the wanted ones as can be (least squares).

    `wanted` must ascend. Pooling of neighbours that press on each other.
    """
    blocks: list[list[float]] = []  # sum and count of (wanted − i·gap)
    for i, w in enumerate(wanted):
        blocks.append([w - i * gap, 1.0])
        while len(blocks) > 1 and blocks[-2][0] / blocks[-2][1] > blocks[-1][0] / blocks[-1][1]:
            last = blocks.pop()
            blocks[-1][0] += last[0]
            blocks[-1][1] += last[1]
    out = [b[0] / b[1] for b in blocks for _ in range(int(b[1]))]
    return [v + i * gap for i, v in enumerate(out)]


def running(
    c: Canvas, values: Sequence[tuple[float, str]], edge: float, axis: str, out: float, room: float = 0.0
) -> float:
    """A row of running dimensions beside a view: `values` are (place on the paper, text).

    axis "x": below or above the view, values read from the right; "y": left or right of it. `edge`: coordinate of the
    view's side, `out`: +1 or −1, which way is away from it, `room`: how much further out the values
    stand. Returns the coordinate where the row ends.
    """
    places = sorted(values)
    moved = spread([p for p, _ in places], SPREAD)
    longest, far = 0.0, edge + room * out
    for (p, text), q in zip(places, moved, strict=True):
        run = [(p, edge + GAP * out), (p, far + 3 * out), (q, far + 6 * out), (q, far + 7.5 * out)]
        c.polyline(run if axis == "x" else [(b, a) for a, b in run])
        end = far + 8.2 * out
        if axis == "x":
            c.label((q, end), text, TEXT, "left" if out > 0 else "right", 90)
        else:
            c.label((end, q), text, TEXT, "left" if out > 0 else "right")
        longest = max(longest, len(text) * TEXT * 0.68)
    return far + (8.5 + longest) * out


def leader(c: Canvas, tip: Point, knee: Point, text: str, right: bool = True, height: float = TEXT) -> None:
    """An arrow to `tip` from `knee`, text on a shelf beyond it."""
    long = len(text) * height * 0.68 + 1
    s = 1 if right else -1
    c.polyline([tip, knee, (knee[0] + s * long, knee[1])])
    arrow(c, tip, knee, 2.0)
    c.label((knee[0] + s * 0.5, knee[1] + 0.9 + height / 2), text, height, "left" if right else "right", mask=True)
