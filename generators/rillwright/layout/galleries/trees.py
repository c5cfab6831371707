"""Trees of straight drillings that join all ends of one gallery. Lengths in mm.

A tree lies on one level: a trunk along x or y, from an edge (plugged) or on from a port, and for every end that is not on
it a branch square to the trunk. A port in an edge is a way in. Places of trunks are tried at the ends, beside all that
is in the way, and every `STEP`.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from .bores import Bore, Tree
from .rods import Array, axes_apart, gaps, table
from .room import HAIR, Room
from .wanted import Entry, Side, Upright, Wanted, run_start

STEP = 10.0  # mm between places of trunks tried beside the others
BEYOND = 20.0  # mm that trunks are tried outside all ends
PER_TRUNK = 12  # cheapest trees kept of one trunk
OPTIONS = 6  # ways kept for one end of one trunk, fewer where there are many ends
MOST = 1500  # trees of one trunk that are looked at
HALF = 0.5  # mm to which places are rounded, away from what is in the way


@dataclass(frozen=True)
class Option:
    """One way to join one end to a trunk: how far along the trunk it asks, and its drillings."""

    along: float
    bores: tuple[Bore, ...]

    @property
    def cost(self) -> float:
        return sum(b.cost for b in self.bores)


@dataclass(frozen=True)
class Trunk:
    """The line of a trunk: at `across` on level `z`, along `axis`, from an edge or a port."""

    axis: int
    across: float
    z: float
    origin: Entry | Side

    def to(self, w: Wanted, along: float) -> Bore | None:
        return _run(w, self.origin, self.axis, self.across, along, self.z)


def trees(room: Room, w: Wanted, most: int) -> list[Tree]:
    """Those that keep all walls, the cheapest first."""
    every, trunk, order = listed(room, w)
    fits = dict(zip(order, room.clear(w, order), strict=True)) if order else {}
    found: dict[frozenset[Bore], Tree] = {}
    for t, per in every:
        sound = [[o for o in options if all(fits[b] for b in o.bores)] for options in per]
        kept = [heapq.nsmallest(ways_kept(len(per)), options, key=lambda o: o.cost) for options in sound]
        for tree in heapq.nsmallest(PER_TRUNK, joined(w, t, kept, trunk, fits), key=lambda x: x.cost):
            found.setdefault(frozenset(tree.bores), tree)
    ordered = sorted(found.values(), key=lambda x: (x.cost, [b.way for b in x.bores]))
    return _sound(room, ordered, most)


Listed = list[tuple["Trunk", list[list[Option]]]]
Mains = dict[tuple["Trunk", float], "Bore | None"]


def listed(room: Room, w: Wanted) -> tuple[Listed, Mains, list[Bore]]:
    """Trunks with the ways of each end to them, the drillings of the trunks themselves, and all drillings in order."""
    found = list(_trunks(room, w))
    every = {b for _, per in found for options in per for o in options for b in o.bores}
    reaches = {(t, o.along) for t, per in found for options in per for o in options}
    trunk = {key: key[0].to(w, key[1]) for key in reaches}
    every |= {b for b in trunk.values() if b is not None}
    return found, trunk, sorted(every, key=lambda b: (b.way, b.length))


def ways_kept(ends: int) -> int:
    """Ways kept for each of so many ends."""
    return max(2, min(OPTIONS, int(MOST ** (1 / max(ends, 1)) + 1e-9)))


def joined(
    w: Wanted, t: Trunk, kept: Sequence[Sequence[Option]], trunk: Mains, fits: dict[Bore, bool]
) -> Iterator[Tree]:
    ahead = t.origin.inward
    for options in product(*kept):
        far = max((o.along for o in options), key=lambda u: ahead * u)
        main = trunk[t, far]
        if main is None and not (isinstance(t.origin, Side) and _direct(t.origin, far)):
            continue
        if main is not None and not fits[main]:
            continue
        bores = [] if main is None else [main]
        yield Tree(w.name, _merged([*bores, *(b for o in options for b in o.bores)]))


def _merged(bores: Iterable[Bore]) -> tuple[Bore, ...]:
    """Of bores in one line from one place the longest."""
    longest: dict[object, Bore] = {}
    for b in bores:
        had = longest.get(b.way)
        if had is None or b.length > had.length:
            longest[b.way] = b
    return tuple(longest.values())


def _direct(side: Side, along: float) -> bool:
    """Whether a run across a port's bore opens it behind its thread."""
    s = side.inward * (along - side.edge)
    return side.first - HAIR <= s <= side.bored + HAIR


