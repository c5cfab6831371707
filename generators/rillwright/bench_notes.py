"""What the bench needs of a result, as text lines: each seal, each tightening, each loop's coolant."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

Rows = Sequence[dict[str, Any]]


def bench_lines(seals: Rows, clamping: Rows, nets: Rows, flow: Rows = ()) -> list[str]:
    """Lines for the terminal, each within 100 columns; empty where there is nothing to tell."""
    lines = [line for s in seals for line in _seal(s)]
    lines += [line for c in clamping for line in _tighten(c)]
    lines += [line for n in nets for line in _net(n)]
    lines += [line for f in flow if "drop" in f for line in _flow(f)]
    return lines


def _flow(f: dict[str, Any]) -> list[str]:
    low, nominal, high = (1000 * f["drop"][b] for b in ("low", "nominal", "high"))
    fast = max(f["legs"], key=lambda g: g["velocity"])
    lines = [f"flow     {f['loop']}: {nominal:.1f} mbar ({low:.1f} to {high:.1f}) in the plates at {f['flow']:g} L/min, "
             f"{', '.join(f['into'])} to {', '.join(f['out'])}",
             f"         fastest {fast['velocity']:.2f} m/s in {fast['way']}, Re {fast['reynolds']}"]  # fmt: skip
    lines += [f"         {w['change']}: saves {1000 * w['saves']:.1f} mbar" for w in f["worst"][:1] if w["saves"] > 0]
    if point := f["working_point"]:
        low, nominal, high = (point[b]["flow"] for b in ("high", "nominal", "low"))
        more = ", where the pump's curve ends" if "beyond" in point["nominal"] else ""
        lines.append(f"         with the pump: {nominal:.2f} L/min ({low:.2f} to {high:.2f}){more}")
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
        f"         {_groove(s['proposal'])}",
    ]


def _groove(p: dict[str, Any]) -> str:
    words = {"table": "by the table", "scaled": "scaled to the measured cord", "limits": "by the limits of glands"}
    if p["step"] is None:
        how = f"gap {p['depth']:.2f} mm over a plain channel floor"
    else:
        step = p["step"]
        how = (f"groove Ø{2 * step['outer_radius']:.2f} / Ø{2 * step['inner_radius']:.2f} stepped {step['depth']:.2f} mm "
               f"into the floor")  # fmt: skip
    return f"proposed {words[p['basis']]}: {how}, tube {p['tube_length']:.2f} mm"


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
