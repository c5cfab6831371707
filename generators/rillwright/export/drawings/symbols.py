"""Signs of technical drawings, drawn on a canvas in mm of paper."""

from __future__ import annotations

import math

from .canvas import Canvas, Point


def projection_sign(projection: str) -> Canvas:
    """The truncated cone of ISO 128-3 (ISO 5456-2): its end view lies right in first-angle, left in third-angle."""
    c = Canvas(20, 9)
    cone, end = (6.0, 14.5) if projection == "first" else (13.5, 5.5)
    half, small, large = 3.5, 1.5, 3.0
    c.polyline([(cone - half, 4.5 - small), (cone - half, 4.5 + small), (cone + half, 4.5 + large),
                (cone + half, 4.5 - large)], "thin", closed=True)  # fmt: skip
    c.circle((end, 4.5), small, "thin")
    c.circle((end, 4.5), large, "thin")
    c.line((cone - half - 1, 4.5), (cone + half + 1, 4.5), "centre")
    c.line((end - large - 0.8, 4.5), (end + large + 0.8, 4.5), "centre")
    c.line((end, 4.5 - large - 0.8), (end, 4.5 + large + 0.8), "centre")
    return c


def surface_sign(c: Canvas, at: Point, text: str, height: float = 2.5) -> None:
    """Material removal required (ISO 21920-1, formerly ISO 1302): tip at `at`, the requirement under the bar."""
    x, y = at
    h1, h2 = 1.4 * height, 3.0 * height
    k = math.tan(math.radians(30))
    long = max(len(text) * 0.69 * height + 1, 6)
    c.line((x - k * h1, y + h1), (x + k * h1, y + h1))
    c.polyline([(x - k * h1, y + h1), (x, y), (x + k * h2, y + h2), (x + k * h2 + long, y + h2)])
    c.label((x + k * h2 + 0.5, y + h2 - 0.85 * height), text, height, "left")


def arrow(c: Canvas, tip: Point, towards: Point, size: float = 2.5) -> None:
    """Filled arrowhead with its point at `tip`, coming from `towards`."""
    dx, dy = tip[0] - towards[0], tip[1] - towards[1]
    n = math.hypot(dx, dy)
    ux, uy = dx / n, dy / n
    w = size * math.tan(math.radians(9))
    b = (tip[0] - size * ux, tip[1] - size * uy)
    c.fill([tip, (b[0] - w * uy, b[1] + w * ux), (b[0] + w * uy, b[1] - w * ux)])


def datum(c: Canvas, at: Point, letter: str, down: float) -> None:
    """Datum triangle on a line at `at` with its letter in a frame, `down` mm away along y (negative: below)."""
    x, y = at
    s = math.copysign(1, down)
    c.fill([(x - 1.6, y), (x + 1.6, y), (x, y + 2.6 * s)])
    c.line((x, y + 2.6 * s), (x, y + down))
    low = y + down if s > 0 else y + down - 5
    c.polyline([(x - 2.5, low), (x + 2.5, low), (x + 2.5, low + 5), (x - 2.5, low + 5)], closed=True)
    c.label((x, low + 2.5), letter, 2.5)


def datum_beside(c: Canvas, at: Point, letter: str, out: float) -> None:
    """Datum triangle on an upright line at `at` with its letter in a frame, `out` mm away along x (negative: left)."""
    x, y = at
    s = math.copysign(1, out)
    c.fill([(x, y - 1.6), (x, y + 1.6), (x + 2.6 * s, y)])
    c.line((x + 2.6 * s, y), (x + out, y))
    left = x + out if s > 0 else x + out - 5
    c.polyline([(left, y - 2.5), (left + 5, y - 2.5), (left + 5, y + 2.5), (left, y + 2.5)], closed=True)
    c.label((left + 2.5, y), letter, 2.5)
