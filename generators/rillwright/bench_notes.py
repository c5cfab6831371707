"""What the bench needs of a result, as text lines: each seal, each tightening, each loop's coolant."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

Rows = Sequence[dict[str, Any]]


def bench_lines(seals: Rows, clamping: Rows, nets: Rows) -> list[str]:
    """Lines for the terminal, each within 100 columns; empty where there is nothing to tell."""
    lines = [line for s in seals for line in _seal(s)]
    lines += [line for c in clamping for line in _tighten(c)]
    lines += [line for n in nets for line in _net(n)]
    return lines


def _seal(s: dict[str, Any]) -> list[str]:
    now = s["conditions"][0]
    squeeze, fill = now["squeeze"], now["fill"]
    words = f"squeeze {squeeze['nominal']:.1f} %, worst {squeeze['worst'][0]:.1f} to {squeeze['worst'][1]:.1f} %"
    if fill is not None:
        words += f"; fill {fill['nominal']:.0f} %, worst {fill['worst'][1]:.0f} %"
    if now["yield_seals"] is not None:
        words += f"; seals in {now['yield_seals']:.1f} % of draws"
    ring = f"{s['pieces']} rings of {s['cord']['diameter']:g} mm {s['cord']['material']}, cut {s['cut_length']:.1f} mm"
    return [
        f"seal     {s['seal']}: {words}",
        f"         {ring}, joint beside {s['joint']['beside']}; widest tolerance: {s['dominant']}",
    ]


def _tighten(c: dict[str, Any]) -> list[str]:
    steps = " / ".join(f"{t:.2f}" for t in c["tightening"]["steps"])
    order = ", ".join(name.rsplit(".", 1)[-1] for name in c["tightening"]["order"])
    lines = [f"tighten  {c['reservoir']}: {steps} N·m, {order}"]
    if c["tightening"]["caution"]:
        lines.append(f"         caution: {c['tightening']['caution']}")
    return lines


def _net(n: dict[str, Any]) -> list[str]:
    held = n["coolant_ml"]
    return [f"coolant  {n['loop']}: " + ("not proved" if held is None else f"{held:.1f} mL in plates and tubes")]
