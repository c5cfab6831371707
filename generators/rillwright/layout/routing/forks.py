"""A net as knots and strands, and its forks: moved to where the tree is shortest, and split where four arms meet."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import shapely

from ..features import Line
from ..pockets import Path
from .grid import Array
from .problem import Net, Point2
from .strings import Tight, tightened

STEPS = 40  # of moving forks between two pulls
STEM = (6.0, 3.0, 1.5)  # mm from a knot to the fork that is split off it
OPEN = math.radians(118)  # arms that stand closer leave a knot by a common stem


@dataclass
class Strand:
    """One stretch of a net between two knots."""

    a: str
    b: str
    level: int
    line: Array  # polyline that tells which way round
    tight: Tight | None = None

    @property
    def path(self) -> Path:
        if self.tight is not None:
            return self.tight.path()
        return Path(tuple(self.line[0].tolist()), tuple(Line(tuple(q.tolist())) for q in self.line[1:]))


@dataclass
class Knots:
    """A net's ends, forks, vias and way points by name, and its strands between them."""

    net: Net
    at: dict[str, Point2]
    strands: list[Strand]
    loose: set[str] = field(default_factory=set)  # forks: may be moved
    vias: set[str] = field(default_factory=set)
    pins: set[str] = field(default_factory=set)  # way points: passed, not ended at

    @property
    def length(self) -> float:
        return sum(s.tight.length if s.tight else float(np.hypot(*np.diff(s.line, axis=0).T).sum()) for s in self.strands)


def settle(k: Knots, level: int, region: Any) -> bool:
    """Splits and moves the forks of one level, which pull at each other, until they rest; whether any did."""
    moved = sum(_split(k, knot, level, region) for knot in sorted(k.at)) > 0
    for _ in range(STEPS):
        if not sum(_move(k, knot, level, region) for knot in sorted(k.loose)):
            break
        moved = True
    return moved


Arm = tuple[Strand, bool]  # a strand, and whether it begins at the knot


def _arms(k: Knots, knot: str, level: int) -> list[Arm]:
    """Strands at a knot; none where one lies on another level or is not taut yet."""
    arms = [(s, s.a == knot) for s in k.strands if knot in (s.a, s.b)]
    return [] if any(s.level != level or s.tight is None for s, _ in arms) else arms


def _first(arms: list[Arm]) -> Array:
    return np.array([s.line[1] if begins else s.line[-2] for s, begins in arms])


def _end_at(arms: list[Arm], there: Array) -> None:
    for s, begins in arms:
        s.line = s.line.copy()
        s.line[0 if begins else -1] = there


def _split(k: Knots, knot: str, level: int, region: Any) -> bool:
    """Where two arms leave a fork of four, or an end, at less than 120°, a stem that both share is shorter."""
    arms = _arms(k, knot, level)
    if len(arms) < (4 if knot in k.loose else 2) or knot in k.pins:
        return False
    here, first = np.array(k.at[knot]), _first(arms)
    way = (first - here) / np.maximum(np.hypot(*(first - here).T), 1e-9)[:, None]
    pairs = [(float(way[i] @ way[j]), i, j) for i in range(len(arms)) for j in range(i)]
    together, i, j = max(pairs)
    if together < math.cos(OPEN) or np.hypot(*(way[i] + way[j])) < 1e-6:
        return False
    middle = (way[i] + way[j]) / np.hypot(*(way[i] + way[j]))
    for stem in STEM:
        there = here + stem * middle
        gain = sum(math.dist(first[n], here) - math.dist(first[n], there) for n in (i, j)) - stem
        lines = shapely.linestrings([[there, first[i]], [there, first[j]], [there, here]])
        if gain > 1e-3 and shapely.covers(region, lines).all():
            _branch(k, knot, level, [arms[i], arms[j]], there)
            return True
    return False


def _branch(k: Knots, knot: str, level: int, arms: list[Arm], there: Array) -> None:
    n = 1 + max((int(t.removeprefix("tee-")) for t in k.loose), default=0)
    name, a, b = f"tee-{n}", k.at[knot], (float(there[0]), float(there[1]))
    k.at[name] = b
    k.loose.add(name)
    for s, begins in arms:
        s.a, s.b = (name, s.b) if begins else (s.a, name)
    _end_at(arms, there)
    k.strands.append(Strand(knot, name, level, np.array([a, b]), tightened(a, [], b)))


def _move(k: Knots, knot: str, level: int, region: Any) -> bool:
    """Moves a fork towards the place where its arms are shortest, as far as their first straights stay clear."""
    arms = _arms(k, knot, level)
    if not arms:
        return False
    here, first = np.array(k.at[knot]), _first(arms)
    aim = _fermat(here, first)
    total = float(np.hypot(*(first - here).T).sum())
    for share in (1.0, 0.5, 0.25, 0.1):
        there = here + share * (aim - here)
        if np.hypot(*(first - there).T).sum() > total - 1e-4:
            continue
        if shapely.covers(region, shapely.linestrings([[there, f] for f in first])).all():
            k.at[knot] = (float(there[0]), float(there[1]))
            _end_at(arms, there)
            return True
    return False


def _fermat(start: Array, points: Array) -> Array:
    """Place with the smallest sum of distances to points (Weiszfeld's iteration)."""
    at = start.astype(float)
    for _ in range(40):
        w = 1 / np.maximum(np.hypot(*(points - at).T), 1e-6)
        at = (points * w[:, None]).sum(0) / w.sum()
    return at
