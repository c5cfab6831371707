"""Where the section picture is cut: the plane y = constant that tells most about how the coolant goes. Lengths in mm."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from ..layout import paths
from ..layout.features import Feature, PlateLayout, Vec3
from ..layout.hardware import in_assembly
from ..layout.job_layout import JobLayout
from ..layout.pockets import Pocket, Stroke

WORTH = {"tube-channel": 6.0, "port": 4.0, "drilling": 3.0, "plug": 2.0, "strut-seat": 1.0, "strut-screw": 1.0}
WET, DRY = 1.0, 0.2  # of a feature of any other kind
CROSSED, ALONG = 1.5, -1.5  # a channel or groove cut across, and one cut along
NEAR = 0.05  # mm: features whose middles are so near to the plane are cut through the middle
STEP = 2.0  # mm between places of a line


def cutting_place(layout: JobLayout) -> float:
    """y of the plane in the machine. A job with tubes is cut through one of them."""
    found = [(f, place, lies) for p in layout.plates for f, place, lies in _features(layout, p)]
    tubes = [place[1] for f, place, _ in found if f.role == "tube-channel"]
    places = tubes or [place[1] for f, place, _ in found if f.wet] or [place[1] for _, place, _ in found] or [0.0]
    lines = [(k, line) for p in layout.plates for k, line in _lines(layout, p)]

    def worth(y: float) -> float:
        cut = [f for f, place, lies in found if lies and abs(place[1] - y) < NEAR]
        return sum(WORTH.get(f.role, WET if f.wet else DRY) for f in cut) + sum(_crossed(k, line, y) for k, line in lines)

    return max(dict.fromkeys(round(y, 4) for y in places), key=lambda y: (round(worth(y), 6), -abs(y)))


def _features(layout: JobLayout, plate: PlateLayout) -> Iterator[tuple[Feature, Vec3, bool]]:
    """Every feature with its place in the machine, and whether its axis can lie in the plane."""
    stance = layout.stance(plate.name)
    for f in plate.features:
        axis = stance.turn((f.axis[0], f.axis[1], plate.side * f.axis[2]))
        yield f, stance.place(in_assembly(plate, f.origin)), abs(axis[1]) < 1e-6


def _lines(layout: JobLayout, plate: PlateLayout) -> Iterator[tuple[Pocket, list[float]]]:
    """Every pocket with the y of places along its line or its outside, in the machine."""
    stance = layout.stance(plate.name)
    for k in plate.pockets:
        way = k.shape.path if isinstance(k.shape, Stroke) else k.shape.outside
        points = [k.start, *(q for _, q, _ in paths.along(way, STEP))]
        yield k, [stance.place(in_assembly(plate, (*q, 0.0)))[1] for q in points]


def _crossed(k: Pocket, line: list[float], y: float) -> float:
    """What it is worth to cut a pocket there; a window only takes material away."""
    crossings = sum((a < y) != (b < y) for a, b in pairwise(line))
    if k.role not in ("channel", "groove"):
        return ALONG * (crossings > 0)
    half = k.shape.width / 2 if isinstance(k.shape, Stroke) else 0.0
    inside = STEP * sum(abs(v - y) < half for v in line) - 2 * half * crossings
    return CROSSED * crossings + ALONG * (inside > 8 * half + 4 * STEP)
