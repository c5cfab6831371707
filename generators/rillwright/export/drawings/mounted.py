"""What lies on a face by foot prints, as thin long-dashed double-dotted lines (ISO 128-2, 05.1): adjacent parts.

It is drawn as far as `BEYOND` past the view; what stands out further is cut off there, since dimensions follow.
"""

from __future__ import annotations

from itertools import pairwise

from ...layout.features import PlateLayout
from ...layout.job_layout import JobLayout
from ...layout.phantoms import Phantom, phantoms
from .canvas import ADVANCE, Point
from .crowd import FAINT, Crowd
from .frames import Eye, in_part
from .views import Spot

BEYOND = 1.0  # mm of paper
HEIGHT, LEAST = 1.8, 1.2  # of capitals, mm of paper
Box = tuple[float, float, float, float]


def draw_mounted(
    layout: JobLayout, plate: PlateLayout, face: str, eye: Eye, spot: Spot, box: Box, crowd: Crowd
) -> list[str]:
    """Draw the rooms on a face of a plate; returns the note that tells of them, nothing where there are none."""
    lies = [p for p in phantoms(layout) if (p.plate, p.face) == (plate.name, face)]
    frame = (box[0] - BEYOND, box[1] - BEYOND, box[2] + BEYOND, box[3] + BEYOND)
    for p in lies:
        ring = [spot.at(eye.sees(in_part(plate, (x, y, 0.0)))) for x, y in p.ring]
        for run in runs_inside([*ring, ring[0]], frame):
            spot.canvas.polyline(run, "phantom")
            crowd.lines([(*a, *b) for a, b in pairwise(run)], FAINT)
        _name(p, ring, frame, spot, crowd)
    return [_note(lies)] if lies else []


def runs_inside(line: list[Point], box: Box) -> list[list[Point]]:
    """The stretches of a line of straight pieces that lie in a box (Liang and Barsky)."""
    runs: list[list[Point]] = []
    for a, b in pairwise(line):
        cut = _clipped(a, b, box)
        if cut is None:
            continue
        if runs and runs[-1][-1] == cut[0]:
            runs[-1].append(cut[1])
        else:
            runs.append(list(cut))
    return runs


def _clipped(a: Point, b: Point, box: Box) -> tuple[Point, Point] | None:
    start, end = 0.0, 1.0
    dx, dy = b[0] - a[0], b[1] - a[1]
    for way, room in ((-dx, a[0] - box[0]), (dx, box[2] - a[0]), (-dy, a[1] - box[1]), (dy, box[3] - a[1])):
        if way == 0:
            if room < 0:
                return None
        elif way < 0:
            start = max(start, room / way)
        else:
            end = min(end, room / way)
    if start >= end:
        return None
    first = a if start == 0 else (a[0] + start * dx, a[1] + start * dy)
    last = b if end == 1 else (a[0] + end * dx, a[1] + end * dy)
    return first, last


def _name(p: Phantom, ring: list[Point], frame: Box, spot: Spot, crowd: Crowd) -> None:
    """Its name and heights inside its outline, in the corner where they cover least; left out where they do not fit."""
    text = f"{p.name.split('.', 2)[2]}: {p.low:g} to {p.high:g}"
    left, right = max(frame[0], min(x for x, _ in ring)) + 1, min(frame[2], max(x for x, _ in ring)) - 1
    low, high = max(frame[1], min(y for _, y in ring)) + 1, min(frame[3], max(y for _, y in ring)) - 1
    if p.round:  # the square inside the circle
        left, right, low, high = (a + 0.146 * (b - a) for a, b in ((left, right), (right, left), (low, high), (high, low)))
    size = min(HEIGHT, (right - left) / (len(text) * ADVANCE))
    if size < LEAST or high - low < size + 1:
        return
    wide, tall = len(text) * ADVANCE * size, size + 0.6
    steps = [low + k * (high - low - tall) / 8 for k in range(9)]
    across = [left + k * (right - left - wide) / 4 for k in range(5)]
    places = [(crowd.cost(x, y, x + wide, y + tall), x, y) for x in across for y in steps]
    _, x, y = min(places)
    crowd.box(x, y, x + wide, y + tall)
    spot.canvas.label((x, y + tall / 2), text, size, "left")


def _note(lies: list[Phantom]) -> str:
    low, high = min(p.low for p in lies), max(p.high for p in lies)
    return f"Double-dotted: room of mounted parts, {low:g} to {high:g} over this face; no part of this one."
