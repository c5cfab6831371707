"""The outer surfaces of a plate: the sides of its outline and the chamfers along them, asked of points."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial

import numpy as np
import numpy.typing as npt

from ...layout.edge_break import turns
from ...layout.features import Arc, Outline, PlateLayout
from ...layout.outline import arc_centre
from .pocket_faces import to_arc, to_line

Floats = npt.NDArray[np.float64]
Side = Callable[[Floats], Floats]


class Sides:
    """Each piece of a plate's outline with its name. on, slack: what a corner and the middle of a chord may be off, mm."""

    def __init__(self, plate: PlateLayout, on: float, slack: float) -> None:
        self.plate, self.on, self.slack = plate, on, slack
        self._sides, self._slopes = _sides(plate), _slopes(plate.outline)
        self.names = [name for name, _ in self._sides]

    def of(self, corners: Floats) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.bool_]]:
        """For each polygon (n, k, 3): index of the side of the outline it lies on or −1, and whether on its chamfer."""
        chamfer, on = self.plate.outline.chamfer, self.on
        found, bevel = np.full(len(corners), -1), np.zeros(len(corners), bool)
        if not len(corners):
            return found, bevel
        z = corners[:, :, 2]
        inset = chamfer - np.minimum(-z, self.plate.thickness + z)  # of the chamfer from the outline at this depth
        broken = np.all(inset > -on, axis=1)
        flat = corners.reshape(-1, 3)[:, :2]
        for i, (_, distance) in enumerate(self._sides):
            far = distance(flat).reshape(z.shape)
            slope, reach = self._slopes[i]
            if far.min() > reach + on + self.slack:
                continue
            off = slope(flat).reshape(z.shape)
            flush = (found < 0) & np.all(far < on + self.slack, axis=1)
            near = (np.abs(off - inset) < on + self.slack) & (far <= reach + on + self.slack)
            bevelled = (found < 0) & ~flush & broken & np.all(near, axis=1)
            found[flush | bevelled] = i
            bevel |= bevelled
        return found, bevel


def _sides(plate: PlateLayout) -> list[tuple[str, Side]]:
    """Each piece of the outline as a function from plan points (n, 2) to distances (n,), with its name.

    A plate whose features call its edges by number keeps the numbers, also for an edge that looks to the front.
    """
    o = plate.outline
    numbered = any(m.startswith("edge-") for f in plate.features for m in (f.face, *f.mouths))
    sides: list[tuple[str, Side]] = []
    at, straight = o.start, 0
    for p in o.pieces:
        if isinstance(p, Arc):
            name = f"corner at {p.middle[0]:.0f}, {p.middle[1]:.0f}"
            sides.append((name, partial(to_arc, at, p)))
        else:
            straight += 1
            name = f"edge-{straight}" if numbered else _edge_name(at, p.end, straight)
            sides.append((name, partial(to_line, at, p.end)))
        at = p.end
    return sides


def _slopes(o: Outline) -> list[tuple[Side, float]]:
    """For each piece how far plan points (n, 2) are from its whole line or circle, which its chamfer keeps to, and how
    far from the piece itself a point of its chamfer can be: in a corner that points into the plate it goes beyond its end.
    """
    corners = turns(o)
    slopes: list[tuple[Side, float]] = []
    at = o.start
    for i, p in enumerate(o.pieces):
        turn = min(corners[i], corners[(i + 1) % len(corners)], 0.0)
        reach = o.chamfer * (2.0 / math.cos(turn / 2) if turn < -1e-6 else 1.0)  # twice: arcs bend on the way
        slopes.append((partial(_to_circle, at, p) if isinstance(p, Arc) else partial(_to_whole_line, at, p.end), reach))
        at = p.end
    return slopes


def _to_whole_line(a: tuple[float, float], b: tuple[float, float], points: Floats) -> Floats:
    d = np.subtract(b, a)
    found: Floats = np.abs((points - a) @ np.array([-d[1], d[0]])) / np.hypot(*d)
    return found


def _to_circle(start: tuple[float, float], arc: Arc, points: Floats) -> Floats:
    centre, r = arc_centre(start, arc.middle, arc.end)
    found: Floats = np.abs(np.hypot(*(points - np.asarray(centre)).T) - r)
    return found


def _edge_name(a: tuple[float, float], b: tuple[float, float], number: int) -> str:
    if a[1] == b[1]:
        return "front edge" if b[0] > a[0] else "back edge"
    if a[0] == b[0]:
        return "right edge" if b[1] > a[1] else "left edge"
    return f"edge-{number}"
