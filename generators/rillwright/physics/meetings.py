"""What is lost where legs of a net meet: elbows, changes of section, tees, and spaces so wide that velocity is lost.

Each loss is given to the end of one leg, as a K on the velocity in that leg, so that the total pressure lost from any
leg to any other across the node is what the formula for that way says.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from . import losses
from .coolant import Fluid
from .losses import Band

if TYPE_CHECKING:
    from .network import Leg, Net

STILL = 1e-4  # share of the node's flow below which a leg counts as dead: its losses are then nothing
STRAIGHT = math.radians(30)  # a leg that goes on within this of another's line is its run


@dataclass(frozen=True, slots=True)
class Arrival:
    """One leg's end at a node: which leg, which end (0 start, 1 end), flow towards the node (m³/s)."""

    leg: int
    end: int
    towards: float
    area: float  # m²
    hydraulic: float  # m
    away: tuple[float, float, float]  # unit vector from the node into the leg


@dataclass(frozen=True, slots=True)
class Meeting:
    """One node: the ends of legs that come together there, as (leg, 0 for its start and 1 for its end)."""

    wide: bool  # so wide that velocity is lost in it
    ends: tuple[tuple[int, int], ...]


def meetings(net: Net, legs: Sequence[Leg]) -> list[Meeting]:
    """Every node at which two ends of legs or more come together."""
    at: dict[str, list[tuple[int, int]]] = {}
    for i, g in enumerate(legs):
        at.setdefault(g.start, []).append((i, 0))
        at.setdefault(g.end, []).append((i, 1))
    return [Meeting(net.kinds[n] == "plenum", tuple(e)) for n, e in at.items() if len(e) > 1]


def end_losses(
    met: Sequence[Meeting], legs: Sequence[Leg], flows: Sequence[float], fluid: Fluid, band: Band
) -> list[tuple[float, float]]:
    """K of each leg's start and end on its own velocity, for these flows (m³/s)."""
    found = [[0.0, 0.0] for _ in legs]
    for m in met:
        arrivals = [_arrival(legs[i], i, end, float(flows[i])) for i, end in m.ends]
        most = max(abs(a.towards) for a in arrivals)
        live = [a for a in arrivals if abs(a.towards) > STILL * most]
        if most == 0 or len(live) < 2:
            continue
        for a, k in _node(live, m.wide, fluid, band):
            found[a.leg][a.end] = k
    return [(a, b) for a, b in found]


def _arrival(leg: Leg, i: int, end: int, flow: float) -> Arrival:
    way = leg.arrives if end else leg.leaves
    return Arrival(i, end, flow if end else -flow, leg.section.area, leg.section.hydraulic, way)


def _node(live: list[Arrival], wide: bool, fluid: Fluid, band: Band) -> list[tuple[Arrival, float]]:
    into, out = [a for a in live if a.towards > 0], [a for a in live if a.towards < 0]
    if not into or not out:
        return []
    if not wide and len(live) == 2:
        return [_elbow(into[0], out[0], fluid, band)]
    if not wide and len(live) == 3:
        return _tee(into, out, fluid, band)
    return [(a, _own(a, "exit", losses.EXIT, fluid, band)) for a in into] + [
        (a, _own(a, "entrance", losses.ENTRANCE, fluid, band)) for a in out
    ]


def _own(a: Arrival, kind: losses.Kind, base: float, fluid: Fluid, band: Band) -> float:
    return losses.read(kind, band, base, _reynolds(a, fluid))


def _elbow(into: Arrival, out: Arrival, fluid: Fluid, band: Band) -> tuple[Arrival, float]:
    """Turn and change of section of two legs, both given to the narrower one, whose velocity the loss goes by."""
    narrow = min((into, out), key=lambda a: a.area)
    ratio = narrow.area / max(into.area, out.area)
    reynolds, turn = _reynolds(narrow, fluid), math.pi - _angle(into, out)
    k = losses.read("mitre", band, losses.mitre(turn), reynolds, turn / losses.RIGHT) if turn > 0.02 else 0.0
    if ratio < 0.999:
        if narrow is into:
            k += losses.read("expansion", band, losses.expansion(ratio), reynolds, 1 - ratio)
        else:
            k += losses.read("contraction", band, losses.contraction(ratio), reynolds, 1 - ratio)
    return narrow, k


def _tee(into: list[Arrival], out: list[Arrival], fluid: Fluid, band: Band) -> list[tuple[Arrival, float]]:
    """Two legs against the one that carries all: each of the two has its loss by the combined velocity."""
    dividing = len(into) == 1
    all_of_it, two = (into[0], out) if dividing else (out[0], into)
    total = abs(all_of_it.towards)
    run = min(two, key=lambda a: abs(math.pi - _angle(all_of_it, a)))
    found = []
    for a in two:
        other = two[0] if a is two[1] else two[1]
        straight = a is run and abs(math.pi - _angle(all_of_it, a)) < STRAIGHT
        share = abs((other if straight else a).towards) / total
        branch = other if straight else a
        base = _tee_base(dividing, straight, share, branch.area / all_of_it.area, _lean(all_of_it, branch))
        factor = losses.spread("tee", band)
        # A loss may be negative; its band then widens towards less gain, never towards more.
        size = factor.factor if base > 0 else 2 - factor.factor if factor.factor <= 1 else 1 / factor.factor
        k = size * base + factor.one / max(_reynolds(all_of_it, fluid), 1.0)
        # From the combined velocity to the leg's own.
        own = (a.towards / a.area) / (all_of_it.towards / all_of_it.area)
        found.append((a, k / own**2))
    return found


def _tee_base(dividing: bool, straight: bool, share: float, area_ratio: float, angle: float) -> float:
    if dividing:
        if straight:
            return losses.tee_diverging_run(share, area_ratio)
        return losses.tee_diverging_branch(share, area_ratio, angle)
    if straight:
        return losses.tee_converging_run(share)
    return losses.tee_converging_branch(share, area_ratio, angle)


def _lean(whole: Arrival, branch: Arrival) -> float:
    """Angle between a branch and the run, 30° to 90°: steeper ones are read as 90°."""
    return min(max(math.pi - _angle(whole, branch), math.pi / 6), losses.RIGHT)


def _angle(a: Arrival, b: Arrival) -> float:
    """Between the ways from the node into two legs, rad: π for legs in one line."""
    return math.acos(max(-1.0, min(1.0, math.fsum(x * y for x, y in zip(a.away, b.away, strict=True)))))


def _reynolds(a: Arrival, fluid: Fluid) -> float:
    return abs(a.towards) / a.area * a.hydraulic / fluid.kinematic
