"""Flow, velocity and pressure lost in each loop, from the placed passages. Flows L/min, pressures bar, lengths mm."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from ...layout.flow import FlowAsked
from ...layout.job_layout import JobLayout
from ...layout.nets import Assembly, assemblies
from ...layout.outline import Impossible
from ..finding import Outcome
from ..report import Case, outcome
from .flow_advice import advice

# The network and its physics are loaded where some loop's flow is asked.
if TYPE_CHECKING:
    from ...layout.flow_net import FlowNet
    from ...physics import friction
    from ...physics.coolant import Fluid
    from ...physics.legs import Net
    from ...physics.losses import Band
    from ...physics.network import Flow

PER_MINUTE = 60_000.0  # L/min in a m³/s
BAR = 1e5  # Pa
CURVE = (1.0, 2.0, 4.0, 6.0, 8.0, 10.0)  # L/min
BANDS: tuple[Band, ...] = ("low", "nominal", "high")
METHOD = "network of the placed passages: Churchill, duct series, published local losses"


@dataclass(frozen=True, slots=True)
class Asked:
    """One loop of one assembly with all that its flow needs."""

    asked: FlowAsked
    assembly: Assembly
    net: FlowNet
    fluid: Fluid
    into: tuple[str, ...]
    out: tuple[str, ...]

    def run(self, rate: float, band: Band = "nominal", net: Net | None = None) -> Flow:
        """The net at a flow (L/min) that is shared evenly by the ports it comes in by, and by those it leaves by."""
        from ...physics.network import solve

        q = rate / PER_MINUTE
        inflow = {self.net.ports[n]: q / len(self.into) for n in self.into}
        inflow |= {self.net.ports[n]: -q / len(self.out) for n in self.out}
        return solve(net or self.net.net, self.fluid, inflow, band)

    def drop(self, flow: Flow) -> float:
        """Total pressure lost from the ports it comes in by to those it leaves by, bar; means of each."""
        def mean(names: tuple[str, ...]) -> float:
            return sum(flow.pressures[self.net.ports[n]] for n in names) / len(names)

        return (mean(self.into) - mean(self.out)) / BAR


def flow_records(layout: JobLayout, all_loops: bool) -> list[dict[str, Any]]:
    """What is known of each loop's flow: of those whose flow the file states, or of all that can be asked."""
    found = _asked(layout, all_loops)
    asked = [a for a in found if isinstance(a, Asked)]
    return [
        _record(a, [b for b in asked if b is not a and b.asked.loop == a.asked.loop]) if isinstance(a, Asked) else a
        for a in found
    ]  # fmt: skip


def flow_checks(records: list[dict[str, Any]], velocity: float, drop: float) -> list[Outcome]:
    """Outcomes of the stated flows; velocity in m/s, drop in bar."""
    judged = [r for r in records if r["stated"] and "drop" in r]
    fast = [_fast(r, velocity) for r in judged]
    lost = [
        Case(r["assembly"], tuple(r["into"] + r["out"]), r["drop"]["high"], drop,
             f"loop {r['loop']} loses this in the plates at {r['flow']:g} L/min, at the upper side of its band",
             _ease(r), nets=(r["loop"],), at_most=True)
        for r in judged
    ]  # fmt: skip
    open_ = [
        Case(r["assembly"], (r["loop"],), 0.0, 1.0, r["why"], r["do"], nets=(r["loop"],))
        for r in records if r["stated"] and "drop" not in r
    ]  # fmt: skip
    return [
        outcome("flow.velocity", fast, METHOD, severity="warning", bound="estimate"),
        outcome("flow.drop", lost, METHOD, severity="warning", bound="estimate"),
        outcome("flow.asked", open_, "ports of the loop", severity="warning"),
    ]


def _fast(r: dict[str, Any], limit: float) -> Case:
    worst = max((g for g in r["legs"] if g["kind"] != "tube"), key=lambda g: g["velocity"])
    wider = worst["size"][0] * max(1.0, worst["velocity"] / limit) ** 0.5
    return Case(
        r["assembly"], (worst["way"],), worst["velocity"], limit,
        f"coolant of loop {r['loop']} runs this fast there: it wears metal parts and is heard",
        f"make it {wider:.1f} mm or wider, or lead less flow through it", at=(worst["middle"],), nets=(r["loop"],),
        at_most=True,
    )  # fmt: skip


