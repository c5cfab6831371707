"""Which cuts of a plate come near each other or the plate's sides: told from numbers, before anything is modelled.

Whatever is said to be apart is so for certain: a cut is taken as all that lies within a radius of a line in plan and
between two heights, step by step of its profile, and chords of arcs are allowed for. Plate frame, mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from ..layout import paths
from ..layout.features import Cut, Feature, PlateLayout
from ..layout.line_pieces import Bow, Straight
from ..layout.pockets import Stroke

CLEAR = 0.01  # mm: nearer than this to anything else, a cut is not alone
_CHORD = 5e-3  # mm that chords may leave an arc by


@dataclass(frozen=True, slots=True, eq=False)
class Reach:
    """All within `radius` of `line` (shapely, plan) between two heights holds a part of a cut, or all of it."""

    line: Any
    radius: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, eq=False)
class Cluster:
    """Cuts that come near each other and nothing else. `sides`: straight pieces of the outline that they open.

    `box`: least x and y and greatest x and y that they reach, mm.
    """

    cuts: tuple[Cut, ...]
    sides: tuple[Straight, ...]
    box: tuple[float, float, float, float]


def clusters(plate: PlateLayout, cuts: Sequence[Cut]) -> tuple[list[Cluster], list[Cut]]:
    """Clusters that open only plane faces of the plate, well within them; and all cuts of which that is not certain.

    What lies outside the plate as a whole is in neither: it takes nothing away.
    """
    reached = [(c, some) for c in cuts if (some := list(_reaches(c, plate)))]
    if not reached:
        return [], []
    cuts, reaches = zip(*reached, strict=True)
    owner = np.repeat(np.arange(len(cuts)), [len(r) for r in reaches])
    flat = [r for some in reaches for r in some]
    group = _together(len(cuts), owner, flat)
    rim = _Rim(plate)
    found, rest = list[Cluster](), list[Cut]()
    for g in dict.fromkeys(group):
        members = [i for i, h in enumerate(group) if h == g]
        mine = [r for i in members for r in reaches[i]]
        sides = rim.opened(mine)
        here = tuple(cuts[i] for i in members)
        if sides is None:
            rest += here
        else:
            found.append(Cluster(here, sides, _box(mine)))
    return found, rest


def _reaches(cut: Cut, plate: PlateLayout) -> Iterator[Reach]:
    import shapely

    t = plate.thickness
    if not isinstance(cut, Feature):
        floor, top = (-cut.depth, 0.0) if cut.face == "seal" else (-t, cut.depth - t)
        low, high = (-t, 0.0) if len(cut.mouths) > 1 else (floor, top)
        if isinstance(cut.shape, Stroke):
            yield Reach(paths.line_string(cut.shape.path, _CHORD), cut.shape.width / 2 + _CHORD, low, high)
        else:
            yield Reach(paths.region(cut, _CHORD), _CHORD, low, high)
        return
    (x, y, z), (a, b, c) = cut.origin, cut.axis
    for inner, outer, start, end in _steps(cut):
        low, high = sorted((z + c * start, z + c * end))
        if abs(c) < 1 - 1e-12:
            line = shapely.LineString([(x + a * s, y + b * s) for s in (start, end)])
            yield Reach(line, outer, low - outer, high + outer)
        elif low < 0 and high > -t:
            around = paths.circle((x, y), (inner + outer) / 2)
            line = shapely.Point(x, y) if inner == 0 else paths.line_string(around, _CHORD)
            radius = outer if inner == 0 else (outer - inner) / 2 + _CHORD
            yield Reach(line, radius, max(low, -t), min(high, 0.0))


def _steps(f: Feature) -> Iterator[tuple[float, float, float, float]]:
    """Least and greatest radius, start and end along the axis, of each step of a profile; of a ring in one piece."""
    inner = min(r for r, _ in f.profile)
    if inner > 1e-9:
        yield inner, max(r for r, _ in f.profile), min(z for _, z in f.profile), f.depth
        return
    for (r0, z0), (r1, z1) in pairwise((*f.profile, f.profile[0])):
        if max(r0, r1) > 1e-9 and z0 != z1:
            yield 0.0, max(r0, r1), min(z0, z1), max(z0, z1)


def _together(count: int, owner: Any, flat: list[Reach]) -> list[int]:
    """Number of the group of each cut."""
    import shapely
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    radius = np.array([r.radius for r in flat]) + CLEAR / 2
    low, high = (np.array([getattr(r, k) for r in flat]) for k in ("low", "high"))
    lines = np.array([r.line for r in flat], dtype=object)
    box = shapely.bounds(lines) + np.outer(radius, (-1, -1, 1, 1))
    i, j = np.triu_indices(len(flat), 1)
    near = (owner[i] != owner[j]) & (low[i] < high[j] + CLEAR) & (low[j] < high[i] + CLEAR)
    for k in (0, 1):
        near &= (box[i, k] < box[j, k + 2]) & (box[j, k] < box[i, k + 2])
    i, j = i[near], j[near]
    meet = shapely.distance(lines[i], lines[j]) < radius[i] + radius[j]
    pairs = (owner[i[meet]], owner[j[meet]])
    graph = coo_array((np.ones(len(pairs[0]), np.int8), pairs), shape=(count, count))
    return list(connected_components(graph, directed=False)[1])


def _box(reaches: list[Reach]) -> tuple[float, float, float, float]:
    bounds = np.array([r.line.bounds for r in reaches])
    radius = np.array([[r.radius] for r in reaches])
    (x0, y0), (x1, y1) = (bounds[:, :2] - radius).min(axis=0), (bounds[:, 2:] + radius).max(axis=0)
    return float(x0), float(y0), float(x1), float(y1)


class _Rim:
    """The sides of the plate with their broken edges."""

    def __init__(self, plate: PlateLayout) -> None:
        import shapely

        self.chamfer, self.thickness = plate.outline.chamfer, plate.thickness
        self.inside = paths.polygon(plate.outline, _CHORD)
        shapely.prepare(self.inside)
        self.pieces = [p for p in paths.pieces(plate.outline) if p.length > 1e-9]
        lines = [paths.line_string(paths.path([p]), _CHORD) for p in self.pieces]
        self.lines = np.array(lines, dtype=object)

    def opened(self, reaches: list[Reach]) -> tuple[Straight, ...] | None:
        """Straight pieces that are opened in their plane part; None where anything else is, or may be, touched."""
        import shapely

        found = dict[Straight, None]()
        for r in reaches:
            room = shapely.distance(self.lines, r.line) - r.radius - self.chamfer
            near = [p for p, d in zip(self.pieces, room, strict=True) if d < CLEAR + _CHORD]
            if not near and self.inside.contains(r.line):
                continue
            deep = r.low > self.chamfer - self.thickness + CLEAR and r.high < -self.chamfer - CLEAR
            if len(near) != 1 or isinstance(near[0], Bow) or not deep or not self.inside.intersects(r.line):
                return None
            found[near[0]] = None
        return tuple(found)


def direction(side: Straight) -> tuple[float, float]:
    """Unit vector along a side."""
    n = math.dist(side.start, side.end)
    return (side.end[0] - side.start[0]) / n, (side.end[1] - side.start[1]) / n
