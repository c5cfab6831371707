"""What a plate leaves for drillings: walls to all that is cut out of it and to its outside. Lengths in mm."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
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


@dataclass
class Room:
    """One plate without its galleries."""

    plate: PlateLayout
    limits: Limits
    blocked: dict[str, Counter[str]] = field(default_factory=dict)  # by gallery: what stood in the way, how often

    def __post_init__(self) -> None:
        pairs = [(f, r) for f in self.plate.features for r in rods_of(f)]
        self.owners = [f for f, _ in pairs]
        self.rods = table([r for _, r in pairs])
        self.fittings = [f for f in self.plate.features if f.role in ("port", "plug")]
        self.outside = outline_polygon(self.plate.outline)

    def clear(self, w: Wanted, bores: Sequence[Bore]) -> Array:
        """(n,) which bores keep their walls; what stood in the way of the others is counted."""
        ok = self._outside(w, bores)
        for test in (self._drillable, self._off_pockets, self._off_features, self._threads, self._spanners):
            left = [int(n) for n in np.flatnonzero(ok)]
            if left:
                ok[left] = test(w, [bores[n] for n in left])
        return ok

    def _drillable(self, w: Wanted, bores: Sequence[Bore]) -> Array:
        most = self.limits.drill_ratio * (1 + HAIR)
        ok = np.array([(b.length - b.cut_from) / b.diameter <= most for b in bores])
        if not ok.all():
            self._count(w, DRILL, int((~ok).sum()))
        return ok

    def _off_features(self, w: Wanted, bores: Sequence[Bore]) -> Array:
        ok = np.ones(len(bores), bool)
        if not self.owners:
            return ok
        for plug in (False, True):
            flat = [(n, r) for n, b in enumerate(bores) if ok[n] for r in (b.rods[1:] if plug else b.rods[:1])]
            if not flat:
                continue
            need = np.array([self.need(w, f, plug) for f in self.owners])
            short = np.asarray(gaps(table([r for _, r in flat]), self.rods) < need - HAIR)
            ok[[flat[k][0] for k in np.flatnonzero(short.any(axis=1))]] = False
            for o in np.flatnonzero(short.any(axis=0)):
                self._count(w, self.owners[o].name, int(short[:, o].sum()))
        return ok

    def _count(self, w: Wanted, name: str, times: int = 1) -> None:
        self.blocked.setdefault(w.name, Counter())[name] += times

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

    def _threads(self, w: Wanted, bores: Sequence[Bore]) -> Array:
        """Threads and spotfaces of the ports that it joins stay whole."""
        ok = np.ones(len(bores), bool)
        for f in self.fittings:
            if f.name in w.joins:
                deep = f.facts.get("full_thread", 0.0)
                guard = table([Rod(f.origin, f.at(max(deep, 0.1)), f.facts["bore_radius"])])
                near = gaps(table([b.rods[0] for b in bores]), guard)[:, 0] < -HAIR
                ok &= ~near | np.array([b.source == f.name for b in bores])
        return ok

    def _spanners(self, w: Wanted, bores: Sequence[Bore]) -> Array:
        ok = np.ones(len(bores), bool)
        for n, b in enumerate(bores):
            if b.entry is None or b.plug is None:
                continue
            for f in self.fittings:
                if f.face != b.entry.edge.name:
                    continue
                apart = float(np.linalg.norm(np.subtract(f.origin, b.start)))
                if apart < f.facts["spotface_radius"] + b.plug.spot + self.limits.spanner - HAIR:
                    ok[n] = False
                    self._count(w, f.name)
        return ok

    def _outside(self, w: Wanted, bores: Sequence[Bore]) -> Array:
        lim, thick = self.limits, self.plate.thickness
        off = np.array([max(lim.wall_outside + b.diameter / 2, 0.0) for b in bores])
        lip = lim.lip + self.plate.outline.chamfer
        ok = np.ones(len(bores), bool)
        lines, within = [], []
        for n, b in enumerate(bores):
            deep = max(-b.start[2] if b.kind == "run" else 0.0, -b.end[2])
            low = -b.end[2] if b.kind == "run" else np.inf
            wall = off[n]
            if b.plug is not None and b.entry is not None:
                wall = max(wall, lim.wall_outside + b.plug.radius, b.plug.spot + lip)
                across = b.start[1 - b.entry.axis]
                if not b.entry.low + b.plug.spot + lip - HAIR <= across <= b.entry.high - b.plug.spot - lip + HAIR:
                    ok[n] = False
                    self._count(w, EDGE)
            if deep > thick - wall + HAIR or low < wall - HAIR:
                ok[n] = False
                self._count(w, FACE)
            t = min(1.0, off[n] / b.length) if b.kind == "run" else 0.0
            lines.append([tuple(s + (e - s) * t for s, e in zip(b.start[:2], b.end[:2], strict=True)), b.end[:2]])
            within.append(off[n])
        for wide in set(within):
            chosen = [n for n, v in enumerate(within) if v == wide]
            room = self.outside.buffer(-wide + HAIR)
            shapely.prepare(room)
            inside = shapely.covers(room, shapely.linestrings([lines[n] for n in chosen]))
            for n, fits in zip(chosen, inside, strict=True):
                if not fits:
                    ok[n] = False
                    self._count(w, EDGE)
        return ok

    def _off_pockets(self, w: Wanted, bores: Sequence[Bore]) -> Array:
        ok = np.ones(len(bores), bool)
        for p in self.plate.pockets:
            ok &= self._off_pocket(w, bores, p)
        return ok

    def _off_pocket(self, w: Wanted, bores: Sequence[Bore], p: Pocket) -> Array:
        if p.name in w.joins:
            return np.ones(len(bores), bool)
        need = self.limits.wall_light if p.role == "light" else self.limits.wall_wet
        shape = _plan(p)
        low, high = (-p.depth, 0.0) if p.face == "seal" else (-self.plate.thickness, p.depth - self.plate.thickness)
        rods = [(n, r) for n, b in enumerate(bores) for r in b.rods]
        flat = shapely.distance(shapely.linestrings([[r.start[:2], r.end[:2]] for _, r in rods]), shape)
        zs = np.array([sorted((r.start[2], r.end[2])) for _, r in rods])
        up = np.maximum(0, np.maximum(zs[:, 0] - high, low - zs[:, 1]))
        short = np.hypot(flat, up) - np.array([r.radius for _, r in rods]) < need - HAIR
        ok = np.ones(len(bores), bool)
        for k in np.flatnonzero(short):
            ok[rods[k][0]] = False
            self._count(w, p.name)
        return ok


def _plan(p: Pocket) -> Any:
    if isinstance(p.shape, Stroke):
        return path_line(p.shape.path).buffer(p.shape.width / 2)
    return outline_polygon(p.shape.outside)
