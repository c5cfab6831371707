"""What a plate leaves for drillings: walls to all that is cut out of it and to its outside. Lengths in mm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from ...spec.job import Limits
from ..features import Feature, PlateLayout
from ..pockets import Pocket, Stroke
from ..routing.flat import outline_polygon, path_line
from .bores import Bore
from .rods import Array, Rod, gaps, rods_of, table
from .wanted import Wanted

HAIR = 1e-6
EDGE = "the plate's edge"
FACE = "the plate's faces"
DRILL = "the length of the drill"
Lacks = Iterator[tuple[str, Array]]  # what stands in the way, and (n,) mm that each bore lacks to it; 0 or less: none


@dataclass
class Room:
    """One plate without its galleries."""

    plate: PlateLayout
    limits: Limits

    def __post_init__(self) -> None:
        pairs = [(f, r) for f in self.plate.features for r in rods_of(f)]
        self.owners = [f for f, _ in pairs]
        self.rods = table([r for _, r in pairs])
        self.fittings = [f for f in self.plate.features if f.role in ("port", "plug")]
        self.outside = outline_polygon(self.plate.outline)
        self.tests = (self._off_faces, self._off_edge, self._drillable, self._off_pockets, self._off_features,
                      self._threads, self._spanners)  # fmt: skip

    def clear(self, w: Wanted, bores: Sequence[Bore]) -> Array:
        """(n,) which bores keep their walls."""
        ok = np.ones(len(bores), bool)
        for test in self.tests:
            left = np.flatnonzero(ok)
            if not len(left):
                break
            for _, lack in test(w, [bores[int(n)] for n in left]):
                ok[left[lack > HAIR]] = False
        return ok

    def short(self, w: Wanted, bores: Sequence[Bore]) -> tuple[Array, list[str]]:
        """(n,) mm that each bore lacks most, 0 where it keeps all its walls, and to what."""
        most, who = np.zeros(len(bores)), [""] * len(bores)
        for test in self.tests:
            for name, lack in test(w, bores):
                for n in np.flatnonzero(lack > np.maximum(most, HAIR)):
                    most[n], who[n] = lack[n], name
        return most, who

    def limit(self, w: Wanted, who: str) -> str:
        """The key of the limit that a drilling has to keep to something; empty where none of the job's limits does."""
        if who in (EDGE, FACE):
            return "wall_outside"
        if who == DRILL:
            return "drill_ratio"
        if any(p.name == who and p.role == "light" for p in self.plate.pockets):
            return "wall_light"
        for f in self.owners:
            if f.name == who and f.loop != w.loop and f.role == "tube-channel":
                return ""
            if f.name == who and f.wet and f.loop == w.loop:
                return "wall_same"
        return "wall_wet"

    def _drillable(self, _w: Wanted, bores: Sequence[Bore]) -> Lacks:
        yield DRILL, np.array([b.length - b.cut_from - self.limits.drill_ratio * b.diameter * (1 + HAIR) for b in bores])

    def _off_features(self, w: Wanted, bores: Sequence[Bore]) -> Lacks:
        if not self.owners:
            return
        for plug in (False, True):
            flat = [(n, r) for n, b in enumerate(bores) for r in (b.rods[1:] if plug else b.rods[:1])]
            if not flat:
                continue
            need = np.array([self.need(w, f, plug) for f in self.owners])
            lack = need - np.asarray(gaps(table([r for _, r in flat]), self.rods))
            which = [n for n, _ in flat]
            for o in np.flatnonzero((lack > HAIR).any(axis=0)):
                yield self.owners[o].name, _most(lack[:, o], which, len(bores))

    def need(self, w: Wanted, f: Feature, plug: bool) -> float:
        lim = self.limits
        joined = f.name in w.joins or f.name.removesuffix(".plug") in w.joins
        if joined:
            return lim.wall_same if plug else -np.inf
        if f.role == "tube-channel":
            return lim.wall_same if f.loop == w.loop else f.facts["wall"]
        if f.wet and f.loop == w.loop:
            return lim.wall_same
        return lim.wall_wet

    def _threads(self, w: Wanted, bores: Sequence[Bore]) -> Lacks:
        """Threads and spotfaces of the ports that it joins stay whole."""
        mine = table([b.rods[0] for b in bores])
        for f in self.fittings:
            if f.name in w.joins:
                deep = f.facts.get("full_thread", 0.0)
                guard = table([Rod(f.origin, f.at(max(deep, 0.1)), f.facts["bore_radius"])])
                on = np.array([b.source == f.name for b in bores])
                yield f"the thread of {f.name}", np.where(on, 0.0, -gaps(mine, guard)[:, 0])

    def _spanners(self, _w: Wanted, bores: Sequence[Bore]) -> Lacks:
        for f in self.fittings:
            lack = np.zeros(len(bores))
            for n, b in enumerate(bores):
                if b.entry is not None and b.plug is not None and f.face == b.entry.edge.name:
                    apart = float(np.linalg.norm(np.subtract(f.origin, b.start)))
                    lack[n] = f.facts["spotface_radius"] + b.plug.spot + self.limits.spanner - apart
            yield f.name, lack

    def _off_faces(self, _w: Wanted, bores: Sequence[Bore]) -> Lacks:
        thick, lack = self.plate.thickness, np.zeros(len(bores))
        for n, b in enumerate(bores):
            wall = max(self._wall(b), self._rim(b))
            deep = max(-b.start[2] if b.kind == "run" else 0.0, -b.end[2])
            lack[n] = max(deep + wall - thick, wall + b.end[2] if b.kind == "run" else 0.0)
        yield FACE, lack

    def _wall(self, b: Bore) -> float:
        return max(self.limits.wall_outside + b.diameter / 2, 0.0)

    def _rim(self, b: Bore) -> float:
        """What a plug's hole asks to each side of its middle."""
        if b.plug is None or b.entry is None:
            return 0.0
        lip = self.limits.lip + self.plate.outline.chamfer
        return max(self.limits.wall_outside + b.plug.radius, b.plug.spot + lip)

    def _off_edge(self, _w: Wanted, bores: Sequence[Bore]) -> Lacks:
        wide = np.array([self._wall(b) for b in bores])
        lines, ends = [], np.zeros(len(bores))
        for n, b in enumerate(bores):
            t = min(1.0, wide[n] / b.length) if b.kind == "run" else 0.0
            lines.append([tuple(s + (e - s) * t for s, e in zip(b.start[:2], b.end[:2], strict=True)), b.end[:2]])
            if b.plug is not None and b.entry is not None:
                across, room = b.start[1 - b.entry.axis], b.plug.spot + self.limits.lip + self.plate.outline.chamfer
                ends[n] = max(b.entry.low + room - across, across + room - b.entry.high)
        made, rim = shapely.linestrings(lines), self.outside.boundary
        shapely.prepare(self.outside)
        shapely.prepare(rim)
        beyond = shapely.distance(self.outside, shapely.points([line[-1] for line in lines]))
        lack = np.where(shapely.covers(self.outside, made), wide - shapely.distance(rim, made), wide + beyond)
        yield EDGE, np.maximum(ends, lack)

    def _off_pockets(self, w: Wanted, bores: Sequence[Bore]) -> Lacks:
        for p in self.plate.pockets:
            if p.name not in w.joins:
                yield p.name, self._off_pocket(bores, p)

    def _off_pocket(self, bores: Sequence[Bore], p: Pocket) -> Array:
        need = self.limits.wall_light if p.role == "light" else self.limits.wall_wet
        shape = _plan(p)
        low, high = (-p.depth, 0.0) if p.face == "seal" else (-self.plate.thickness, p.depth - self.plate.thickness)
        rods = [(n, r) for n, b in enumerate(bores) for r in b.rods]
        flat = shapely.distance(shapely.linestrings([[r.start[:2], r.end[:2]] for _, r in rods]), shape)
        zs = np.array([sorted((r.start[2], r.end[2])) for _, r in rods])
        up = np.maximum(0, np.maximum(zs[:, 0] - high, low - zs[:, 1]))
        lack = need + np.array([r.radius for _, r in rods]) - np.hypot(flat, up)
        return _most(lack, [n for n, _ in rods], len(bores))


def _most(lack: Array, which: Sequence[int], count: int) -> Array:
    """(count,) the greatest of each bore's values."""
    out = np.zeros(count)
    np.maximum.at(out, np.array(which, dtype=int), lack)
    return out


def _plan(p: Pocket) -> Any:
    if isinstance(p.shape, Stroke):
        return path_line(p.shape.path).buffer(p.shape.width / 2)
    return outline_polygon(p.shape.outside)
