"""The net that flow takes through one loop of an assembly, from the placed passages.

Passages are cut where they meet; what leads nowhere is left out. Lengths here in mm, in the net in m.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from ..physics import friction
from ..physics.legs import Bend, Leg, Net
from .features import Vec3
from .nets import Assembly
from .ways import SAME, Way, plate_ways, touches

ROUGHNESS = 5e-6  # m, of drilled and milled plastic; our choice, no source
KINDS: dict[str, Literal["meeting", "plenum", "end"]] = {"m": "meeting", "t": "plenum", "p": "end"}


@dataclass(frozen=True, slots=True)
class Stretch:
    """Where one leg of the net lies: for pictures and findings."""

    way: str  # plate.feature
    kind: str
    points: tuple[Vec3, ...]  # in the assembly, mm
    size: tuple[float, float]
    shape: str


@dataclass(frozen=True, slots=True)
class FlowNet:
    """Legs and nodes of one loop, its ports by name, and where each leg lies."""

    loop: str
    net: Net
    ports: dict[str, str]  # plate.port -> node
    stretches: dict[str, Stretch]  # leg name -> where it lies
    tubes: tuple[str, ...] = ()  # legs inside tubes


class _Knots:
    """Places along passages that are one node: merged as meetings are found."""

    def __init__(self) -> None:
        self.parent: list[int] = []
        self.named: dict[int, str] = {}
        self.kind: dict[int, str] = {}

    def new(self, kind: str, name: str = "") -> int:
        self.parent.append(len(self.parent))
        self.kind[len(self.parent) - 1] = kind
        if name:
            self.named[len(self.parent) - 1] = name
        return len(self.parent) - 1

    def root(self, k: int) -> int:
        while self.parent[k] != k:
            k = self.parent[k]
        return k

    def join(self, a: int, b: int) -> None:
        a, b = self.root(a), self.root(b)
        if a != b:
            # A tube's space or a port swallows a mere meeting, never the other way round.
            a, b = (b, a) if "mpt".index(self.kind[b]) > "mpt".index(self.kind[a]) else (a, b)
            self.parent[b] = a


def flow_net(assembly: Assembly, loop: str, used: Collection[str] | None = None) -> FlowNet:
    """The net of one loop. Dead ends have been taken out of it; its ports are ends: those `used`, or all."""
    ways = [w for p in assembly.plates for w in plate_ways(p, loop)]
    knots = _Knots()
    stops = _stops(ways, knots)
    ports = _ports(ways, knots, stops)
    _parts(assembly, ports, knots)
    tubes = _tubes(assembly, loop, ways, knots, stops)
    legs: list[Leg] = []
    stretches: dict[str, Stretch] = {}
    for w, s in zip(ways, stops, strict=True):
        for leg, stretch in _cut(w, s, knots):
            legs.append(leg)
            stretches[leg.name] = stretch
    for way, low, high in tubes:
        leg = _leg(way, way.name, 0.0, way.length, _node(knots, low), _node(knots, high))
        legs.append(leg)
        stretches[leg.name] = Stretch(way.name, "tube", way.points, way.size, way.shape)
    named = {name: _node(knots, k) for name, k in ports.items()}
    if used is not None:
        named = {name: node for name, node in named.items() if name in used}
    kept = _alive(legs, set(named.values()))
    kinds = {n: KINDS[n[0]] for g in kept for n in (g.start, g.end)}
    kinds |= {n: KINDS[n[0]] for n in named.values()}
    return FlowNet(loop, Net(tuple(kept), kinds), named, {g.name: stretches[g.name] for g in kept},
                   tuple(g.name for g in kept if stretches[g.name].kind == "tube"))  # fmt: skip


Stops = list[list[tuple[float, int]]]  # for each passage: distance along it and knot


def _stops(ways: list[Way], knots: _Knots) -> Stops:
    stops: Stops = [[] for _ in ways]
    for t in touches(ways):
        a = _stop(ways[t.one], stops[t.one], t.at_one, knots)
        b = _stop(ways[t.two], stops[t.two], t.at_two, knots)
        knots.join(a, b)
    return stops


def _stop(way: Way, stops: list[tuple[float, int]], s: float, knots: _Knots, kind: str = "m", name: str = "") -> int:
    """The knot at a place along a passage: one that lies within its half width, or a new one.

    A short passage keeps its ends apart: it may be the narrowest place of all.
    """
    near = min(min(way.size) / 2, way.length / 4)
    for had, knot in stops:
        if abs(had - s) < near:
            if kind != "m":
                other = knots.new(kind, name)
                knots.join(other, knot)
                return other
            return knot
    stops.append((s, knots.new(kind, name)))
    return stops[-1][1]


def _ports(ways: list[Way], knots: _Knots, stops: Stops) -> dict[str, int]:
    """A knot at the mouth of each port; never merged with a meeting that lies near it."""
    found = {}
    for w, s in zip(ways, stops, strict=True):
        if w.kind == "port":
            found[w.name] = knots.new("p", w.name)
            s.append((0.0, found[w.name]))
    return found


def _parts(assembly: Assembly, ports: dict[str, int], knots: _Knots) -> None:
    """Parts that are bolted on: coolant leaves a bore into one and comes back by another, as through a wide space."""
    for group in assembly.bridges:
        inside = [p for p in group if p in ports]
        if len(inside) > 1:
            space = knots.new("t", " and ".join(inside))
            for p in inside:
                knots.join(ports[p], space)


def _tubes(
    assembly: Assembly, loop: str, ways: list[Way], knots: _Knots, stops: Stops
) -> list[tuple[Way, int, int]]:
    """Each tube's inside as a wide bore from seal face to seal face, joined to what opens into it."""
    made = []
    for tube in (h for h in assembly.hardware if h.kind == "tube" and h.loop == loop):
        bore = min(r for r, _ in tube.profile)
        channel = f"{tube.name.removesuffix('.tube')}.tube-channel"
        ends = []
        for plate in sorted((p for p in assembly.plates if any(f.name == channel for f in p.features)),
                            key=lambda p: p.height):  # fmt: skip
            knot = knots.new("t", f"{tube.name}.{plate.name}")
            ends.append((plate.height, knot))
            for w, s in zip(ways, stops, strict=True):
                if not w.name.startswith(f"{plate.name}."):
                    continue
                for at in (0.0, w.length):
                    p = w.place(at)
                    if abs(p[2] - plate.height) < 0.01 and math.dist(p[:2], tube.origin[:2]) < bore + w.half[0] - SAME:
                        knots.join(knot, _stop(w, s, at, knots))
        if len(ends) == 2:
            (z0, low), (z1, high) = ends
            x, y = tube.origin[:2]
            way = Way(tube.name, "tube", ((x, y, z0), (x, y, z1)), (0.0, z1 - z0), "round", (2 * bore, 2 * bore))
            made.append((way, low, high))
    return made