def _ease(r: dict[str, Any]) -> str:
    best = max(r["worst"], key=lambda w: w["saves"], default=None)
    if best and best["saves"] > 0:
        return f"{best['change']}: saves {1000 * best['saves']:.0f} mbar"
    return "lead less flow through it"


def _asked(layout: JobLayout, all_loops: bool) -> list[Asked | dict[str, Any]]:
    wanted = [f for f in layout.flows if f.stated or all_loops]
    if not wanted or layout.coolant is None:
        return []
    try:
        fluid = layout.coolant.fluid()
    except Impossible as e:
        return [_unknown(f, "assembly", e.what, e.do) for f in wanted]
    return [_one(f, a, fluid) for f in wanted for a in assemblies(layout) if f.loop in a.loops]


def _one(f: FlowAsked, a: Assembly, fluid: Fluid) -> Asked | dict[str, Any]:
    from ...layout.flow_net import flow_net

    ports = a.mouths(f.loop)
    into, out = f.ends(ports)
    if not into or not out:
        many = f"{len(ports)} port{'' if len(ports) == 1 else 's'}"
        what = f"loop {f.loop} has {many} here and the file does not say where it flows"
        do = f"give flow: in and flow: out to two of {', '.join(ports)}" if len(ports) > 1 else "give it two ports"
        return _unknown(f, a.name, what, do)
    net = flow_net(a, f.loop, {*into, *out})
    alive = {n for g in net.net.legs for n in (g.start, g.end)}
    lost = [n for n in (*into, *out) if net.ports.get(n) not in alive]
    if lost:
        return _unknown(f, a.name, f"nothing leads on from {', '.join(lost)}", "join it to the loop")
    return Asked(f, a, net, fluid, into, out)


def _unknown(f: FlowAsked, assembly: str, why: str, do: str) -> dict[str, Any]:
    return {"loop": f.loop, "assembly": assembly, "stated": f.stated, "flow": f.rate, "why": why, "do": do}


def _record(a: Asked, others: list[Asked]) -> dict[str, Any]:
    """What is told of one loop in one assembly. others: the loop's further assemblies, passed one after another."""
    from ...physics.network import NoFlow

    try:
        point = _working_point(a, others)
        if point and not point["low"]["flow"]:
            what = f"the pump of loop {a.asked.loop} moves nothing: what lies outside takes more than it gives at rest"
            return _unknown(a.asked, a.assembly.name, what, "take a stronger pump, or mend its points or those of outside")
        rate = point["nominal"]["flow"] if point and a.asked.by_pump else a.asked.rate
        flow = a.run(rate)
        curve = _curve([a])
        drop = {b: _round(a.drop(flow if b == "nominal" else a.run(rate, b))) for b in BANDS}
        worst = _worst(a, flow, rate)
        elsewhere = {"assemblies": [o.assembly.name for o in others], "curve": _curve(others)} if others else None
    except NoFlow as e:
        return _unknown(a.asked, a.assembly.name, str(e), "join its passages")
    return {
        "loop": a.asked.loop, "assembly": a.assembly.name, "stated": a.asked.stated, "flow": rate,
        "into": list(a.into), "out": list(a.out),
        "density": _round(a.fluid.density), "viscosity": _round(1000 * a.fluid.viscosity),
        "drop": drop, "curve": curve, "working_point": point, "elsewhere": elsewhere,
        "legs": _legs(a, flow), "worst": worst,
    }  # fmt: skip


def _curve(these: list[Asked]) -> list[dict[str, float]]:
    """Loss of assemblies passed one after another, bar, over flow, L/min."""
    return [{"flow": q, **{b: _round(math.fsum(a.drop(a.run(q, b)) for a in these)) for b in BANDS}} for q in CURVE]


