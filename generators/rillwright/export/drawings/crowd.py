"""Where there is room on the paper: labels go where they cover least. Lengths in mm of paper."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from .canvas import Canvas, Label, Point
from .views import Bow, Curve, Spot

CELL = 0.5  # mm
FULL, LINE, FAINT = 50.0, 2.0, 0.25  # weights: a label's cell, a visible line's, a hidden or thin line's
TURNS = [math.tau * k / 16 for k in range(16)]
REACHES = (0.8, 2.5, 4.5, 7.0, 10.0, 14.0)


class Crowd:
    """What stands where on one sheet."""

    def __init__(self, width: float, height: float) -> None:
        self.cells = np.zeros((math.ceil(height / CELL) + 1, math.ceil(width / CELL) + 1), dtype=np.float32)
        self.width, self.height = width, height

    def line(self, a: Point, b: Point, weight: float = LINE) -> None:
        self.lines([(*a, *b)], weight)

    def lines(self, segments: list[tuple[float, float, float, float]], weight: float = LINE) -> None:
        """Mark straight pieces (x, y, x, y), all at once."""
        if not segments:
            return
        x0, y0, x1, y1 = np.array(segments).T
        count = np.ceil(np.hypot(x1 - x0, y1 - y0) / (0.8 * CELL)).astype(int) + 1
        t = _shares(count)
        x, y = (np.repeat(a, count) + np.repeat(b - a, count) * t for a, b in ((x0, x1), (y0, y1)))
        self._mark(x, y, weight)

    def bow(self, centre: Point, radius: float, start: float = 0.0, end: float = 360.0, weight: float = LINE) -> None:
        self.bows([(*centre, radius, start, end)], weight)

    def bows(self, of: list[tuple[float, float, float, float, float]], weight: float = LINE) -> None:
        """Mark arcs (centre x, y, radius, start, end in degrees), all at once."""
        if not of:
            return
        x, y, radius, start, end = np.array(of).T
        start, end = np.radians(start), np.radians(end)
        count = np.maximum(8, np.ceil(radius * (end - start) / (0.8 * CELL)).astype(int)) + 1
        t = np.repeat(start, count) + np.repeat(end - start, count) * _shares(count)
        x, y, radius = (np.repeat(v, count) for v in (x, y, radius))
        self._mark(x + radius * np.cos(t), y + radius * np.sin(t), weight)

    def _mark(self, x: np.ndarray, y: np.ndarray, weight: float) -> None:
        i = np.clip((y / CELL).astype(int), 0, self.cells.shape[0] - 1)
        j = np.clip((x / CELL).astype(int), 0, self.cells.shape[1] - 1)
        self.cells[i, j] = np.maximum(self.cells[i, j], weight)

    def curves(self, spot: Spot, curves: list[Curve], weight: float = LINE) -> None:
        segments: list[tuple[float, float, float, float]] = []
        bows = []
        for c in curves:
            if isinstance(c, Bow):
                bows.append((*spot.at(c.centre), spot.scale * c.radius, c.start, c.end))
            else:
                points = [spot.at(p) for p in c.points]
                segments += [(*a, *b) for a, b in pairwise(points)]
        self.lines(segments, weight)
        self.bows(bows, weight)

    def box(self, left: float, low: float, right: float, high: float, weight: float = FULL) -> None:
        i0, i1, j0, j1 = self._window(left, low, right, high)
        self.cells[i0:i1, j0:j1] = np.maximum(self.cells[i0:i1, j0:j1], weight)

    def _window(self, left: float, low: float, right: float, high: float) -> tuple[int, int, int, int]:
        return (max(0, int(low / CELL)), max(0, math.ceil(high / CELL)), max(0, int(left / CELL)),
                max(0, math.ceil(right / CELL)))  # fmt: skip

    def cost(self, left: float, low: float, right: float, high: float) -> float:
        """What a box would cover; very much off the paper."""
        if left < 0 or low < 0 or right > self.width or high > self.height:
            return 1e9
        i0, i1, j0, j1 = self._window(left, low, right, high)
        return float(self.cells[i0:i1, j0:j1].sum())

    def tag(self, canvas: Canvas, at: Point, radius: float, text: str, height: float = 2.0) -> None:
        """Put a tag beside a circle (radius 0: a point), with a leader where it had to go further away."""
        label = Label(at, text, height)
        w, h = label.width / 2 + 0.4, height / 2 + 0.4
        best: tuple[float, Point, float] | None = None
        for reach in REACHES:
            for t in TURNS:
                c, s = math.cos(t), math.sin(t)
                # The box touches the ray's end with the side that looks at the circle.
                away = radius + reach + min(w / max(abs(c), 1e-9), h / max(abs(s), 1e-9))
                p = (at[0] + away * c, at[1] + away * s)
                price = self.cost(p[0] - w, p[1] - h, p[0] + w, p[1] + h) + 1.5 * reach + (abs(s) > 0.9) * 0.5
                if best is None or price < best[0]:
                    best = (price, p, t)
            if best is not None and best[0] < 2.0 * reach + 1:
                break
        assert best is not None
        self._put(canvas, at, radius, best[1], best[2], Label(best[1], text, height, mask=True), (w, h))

    def _put(
        self, canvas: Canvas, at: Point, radius: float, p: Point, turn: float, label: Label, half: tuple[float, float]
    ) -> None:
        canvas.add([label])
        self.box(p[0] - half[0], p[1] - half[1], p[0] + half[0], p[1] + half[1])
        c, s = math.cos(turn), math.sin(turn)
        a = (at[0] + radius * c, at[1] + radius * s)
        gap = min(half[0] / max(abs(c), 1e-9), half[1] / max(abs(s), 1e-9))
        b = (p[0] - gap * c, p[1] - gap * s)
        if math.dist(a, b) > 1.2:
            canvas.line(a, b, "thin")
            self.line(a, b, FULL / 5)


def _shares(count: np.ndarray) -> np.ndarray:
    """0 to 1 in so many even steps for each, one after the other."""
    first = np.repeat(np.cumsum(count) - count, count)
    shares: np.ndarray = (np.arange(count.sum()) - first) / np.maximum(np.repeat(count, count) - 1, 1)
    return shares