def _node(knots: _Knots, k: int) -> str:
    k = knots.root(k)
    return f"{knots.kind[k]}:{knots.named.get(k, k)}"


def _cut(way: Way, stops: list[tuple[float, int]], knots: _Knots) -> list[tuple[Leg, Stretch]]:
    """The legs between a passage's neighbouring meetings."""
    out = []
    order = sorted(stops)
    for n, ((s, a), (t, b)) in enumerate(pairwise(order), 1):
        start, end = _node(knots, a), _node(knots, b)
        if t - s < SAME or start == end:
            continue
        name = way.name if len(order) == 2 else f"{way.name}/{n}"
        leg = _leg(way, name, s, t, start, end)
        inner = [p for p, at in zip(way.points, way.at, strict=True) if s < at < t]
        out.append((leg, Stretch(way.name, way.kind, (way.place(s), *inner, way.place(t)), way.size, way.shape)))
    return out


def _leg(way: Way, name: str, s: float, t: float, start: str, end: str) -> Leg:
    bends = tuple(Bend(angle, radius / 1e3) for at, angle, radius in way.bends if s < at < t)
    section = (
        friction.round_bore(way.size[0] / 1e3) if way.shape == "round"
        else friction.rectangular(way.size[0] / 1e3, way.size[1] / 1e3)
    )  # fmt: skip
    return Leg(name, start, end, (t - s) / 1e3, section, ROUGHNESS, way.direction(s, True), way.direction(t, False), bends)


def _alive(legs: list[Leg], ports: set[str]) -> list[Leg]:
    """Legs on some way between ports: dead ends are taken off until none is left."""
    kept = list(legs)
    while True:
        count: dict[str, int] = {}
        for g in kept:
            for n in (g.start, g.end):
                count[n] = count.get(n, 0) + 1
        left = [g for g in kept if all(count[n] > 1 or n in ports for n in (g.start, g.end))]
        if len(left) == len(kept):
            return kept
        kept = left