def _legs(a: Asked, flow: Flow) -> list[dict[str, Any]]:
    out = []
    for g in a.net.net.legs:
        q, s = flow.flows[g.name], a.net.stretches[g.name]
        velocity = abs(q) / g.section.area
        out.append({
            "name": g.name, "way": s.way, "kind": s.kind, "size": list(s.size), "length": _round(1000 * g.length),
            "flow": _round(q * PER_MINUTE), "velocity": _round(velocity),
            "reynolds": round(velocity * g.section.hydraulic / a.fluid.kinematic),
            "lost": [_round(p / BAR) for p in flow.parts[g.name]],
            "middle": tuple(_round(v) for v in s.points[len(s.points) // 2 - (len(s.points) == 2)])
            if len(s.points) > 2 else tuple(_round((p + q_) / 2) for p, q_ in zip(s.points[0], s.points[1], strict=True)),
            "points": [[_round(v) for v in p] for p in s.points],
        })  # fmt: skip
    return out


def _worst(a: Asked, flow: Flow, rate: float) -> list[dict[str, Any]]:
    """The three places that lose most, with what a wider passage there would save."""
    found = []
    for g in a.net.net.legs:
        sense = 1.0 if flow.flows[g.name] >= 0 else -1.0
        rub, bends, start, end = (sense * p for p in flow.parts[g.name])
        causes = ((rub, "friction"), (bends, "bends"), (start, "its start"), (end, "its end"))
        found += [(lost, g.name, cause) for lost, cause in causes]
    out, now = [], a.drop(flow)
    for lost, name, cause in sorted(found, reverse=True)[:3]:
        s = a.net.stretches[name]
        if lost <= 0 or s.kind == "tube":
            continue
        told = advice(a.assembly.plates, s.way, s.size[0])
        saves = now - a.drop(a.run(rate, net=_wider(a, told.sizes)))
        out.append({"leg": name, "way": s.way, "cause": cause, "lost": _round(lost / BAR), "saves": _round(saves),
                    "change": told.change})  # fmt: skip
    return out


def _wider(a: Asked, sizes: dict[str, float]) -> Net:
    """The same net with some passages of other diameters or widths, mm."""
    from ...physics import friction
    from ...physics.legs import Net

    def changed(name: str) -> friction.Section:
        s = a.net.stretches[name]
        size = sizes[s.way] / 1e3
        return friction.round_bore(size) if s.shape == "round" else friction.rectangular(size, s.size[1] / 1e3)

    legs = a.net.net.legs
    wider = tuple(replace(g, section=changed(g.name)) if a.net.stretches[g.name].way in sizes else g for g in legs)
    return Net(wider, a.net.net.kinds)


def _working_point(a: Asked, others: list[Asked]) -> dict[str, Any] | None:
    """Where the pump's curve meets what plates and outside lose, for each side of the band; None without a pump."""
    if a.asked.pump is None:
        return None
    return {b: _meet(a.asked, [a, *others], b) for b in BANDS}


def _meet(asked: FlowAsked, these: list[Asked], band: Band) -> dict[str, float | None]:
    assert asked.pump is not None
    pump, outside = line_through(asked.pump), line_through(asked.outside or ((0.0, 0.0), (1.0, 0.0)))
    low, high = 1e-3, asked.pump[-1][0]

    def spare(q: float) -> float:
        return pump(q) - outside(q) - math.fsum(a.drop(a.run(q, band)) for a in these)

    if spare(high) > 0:  # the pump could do more than its curve tells
        return {"flow": _round(high), "pressure": _round(pump(high)), "beyond": 1.0}
    if spare(low) <= 0:
        return {"flow": 0.0, "pressure": _round(pump(0.0))}
    for _ in range(24):
        middle = (low + high) / 2
        low, high = (middle, high) if spare(middle) > 0 else (low, middle)
    return {"flow": _round(high), "pressure": _round(pump(high))}


def line_through(points: tuple[tuple[float, float], ...]) -> Callable[[float], float]:
    """Straight between points, carried on at both ends as the nearest piece goes."""

    def value(q: float) -> float:
        pairs = list(pairwise(points))
        (x0, y0), (x1, y1) = next(((p, r) for p, r in pairs if q <= r[0]), pairs[-1])
        return y0 + (y1 - y0) * (q - x0) / (x1 - x0)

    return value


def _round(x: float) -> float:
    """Six significant digits: more would tell of nothing."""
    return float(f"{x:.6g}")