def _sound(room: Room, found: Sequence[Tree], most: int) -> list[Tree]:
    """Trees whose own drillings cross or keep a web, and whose plugs can be turned."""
    order = list(dict.fromkeys(b for t in found for b in t.bores))
    if not order:
        return []
    number = {b: n for n, b in enumerate(order)}
    apart = amiss(room, order) <= HAIR
    out: list[Tree] = []
    for t in found:
        rows = [number[b] for b in t.bores]
        if apart[np.ix_(rows, rows)].all():
            out.append(t)
            if len(out) == most:
                break
    return out


def amiss(room: Room, bores: Sequence[Bore]) -> Array:
    """(n, n) mm that pairs of drillings lack to stand in one tree; 0 or less where they can."""
    same, n = room.limits.wall_same, len(bores)
    main = table([b.rods[0] for b in bores])
    axes = axes_apart(main, main)
    radii = np.array([b.diameter / 2 for b in bores])
    out = np.where(axes > HAIR, radii[:, None] + radii[None] + same - axes, 0.0)
    plugs = [(k, r) for k, b in enumerate(bores) for r in b.rods[1:]]
    if plugs:
        for row, (k, _) in zip(same - gaps(table([r for _, r in plugs]), main), plugs, strict=True):
            out[k] = np.maximum(out[k], row)
    crowd: Array = np.maximum(np.maximum(out, out.T), plugs_crowd(room, bores, bores))
    crowd[np.arange(n), np.arange(n)] = 0.0
    return crowd


def plugs_crowd(room: Room, a: Sequence[Bore], b: Sequence[Bore]) -> Array:
    """(n, m) mm that plugs on one edge stand too near to each other for a spanner; 0 or less: none."""
    out = np.zeros((len(a), len(b)))
    for i, p in enumerate(a):
        for k, q in enumerate(b):
            if p.entry is not None and q.entry is not None and p.entry.edge.name == q.entry.edge.name and p.plug and q.plug:
                out[i, k] = p.plug.spot + q.plug.spot + room.limits.spanner - math.dist(p.start, q.start)
    return out


def levels(room: Room, w: Wanted) -> list[float]:
    """z that a gallery's runs are tried at: that of its ports in edges, or as the plate's walls leave them."""
    if w.level is not None:
        return [w.level]
    if w.sides:
        return [w.sides[0].z] if all(abs(s.z - w.sides[0].z) < HAIR for s in w.sides) else []
    r, lim, thick = w.diameter / 2, room.limits, room.plate.thickness
    high, low = -(r + lim.wall_outside), -thick + r + lim.wall_outside
    rim = max(w.plug.spot + lim.lip + room.plate.outline.chamfer, w.plug.radius + lim.wall_outside)
    marks = {high, low, -thick / 2, -rim, rim - thick}
    for f in room.plate.features:
        if f.role == "tube-channel":
            wall = lim.wall_same if f.loop == w.loop else f.facts["wall"]
            marks.add(-_down(f.depth + wall + r))
    marks |= {m for u in w.uprights if u.span is not None for m in u.span}
    n = int((high - low) / (w.diameter + lim.wall_wet) + 1e-9)
    marks |= {high - (high - low) * k / n for k in range(n + 1)} if n > 0 and high >= low else set()
    return sorted({round(m, 3) for m in marks if low - HAIR <= m <= high + HAIR}, reverse=True)


def _down(v: float) -> float:
    return math.ceil(v / HALF - 1e-9) * HALF


def _trunks(room: Room, w: Wanted) -> Iterator[tuple[Trunk, list[list[Option]]]]:
    for z, axis in product(levels(room, w), (0, 1)):
        risers = [(u, b) for u in w.uprights if (b := rise(u, z)) is not None]
        if len(risers) < len(w.uprights):
            continue
        for across in _places(room, w, axis):
            origins: list[Entry | Side] = [e for e in w.entries if e.axis == axis and e.low < across < e.high]
            origins += [s for s in w.sides if s.axis == axis and abs(s.across - across) < HAIR and abs(s.z - z) < HAIR]
            per = [_of_upright(w, u, axis, across, z) for u in w.uprights]
            for origin in origins:
                sides = [_of_side(w, s, axis, across, origin) for s in w.sides]
                if all(per) and all(sides):
                    yield Trunk(axis, across, z, origin), [*per, *sides]


