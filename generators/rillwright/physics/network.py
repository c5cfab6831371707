"""Flow through a net of legs that meet in nodes: series, parallel and meshed. SI units: m, m³/s, Pa.

Pressures are total ones. Newton on flows and pressures together, as E. Todini and S. Pilati (A gradient algorithm for
the analysis of pipe networks, 1988) have it, with the slopes of the losses where legs meet as well: those depend on how
the flow divides there, and in a plate's short passages they outweigh friction.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

from . import friction, losses
from .coolant import Fluid
from .legs import Bend, Leg, Net
from .losses import Band
from .meetings import end_losses, meetings

STEPS = 200
EXACT = 1e-12  # change of the flows from one step to the next, as a share of the largest
STILL = 1e-12  # m³/s below which nothing counts as flowing: a drop an hour


class NoFlow(RuntimeError):
    """The net has no answer: it falls into pieces that flow cannot pass, or the steps do not settle."""


@dataclass(frozen=True, slots=True)
class Flow:
    """The answer: flow of each leg (m³/s, from its start to its end), total pressure of each node (Pa).

    `parts` is the pressure lost from each leg's start to its end by friction, in bends, at its start and at its end, Pa;
    negative where the flow goes the other way, and at a tee also where the faster stream drags the slower one along.
    """

    flows: dict[str, float]
    pressures: dict[str, float]
    parts: dict[str, tuple[float, float, float, float]] = field(default_factory=dict)
    steps: int = 0

    def drop(self, start: str, end: str) -> float:
        """Total pressure lost from node to node, Pa."""
        return self.pressures[start] - self.pressures[end]


def solve(net: Net, fluid: Fluid, inflow: dict[str, float], band: Band = "nominal") -> Flow:
    """Flows and pressures when so much (m³/s) enters at each named node; what enters must leave.

    A net without meshes needs no steps: its flows follow from what enters and leaves.

    The pressure is 0 at the last node where something leaves. Raises ValueError for flows that do not balance or a
    node that is not in the net, NoFlow where nothing connects them or the steps do not settle.
    """
    names = list(net.kinds)
    _require(net, inflow)
    live = _reached(net, inflow)
    legs = [g for g in net.legs if g.start in live]
    ground = [n for n, q in inflow.items() if q < 0][-1] if any(q < 0 for q in inflow.values()) else names[0]
    tree = len(legs) == len(live) - 1
    flows, pressures, steps = (
        (_shared_out(legs, inflow), {}, 0) if tree
        else _newton(net, legs, [n for n in names if n in live], ground, fluid, inflow, band)
    )  # fmt: skip
    ends = end_losses(meetings(net, legs), legs, flows, fluid, band)
    parts = {g.name: _parts(g, flows[i], ends[i], fluid, band) for i, g in enumerate(legs)}
    if tree:
        pressures = _along(legs, {n: math.fsum(p) for n, p in parts.items()}, ground)
    return Flow({g.name: flows[i] for i, g in enumerate(legs)}, pressures, parts, steps)


def _require(net: Net, inflow: dict[str, float]) -> None:
    if strange := sorted(set(inflow) - set(net.kinds)):
        raise ValueError(f"the net has no node {', '.join(strange)}")
    if abs(math.fsum(inflow.values())) > 1e-9 * max((abs(q) for q in inflow.values()), default=0.0):
        raise ValueError("what flows in must flow out again")


def _reached(net: Net, inflow: dict[str, float]) -> set[str]:
    """Nodes joined to where something flows in. Raises NoFlow where the flow cannot reach all of them."""
    near: dict[str, list[str]] = {n: [] for n in net.kinds}
    for g in net.legs:
        near[g.start].append(g.end)
        near[g.end].append(g.start)
    first = next(iter(inflow))
    seen, waiting = {first}, [first]
    while waiting:
        for n in near[waiting.pop()]:
            if n not in seen:
                seen.add(n)
                waiting.append(n)
    if cut := sorted(set(inflow) - seen):
        raise NoFlow(f"nothing leads from {first} to {', '.join(cut)}")
    return seen


def _shared_out(legs: list[Leg], inflow: dict[str, float]) -> list[float]:
    """Flows of a net without meshes: from its ends inwards, each leg takes what its end has too much."""
    at: dict[str, set[int]] = {}
    for i, g in enumerate(legs):
        at.setdefault(g.start, set()).add(i)
        at.setdefault(g.end, set()).add(i)
    flows, spare = [0.0] * len(legs), dict(inflow)
    ends = [n for n, own in at.items() if len(own) == 1]
    while ends:
        here = ends.pop()
        if not at[here]:
            continue
        i = at[here].pop()
        out, there = spare.get(here, 0.0), legs[i].end if legs[i].start == here else legs[i].start
        flows[i] = out if legs[i].start == here else -out
        spare[there] = spare.get(there, 0.0) + out
        at[there].discard(i)
        if len(at[there]) == 1:
            ends.append(there)
    return flows


def _along(legs: list[Leg], lost: dict[str, float], ground: str) -> dict[str, float]:
    """Pressures of a net without meshes, from the node where it is 0 along every leg, Pa."""
    near: dict[str, list[tuple[str, float]]] = {}
    for g in legs:
        near.setdefault(g.start, []).append((g.end, -lost[g.name]))
        near.setdefault(g.end, []).append((g.start, lost[g.name]))
    pressures, waiting = {ground: 0.0}, [ground]
    while waiting:
        here = waiting.pop()
        for there, change in near.get(here, []):
            if there not in pressures:
                pressures[there] = pressures[here] + change
                waiting.append(there)
    return pressures


def _newton(
    net: Net, legs: list[Leg], names: list[str], ground: str, fluid: Fluid, inflow: dict[str, float], band: Band
) -> tuple[list[float], dict[str, float], int]:
    """Newton on flows and pressures together; a step that makes the pressures fit worse is shortened."""
    import numpy as np
    from scipy.sparse import bmat, csc_matrix
    from scipy.sparse.linalg import splu

    index = {n: i for i, n in enumerate(names)}
    rows = np.repeat(np.arange(len(legs)), 2)
    cols = np.array([index[n] for g in legs for n in (g.start, g.end)], dtype=int)
    across: Any = csc_matrix((np.tile([1.0, -1.0], len(legs)), (rows, cols)), shape=(len(legs), len(names)))
    free = [i for i, n in enumerate(names) if n != ground]
    open_ = across[:, free]
    fed = np.array([inflow.get(names[i], 0.0) for i in free])
    scale = max(abs(q) for q in inflow.values())
    loss = _Losses(net, legs, fluid, band, scale)
    # Slow flow first: laminar losses grow with the flow, so that the first step is nearly exact for them.
    flows = np.full(len(legs), 1e-3 * scale)
    for step in range(1, STEPS + 1):
        lost, slope = loss.lost(flows), loss.slope(flows)
        system = bmat([[slope, -open_], [open_.T, None]], format="csc")
        answer = splu(system).solve(np.concatenate([slope @ flows - lost, fed]))
        way, pressures = answer[: len(legs)] - flows, answer[len(legs) :]
        small = np.abs(way).max() <= EXACT * max(np.abs(flows).max(), STILL)
        flows = flows + (way if small or step == 1 else loss.share(flows, way, open_, pressures) * way)
        if small:
            found = dict(zip((names[i] for i in free), (float(p) for p in pressures), strict=True))
            return [float(q) for q in flows], {ground: 0.0, **found}, step
    raise NoFlow(f"the flow did not settle in {STEPS} steps")


class _Losses:
    """Pressure lost in each leg (Pa, from its start to its end) as a function of all flows (m³/s), and its slopes."""

    def __init__(self, net: Net, legs: list[Leg], fluid: Fluid, band: Band, scale: float) -> None:
        self.legs, self.fluid, self.band, self.scale = legs, fluid, band, scale
        self.meetings = meetings(net, legs)
        self.touched = [[m for m in self.meetings if any(leg == i for leg, _ in m.ends)] for i in range(len(legs))]

    def lost(self, flows: Any) -> Any:
        import numpy as np

        ends = end_losses(self.meetings, self.legs, flows, self.fluid, self.band)
        return np.array([self._one(i, float(q), ends[i]) for i, q in enumerate(flows)])

    def _one(self, i: int, flow: float, ends: tuple[float, float]) -> float:
        return math.fsum(_parts(self.legs[i], flow, ends, self.fluid, self.band))

    def slope(self, flows: Any) -> Any:
        """Sparse square matrix of slopes: a flow changes the losses of every leg it meets."""
        import numpy as np
        from scipy.sparse import csc_matrix

        entries: dict[tuple[int, int], float] = {}
        for j, q in enumerate(flows):
            nudge = max(abs(float(q)) * 1e-6, self.scale * 1e-9)
            beside = sorted({leg for m in self.touched[j] for leg, _ in m.ends} | {j})
            above, below = (self._beside(flows, j, d, beside) for d in (nudge, -nudge))
            for i, a, b in zip(beside, above, below, strict=True):
                entries[i, j] = (a - b) / (2 * nudge)
            creep = self.scale * 1e-6
            entries[j, j] = max(entries[j, j], self._one(j, creep, (0.0, 0.0)) / creep)
        rows, cols = np.array(list(entries), dtype=int).T
        return csc_matrix((list(entries.values()), (rows, cols)), shape=(len(flows), len(flows)))

    def _beside(self, flows: Any, j: int, change: float, beside: list[int]) -> list[float]:
        moved = flows.copy()
        moved[j] += change
        near = [m for i in beside for m in self.touched[i]]
        ends = end_losses(near, self.legs, moved, self.fluid, self.band)
        return [self._one(i, float(moved[i]), ends[i]) for i in beside]

    def share(self, flows: Any, way: Any, across: Any, pressures: Any) -> float:
        """How much of a step to take: all of it, or the first of its halves that lessens what does not fit."""
        import numpy as np

        def misfit(share: float) -> float:
            return float(np.linalg.norm(self.lost(flows + share * way) - across @ pressures))

        now, share = misfit(0.0), 1.0
        while share > 0.05 and misfit(share) > now * (1 - 1e-4 * share):
            share /= 2
        return share


def _parts(leg: Leg, flow: float, ends: Any, fluid: Fluid, band: Band) -> tuple[float, float, float, float]:
    """Pressure lost from start to end of a leg by friction, in bends, at its start and at its end, Pa."""
    velocity = abs(flow) / leg.section.area
    if velocity == 0:
        return 0.0, 0.0, ends[0], ends[1]
    dynamic = math.copysign(fluid.density * velocity**2 / 2, flow)
    reynolds = velocity * leg.section.hydraulic / fluid.kinematic
    f = friction.factor(leg.section, velocity, fluid.kinematic, leg.roughness)
    turned = leg.extra
    for b in leg.bends:
        turned += _turn(b, b.radius / leg.section.hydraulic, f, reynolds, band)
    return f * leg.length / leg.section.hydraulic * dynamic, turned * dynamic, ends[0], ends[1]


def _turn(b: Bend, tight: float, f: float, reynolds: float, band: Band) -> float:
    """K of a turn; one rounded so little that its formula ends is read as a sharp corner, which loses the most."""
    sharp = losses.read("mitre", band, losses.mitre(b.angle), reynolds, b.angle / losses.RIGHT)
    if tight <= 0:
        return sharp
    return min(sharp, losses.read("bend", band, losses.bend(b.angle, tight, f), reynolds, b.angle / losses.RIGHT))
