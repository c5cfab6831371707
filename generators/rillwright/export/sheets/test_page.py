"""The page for the first filling: pressure test with lines to write on, filling, bleeding, draining, cautions."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ...checks.air import leaning
from ...checks.plan.leak_test import CAUTIONS, plan_test
from ...layout.hardware import in_assembly
from ...layout.job_layout import JobLayout
from ..bundle import Bundle
from ..drawings.paper import Blanks, Block, Column, Heading, Items, Table, Text, Together
from .cautions import applying, things
from .mount_steps import blanking_steps

LIMITS = (
    "This is geometry and nominal physics: it proves no part that was not cut as drawn. Local rules for pressure and "
    "electricity, and the people licensed for them, come first."
)


def test_blocks(bundle: Bundle) -> list[Block]:
    """Blocks of the page; empty where the job has no loop."""
    nets = bundle.result.nets if bundle.result else ()
    if not bundle.layout.loops or not nets:
        return []
    beware = applying(CAUTIONS, things(bundle.layout))
    out: list[Block] = [Heading("Proving and filling"), Items(beware), Text(LIMITS, boxed=True)]
    for loop in bundle.layout.loops:
        own = [n for n in nets if n["loop"] == loop]
        if own:
            out.append(Together(tuple(_loop(loop, own, bundle))))
    return out


def _loop(loop: str, rows: list[dict[str, Any]], bundle: Bundle) -> Iterator[Block]:
    yield Heading(f"Loop {loop}")
    held = [r["coolant_ml"] for r in rows]
    if any(h is None for h in held):
        yield Text("This build did not prove the loop closed: there is nothing to test until that is mended.", boxed=True)
        return
    yield from ([Items(told)] if (told := blanking_steps(loop, bundle.layout)) else [])
    volume, stated = sum(held), bundle.job.coolant.pressure
    if stated > 0:
        p = plan_test(loop, volume, stated)
        yield Table(
            (
                Column("volume, mL", "right"),
                Column("test pressure, bar", "right"),
                Column("never above, bar", "right"),
                Column("wait, min", "right"),
                Column("leak limit, mL/min", "right"),
                Column("gauge, bar", "right"),
                Column("drift, bar/°C", "right"),
            ),
            (
                (
                    f"{p.volume:.0f}",
                    f"{p.pressure:g}",
                    f"{p.highest:g}",
                    f"{p.minutes:.0f}",
                    f"{p.limit:g}",
                    f"{p.gauge:g}",
                    f"{p.drift:.4f}",
                ),
            ),
            "Pressure decay: volume is that of plates and tubes, add hoses and gauge. Limits are our choice.",
        )
        yield Blanks(
            tuple(
                (f"{what} at the {when}", unit)
                for when in ("start", "end")
                for what, unit in (
                    ("gauge pressure", "bar"),
                    ("temperature of the loop", "°C"),
                    ("barometer", "hPa"),
                    ("time", "h:min"),
                )
            )
        )
        yield Text(f"Verdict: rillwright leaktest FILE --loop {loop} --start BAR --end BAR --minutes N …")
    for r in rows:
        yield from _filling(loop, r, bundle.layout)


def _filling(loop: str, row: dict[str, Any], layout: JobLayout) -> Iterator[Block]:
    standing = row.get("standing") or []
    steps = filling_steps(loop, row, layout)
    if not standing or not steps:
        return
    yield Text(f"Flushing, filling and draining, {row['assembly']}", strong=True)
    yield Items(steps, numbered=True)
    if len(standing) > 1:
        yield Table(
            (
                Column("stands"),
                Column("air left, mL", "right"),
                Column("vent by"),
                Column("coolant left, mL", "right"),
                Column("drain by"),
            ),
            tuple(
                (s["stand"], f"{s['trapped_ml']:.2f}", s["vent"] or "–", f"{_left(s):.2f}", s["drain"] or "–")
                for s in standing
            ),
            "Ways to stand",
        )


def filling_steps(loop: str, row: dict[str, Any], layout: JobLayout) -> tuple[str, ...]:
    """What to do, in order, in plain words with the figures of the first stand."""
    standing = row.get("standing") or []
    if not standing or row["coolant_ml"] is None:
        return ()
    s = standing[0]
    heights = _heights(loop, layout, row["ports"])
    fill = max(heights, key=lambda n: heights[n]) if heights else None
    others = [b for b in s["by_port"] if b["port"] != fill]
    vent = min(others, key=lambda b: b["trapped_ml"])["port"] if others else None
    low = s["drain"]
    steps = [
        f"Flush: fill with clean water through {fill}, run it, drain it by {low}; again until no chip comes out.",
        f"Fill {row['coolant_ml']:.0f} mL slowly through {fill}"
        + (f", {vent} open to let the air out." if vent else ", which is also its vent: in small portions."),
    ]
    steps += _levels(s.get("levels", []))
    if s["air"]:
        worst = s["air"][0]
        most = f"most of it ({worst['ml']:.1f} mL) near {worst['near']}"
        steps.append(f"{s['trapped_ml']:.1f} mL of air stay ({s['stand']}), {most}." + _tilting(s))
    else:
        steps.append(f"No pocket of air stays ({s['stand']}).")
    steps.append("Run the pump in short bursts, top up, and look at the level again after an hour and after a day.")
    steps.append(_draining(low, s))
    if row.get("narrow"):
        names = ", ".join(row["narrow"])
        steps.append(f"Narrow passages hold bubbles by surface tension, which this does not reckon: {names}.")
    return tuple(steps)


def _draining(low: str, s: dict[str, Any]) -> str:
    """Turned over, what stays of the coolant is what stays of the air now, with every port open in both."""
    left, over = _left(s), float(s["trapped_ml"])
    turned = f" Turned over with every port open {over:.1f} mL stay." if left > max(1.0, 2 * over) else ""
    if left < 0.05:  # would be told as 0.0
        return f"Drain by {low}: it runs empty.{turned}"
    return f"Drain by {low}: {left:.1f} mL stay and have to be drawn or blown out (below the test pressure).{turned}"


def _levels(levels: list[dict[str, Any]]) -> list[str]:
    """What the loop holds by how high the coolant stands in each tube."""
    told = []
    for tube in dict.fromkeys(v["tube"] for v in levels):
        marks = ", ".join(f"{v['above_mm']:.0f} mm: {v['ml']:.0f} mL" for v in levels if v["tube"] == tube)
        told.append(f"By the level in {tube}, measured from the lower plate's seal face, the loop holds: {marks}.")
    return told


def _tilting(s: dict[str, Any]) -> str:
    tilt = s["tilt"]
    if not tilt:
        return " No tilt of 15 or 30 degrees clears half of it: let the flow carry it out."
    how = leaning(s["up"], tilt["up"], tilt["degrees"]).capitalize()
    return f" {how} (x, y, z = {tilt['up']} points up): {tilt['trapped_ml']:.1f} mL stay."


def _left(s: dict[str, Any]) -> float:
    best = next((b for b in s["by_port"] if b["port"] == s["drain"]), None)
    return float(best["undrained_ml"] if best else s["undrained_ml"])


def _heights(loop: str, layout: JobLayout, names: list[str]) -> dict[str, float]:
    return {
        f"{p.name}.{f.name}": in_assembly(p, f.origin)[2]
        for p in layout.plates
        for f in p.features
        if f.role == "port" and f.loop == loop and f"{p.name}.{f.name}" in names
    }
