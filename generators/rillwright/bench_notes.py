"""What the bench needs of a result, as text lines: each seal, each tightening, each loop's coolant."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

Rows = Sequence[dict[str, Any]]


def bench_lines(
    seals: Rows, clamping: Rows, nets: Rows, flow: Rows = (), glands: Rows = (), faces: Rows = ()
) -> list[str]:
    """Lines for the terminal, each within 100 columns; empty where there is nothing to tell."""
    lines = [line for s in seals for line in _seal(s)]
    lines += [line for g in glands for line in _gland(g)]
    lines += _faces(faces)
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
    ring = f"{s['pieces']} rings of {s['cord']['diameter']:g} mm {s['cord']['material']}, cut {s['cut_length']:.1f} mm"
    return [
        f"seal     {s['seal']}: {_squeezed(s)}",
        f"         {ring}, {_joint(s['joint'])}; widest tolerance: {s['dominant']}",
        f"         {_groove(s['proposal'])}",
    ]


def _gland(g: dict[str, Any]) -> list[str]:
    """A groove in a face; the names of those alike are told by their number."""
    n, cord = g["pieces"], g["cord"]
    alike = "" if n == 1 else f" and {n - 1} alike in {g['plate']}"
    kind = f"{'moulded ' if cord['moulded'] else ''}ring{'' if n == 1 else 's'}"
    ring = f"{n} {kind} of {cord['diameter']:g} mm {cord['material']}"
    ring += "" if g["cut_length"] is None else f", cut {g['cut_length']:.1f} mm"
    ring += f", stretched {g['stretch']['nominal']:.1f} %" if cord["moulded"] else ""
    ring += "" if g["joint"] is None else f", {_joint(g['joint'])}"
    return [f"seal     {g['seal']}{alike}: {_squeezed(g)}", f"         {ring}; widest tolerance: {g['dominant']}"]


def _squeezed(s: dict[str, Any]) -> str:
    now, settled = s["conditions"][0], s["conditions"][-1]
    squeeze, fill = now["squeeze"], now["fill"]
    words = f"squeeze {squeeze['nominal']:.1f} %, worst {squeeze['worst'][0]:.1f} to {squeeze['worst'][1]:.1f} %"
    words += f", settled {settled['squeeze']['nominal']:.1f} %" if settled["name"] == "settled" else ""
    if fill is not None:
        words += f"; fill {fill['nominal']:.0f} %, worst {fill['worst'][1]:.0f} %"
    if now["yield_seals"] is not None:
        words += f"; seals in {now['yield_seals']:.1f} % of draws"
    return words


def _joint(j: dict[str, Any]) -> str:
    x, y = (f"{v + 0.0:.1f}" for v in j["at"])
    return f"joint beside {j['beside']} at x {x}, y {y}"


def _faces(faces: Rows) -> list[str]:
    """The flats that fittings seal on: how many, the narrowest, and what they have to be."""
    if not faces:
        return []
    n, least = len(faces), min(faces, key=lambda f: f["land"])
    words = "1 port or plug seals" if n == 1 else f"{n} ports and plugs seal"
    return [f"faces    {words} on a flat round the thread, {least['land']:.2f} mm wide at least ({least['face']}): "
            f"Ra {least['finish']:g} µm, flat within {least['flatness']:g} mm; {least['advice']}"]  # fmt: skip


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