def _places(room: Room, w: Wanted, axis: int) -> list[float]:
    """Where trunks along an axis are tried."""
    t = 1 - axis
    ends = [v for u in w.uprights for v in _candidates(u, t)]
    ends += [s.across if s.axis == axis else s.edge for s in w.sides]
    own = [v for u in w.uprights for v in _candidates(u, t)] + [s.across for s in w.sides if s.axis == axis]
    low, high = min(own, default=min(ends)) - BEYOND, max(own, default=max(ends)) + BEYOND
    tried = {*own, *(float(v) for v in np.arange(low, high + 1, STEP))}
    for k, f in enumerate(room.owners):
        need = room.need(w, f, False)
        if np.isfinite(need):
            off = room.rods.radius[k] + need + w.diameter / 2
            tried |= {math.floor((room.rods.low[k, t] - off) / HALF) * HALF, _down(room.rods.high[k, t] + off)}
    return sorted({round(v, 3) for v in tried if low - HAIR <= v <= high + HAIR})


def _candidates(u: Upright, k: int) -> set[float]:
    """Coordinates that an upright end may stand at."""
    own = u.at[0][k]
    return {own} if u.reach <= 0 else {own, own - _floor(u.reach), own + _floor(u.reach),
                                       own - _floor(u.reach / 2), own + _floor(u.reach / 2)}  # fmt: skip


def _floor(v: float) -> float:
    return math.floor(v / HALF) * HALF


def rise(u: Upright, z: float) -> tuple[Bore, ...] | None:
    """How an upright end reaches a level at its first place: a riser, nothing, or None where it cannot."""
    if u.span is not None and u.span[0] - HAIR <= z <= u.span[1] + HAIR:
        return ()
    beyond = u.start and (z < u.bottom if u.down else z > u.bottom)
    if not beyond:
        return None
    x, y = u.at[0]
    return (Bore("riser", (x, y, u.bottom), (x, y, z), u.bore, u.start, meets=u.name),)


def _of_upright(w: Wanted, u: Upright, axis: int, across: float, z: float) -> list[Option]:
    t, out = 1 - axis, []
    for p in sorted(_stands(u, axis, across)):
        riser = tuple(replace(b, start=(*p, b.start[2]), end=(*p, z)) for b in rise(u, z) or ())
        if abs(p[t] - across) < HAIR:
            out.append(Option(p[axis], riser))
            continue
        origins: list[Entry | Side] = [e for e in w.entries if e.axis == t and e.low < p[axis] < e.high]
        origins += [s for s in w.sides if s.axis == t and abs(s.across - p[axis]) < HAIR and abs(s.z - z) < HAIR]
        for o in origins:
            end = max((p[t], across), key=lambda v: o.inward * v)
            run = _run(w, o, t, p[axis], end, z)
            if run is not None:
                out.append(Option(p[axis], (run, *riser)))
    return out


def _stands(u: Upright, axis: int, across: float) -> set[tuple[float, float]]:
    """Where an upright end may stand beside or on a trunk."""
    if u.reach <= 0:
        return {u.at[0]}
    t = 1 - axis
    marks = {across} | _candidates(u, t)
    grid = product(sorted(_candidates(u, axis)), sorted(marks))
    points = {(a, b) if axis == 0 else (b, a) for a, b in grid}
    return {p for p in points if math.dist(p, u.at[0]) <= u.reach + 1e-9}


def _of_side(w: Wanted, s: Side, axis: int, across: float, origin: Entry | Side) -> list[Option]:
    if s is origin:
        return [Option(s.edge, ())]
    if s.axis == axis:
        if abs(s.across - across) > HAIR or origin.inward == s.inward:
            return []
        return [Option(s.at(run_start(s)), ())]
    if _direct(s, across):
        return [Option(s.across, ())]
    run = _run(w, s, s.axis, s.across, across, s.z)
    return [] if run is None else [Option(s.across, (run,))]


def _run(w: Wanted, origin: Entry | Side, axis: int, across: float, to: float, z: float) -> Bore | None:
    """A run from an edge or a port; None where it would cut nothing."""
    first = origin.edge if isinstance(origin, Side) else origin.at
    begin = run_start(origin) if isinstance(origin, Side) else 0.0
    if origin.inward * (to - first) <= begin + HAIR:
        return None
    start, end = ((first, across, z), (to, across, z)) if axis == 0 else ((across, first, z), (across, to, z))
    if isinstance(origin, Side):
        return Bore("run", start, end, w.diameter, origin.name, begin=begin)
    return Bore("run", start, end, w.diameter, origin.edge.name, origin, w.plug)
