"""What is lost where legs of a net meet: elbows, changes of section, tees, and spaces so wide that velocity is lost.

At each node the legs' total pressures stand in a known relation to one of them. What a leg's end adds to the pressure
lost from its start to its end is given in Pa, of either sign, so that a leg whose flow comes to rest and turns back
changes without a jump: the side branch of a tee stands at the static pressure of the run, whether it creeps in or out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from . import losses
from .coolant import Fluid
from .legs import Leg, Net
from .losses import Band

TURNING = 0.03  # share of a tee's flow within which a leg's two senses are blended; small against a band of ± 30 %
STRAIGHT = math.radians(30)  # a leg that goes on within this of another's line is its run


@dataclass(frozen=True, slots=True)
class Meeting:
    """One node: the ends of legs that come together there, as (leg, 0 for its start and 1 for its end)."""

    wide: bool  # so wide that velocity is lost in it
    ends: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Arrival:
    """One leg's end at a node: flow towards it (m³/s), area (m²), hydraulic diameter (m), unit vector into the leg."""

    towards: float
    area: float
    hydraulic: float
    away: tuple[float, float, float]


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
    """What the start and the end of each leg add to the pressure lost from its start to its end, Pa, for these flows."""
    found = [[0.0, 0.0] for _ in legs]
    for m in met:
        arrivals = [_arrival(legs[i], end, float(flows[i])) for i, end in m.ends]
        if any(a.towards for a in arrivals):
            for (i, end), fall in zip(m.ends, _falls(arrivals, m.wide, fluid, band), strict=True):
                found[i][end] = -fall if end else fall
    return [(a, b) for a, b in found]


def _arrival(leg: Leg, end: int, flow: float) -> Arrival:
    return Arrival(flow if end else -flow, leg.section.area, leg.section.hydraulic, leg.arrives if end else leg.leaves)


def _falls(at: list[Arrival], wide: bool, fluid: Fluid, band: Band) -> list[float]:
    """Pressure of the node above that in each leg, Pa."""
    if not wide and len(at) == 2:
        return _elbow(at, fluid, band)
    if not wide and len(at) == 3:
        return _blended(at, fluid, band)
    return [_own(a, fluid, band) for a in at]


def _own(a: Arrival, fluid: Fluid, band: Band) -> float:
    """A leg that opens into a wide space: velocity lost coming in, a sharp entrance going out."""
    kind, base = ("exit", losses.EXIT) if a.towards > 0 else ("entrance", losses.ENTRANCE)
    k = losses.read(kind, band, base, _reynolds(a, fluid))  # type: ignore[arg-type]
    return -math.copysign(k * _dynamic(a.towards, a.area, fluid), a.towards)


def _elbow(at: list[Arrival], fluid: Fluid, band: Band) -> list[float]:
    """Turn and change of section of two legs, both given to the narrower one, whose velocity the loss goes by."""
    n = 0 if at[0].area <= at[1].area else 1
    narrow, other = at[n], at[1 - n]
    ratio, reynolds, turn = narrow.area / other.area, _reynolds(narrow, fluid), math.pi - _angle(narrow, other)
    k = losses.read("mitre", band, losses.mitre(turn), reynolds, turn / losses.RIGHT) if turn > 0.02 else 0.0
    if ratio < 0.999:
        if narrow.towards > 0:
            k += losses.read("expansion", band, losses.expansion(ratio), reynolds, 1 - ratio)
        else:
            k += losses.read("contraction", band, losses.contraction(ratio), reynolds, 1 - ratio)
    falls = [0.0, 0.0]
    falls[n] = -math.copysign(k * _dynamic(narrow.towards, narrow.area, fluid), narrow.towards)
    return falls


def _blended(at: list[Arrival], fluid: Fluid, band: Band) -> list[float]:
    """A tee; where one leg nearly rests, between what it is just before and just after its flow turns."""
    most = max(abs(a.towards) for a in at)
    still = min(range(3), key=lambda i: abs(at[i].towards))
    if abs(at[still].towards) >= TURNING * most:
        return _tee(at, fluid, band)
    both = [
        _tee([replace(a, towards=s * TURNING * most) if i == still else a for i, a in enumerate(at)], fluid, band)
        for s in (1.0, -1.0)
    ]
    part = (at[still].towards / (TURNING * most) + 1) / 2
    return [part * x + (1 - part) * y for x, y in zip(*both, strict=True)]


def _tee(at: list[Arrival], fluid: Fluid, band: Band) -> list[float]:
    """Two legs against the one that carries all, whose pressure is the node's."""
    into, out = [i for i, a in enumerate(at) if a.towards > 0], [i for i, a in enumerate(at) if a.towards <= 0]
    if not into or not out:  # only on the way to the answer: flow that comes from nowhere
        return [0.0, 0.0, 0.0]
    dividing = len(into) == 1
    whole, two = (into[0], out) if dividing else (out[0], into)
    total = sum(abs(at[i].towards) for i in two)
    run = min(two, key=lambda i: abs(math.pi - _angle(at[whole], at[i])))
    dynamic, reynolds = _dynamic(total, at[whole].area, fluid), _reynolds(replace(at[whole], towards=total), fluid)
    falls = [0.0, 0.0, 0.0]
    for i in two:
        other = two[0] if i == two[1] else two[1]
        straight = i == run and abs(math.pi - _angle(at[whole], at[i])) < STRAIGHT
        branch = other if straight else i
        share = abs(at[branch].towards) / total
        base = _base(dividing, straight, share, at[branch].area / at[whole].area, _lean(at[whole], at[branch]))
        k = _banded(base, reynolds, band) * dynamic
        falls[i] = k if dividing else -k
    return falls


def _base(dividing: bool, straight: bool, share: float, area_ratio: float, angle: float) -> float:
    if dividing:
        if straight:
            return losses.tee_diverging_run(share, area_ratio)
        return losses.tee_diverging_branch(share, area_ratio, angle)
    if straight:
        return losses.tee_converging_run(share)
    return losses.tee_converging_branch(share, area_ratio, angle)


def _banded(base: float, reynolds: float, band: Band) -> float:
    """A tee's K at one side of its band; the upper side of a gain is a smaller gain."""
    s = losses.spread("tee", band)
    return (s.factor if base > 0 else 1 / s.factor) * base + s.one / max(reynolds, 1.0)


def _lean(whole: Arrival, branch: Arrival) -> float:
    """Angle between a branch and the run, 30° to 90°: steeper ones are read as 90°."""
    return min(max(math.pi - _angle(whole, branch), math.pi / 6), losses.RIGHT)


def _angle(a: Arrival, b: Arrival) -> float:
    """Between the ways from the node into two legs, rad: π for legs in one line."""
    return math.acos(max(-1.0, min(1.0, math.fsum(x * y for x, y in zip(a.away, b.away, strict=True)))))


def _dynamic(flow: float, area: float, fluid: Fluid) -> float:
    return fluid.density * (flow / area) ** 2 / 2


def _reynolds(a: Arrival, fluid: Fluid) -> float:
    return abs(a.towards) / a.area * a.hydraulic / fluid.kinematic
