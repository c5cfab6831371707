"""Which features and pockets of a plate may share volume, told in plan by distances that are never too large. mm."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from ...layout.features import Cut, Feature, Outline, PlateLayout
from ...layout.paths import Bow, Piece, Straight, pieces
from ...layout.pockets import Pocket, Stroke
from .attribution import cut_box
from .pocket_faces import inset, inside, to_path

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
STEP = 4.0  # mm: the stretches that a line is looked at by first, halved where they do not tell
FINEST = 0.02  # mm: what such stretches do not part counts as meeting
HAIR = 1e-6  # mm: boxes that share less than this share nothing


def clusters(plate: PlateLayout) -> list[list[Cut]]:
    """Features and pockets that may share volume, together; most stand alone.

    Boxes first; then, in plan, the line of one against the area of the pocket that its box meets.
    """
    cuts = plate.cuts
    meets = _boxes_meet(plate)
    for j, pocket in enumerate(cuts):
        if isinstance(pocket, Pocket):
            others = [i for i in np.flatnonzero(meets[j]).tolist() if _has_line(cuts[i]) and i != j]
            clear = _clear(pocket, [cuts[i] for i in others])
            for i in (i for i, off in zip(others, clear, strict=True) if off):
                meets[i, j] = meets[j, i] = False
    count, of = connected_components(coo_array(meets), directed=False)
    return [[cuts[i] for i in np.flatnonzero(of == n)] for n in range(count)]


def reach(f: Feature, plate: PlateLayout) -> float:
    """How far a feature goes along its axis: a hole through the plate ends at the other face."""
    return plate.thickness if len(f.mouths) == 2 and abs(f.axis[2]) > 0.999 else math.inf


def within(pocket: Pocket, outline: Outline) -> bool:
    """Whether a pocket lies inside the plate's outline for certain."""
    line, half = _line(pocket)
    stretches = _Stretches.of([(line, half)])
    while len(stretches.owner):
        at = stretches.middles()
        off = to_path(outline, at) - half
        unsure = off <= stretches.halves()
        if not inside(outline, at).all() or (off <= 0).any() or (unsure & (stretches.halves() < FINEST / 2)).any():
            return False
        stretches = stretches.halved(unsure)
    return True


def _boxes_meet(plate: PlateLayout) -> npt.NDArray[np.bool_]:
    boxes = np.array([_box(f, plate) for f in plate.cuts]).reshape(-1, 6)
    low, high = boxes[:, None, :3], boxes[None, :, 3:]
    below: npt.NDArray[np.bool_] = np.all(low < high - HAIR, axis=2)
    return below & below.T


def _box(f: Cut, plate: PlateLayout) -> list[float]:
    if isinstance(f, Pocket):
        return cut_box(f, plate.thickness)
    a, b = np.array(f.origin), np.array(f.at(min(f.depth, reach(f, plate))))
    rim = max(r for r, _ in f.profile) * np.sqrt(np.maximum(0, 1 - np.asarray(f.axis) ** 2))
    return [*(np.minimum(a, b) - rim), *(np.maximum(a, b) + rim)]


def _has_line(c: Cut) -> bool:
    return isinstance(c, Feature) or isinstance(c.shape, Stroke)


def _line(c: Cut) -> tuple[list[Piece], float]:
    """A line in plan, and how far what is cut reaches beside it at most: of an area its edge."""
    if isinstance(c, Feature):
        (x0, y0, _), (x1, y1, _) = c.at(min(z for _, z in c.profile)), c.at(c.depth)
        return [Straight((x0, y0), (x1, y1))], max(r for r, _ in c.profile)
    line, half = (c.shape.path, c.shape.width / 2) if isinstance(c.shape, Stroke) else (c.shape.outside, 0.0)
    return pieces(line) or [Straight(line.start, line.start)], half


def _clear(pocket: Pocket, others: list[Cut]) -> list[bool]:
    """Of which of the others every point stands off a pocket's edge, outside it, in plan."""
    clear = np.ones(len(others), bool)
    stretches = _Stretches.of([_line(o) for o in others])
    while len(stretches.owner):
        off = -inset(pocket, stretches.middles()) - stretches.beside
        clear[stretches.owner[(off <= 0) | (stretches.halves() < FINEST / 2) & (off <= stretches.halves())]] = False
        stretches = stretches.halved((off <= stretches.halves()) & clear[stretches.owner])
    return clear.tolist()


@dataclass(frozen=True, slots=True, eq=False)
class _Stretches:
    """Stretches of lines: of whose line, on which piece (rows of `shape`), from and to which share of it, and how far
    what runs along them reaches beside them, mm."""

    shape: Floats  # (p, 6): of a straight piece x, y, 1, dx, dy, 0; of a bow its centre, 0, radius, first angle, sweep
    owner: Ints
    piece: Ints
    first: Floats
    last: Floats
    beside: Floats

    @classmethod
    def of(cls, lines: list[tuple[list[Piece], float]]) -> _Stretches:
        shape: list[tuple[float, ...]] = []
        owner, piece, parts, beside = [], [], [], []
        for n, (line, half) in enumerate(lines):
            for p in line:
                parts.append(max(1, math.ceil(p.length / STEP)))
                owner.append(n)
                beside.append(half)
                piece.append(len(shape))
                shape.append((*p.centre, 0.0, p.radius, p.first, p.sweep) if isinstance(p, Bow) else
                             (*p.start, 1.0, p.end[0] - p.start[0], p.end[1] - p.start[1], 0.0))  # fmt: skip
        count = np.array(parts, np.int64)
        nth = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
        each = np.repeat(count, count)
        owners, rows, halves = (np.repeat(np.array(v), count) for v in (owner, piece, beside))
        return cls(np.array(shape).reshape(-1, 6), owners, rows, nth / each, (nth + 1) / each, halves)

    def middles(self) -> Floats:
        """(n, 2), mm."""
        x, y, straight, a, b, c = self.shape[self.piece].T
        t = (self.first + self.last) / 2
        angle = b + c * t
        bow = np.column_stack([x + a * np.cos(angle), y + a * np.sin(angle)])
        return np.where(straight[:, None] > 0, np.column_stack([x + a * t, y + b * t]), bow)

    def halves(self) -> Floats:
        """Half the length of each, mm: no point of it lies further from its middle."""
        _, _, straight, a, b, c = self.shape[self.piece].T
        whole = np.where(straight > 0, np.hypot(a, b), a * np.abs(c))
        half: Floats = whole * (self.last - self.first) / 2
        return half

    def halved(self, chosen: npt.NDArray[np.bool_]) -> _Stretches:
        """Both halves of the chosen ones."""
        owner, piece, beside = (np.r_[v[chosen], v[chosen]] for v in (self.owner, self.piece, self.beside))
        first, last = self.first[chosen], self.last[chosen]
        middle = (first + last) / 2
        return _Stretches(self.shape, owner, piece, np.r_[first, middle], np.r_[middle, last], beside)
