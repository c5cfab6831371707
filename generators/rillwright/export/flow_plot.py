"""Pressure lost over flow of each loop, as a plot (SVG) and as a table (CSV)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from html import escape
from typing import TYPE_CHECKING, Any

from .cells import csv_text

if TYPE_CHECKING:
    from .bundle import Bundle

WIDE, HIGH = 640.0, 420.0  # px
LEFT, RIGHT, TOP, BOTTOM = 74.0, 20.0, 52.0, 92.0
INK, SOFT, BAND = "#1d2a33", "#8a969e", "#c9d8df"
Points = Sequence[tuple[float, float]]
COLUMNS = (
    "loop", "assembly", "passage", "kind", "width_mm", "depth_mm", "length_mm", "flow_l_min", "velocity_m_s",
    "reynolds", "friction_mbar", "bends_mbar", "start_mbar", "end_mbar", "note",
)  # fmt: skip


def write_flow(bundle: Bundle) -> None:
    """`flow-LOOP.svg` for each loop whose flow could be worked out, and `flow.csv` with every passage."""
    assert bundle.result is not None
    known = [f for f in bundle.result.flow if "drop" in f]
    for f in known:
        alone = sum(g["loop"] == f["loop"] for g in known) == 1
        name = f["loop"] if alone else f"{f['loop']}-{f['assembly']}"
        asked = next(a for a in bundle.layout.flows if a.loop == f["loop"])
        (bundle.folder / f"flow-{name}.svg").write_text(flow_svg(f, asked.pump, asked.outside), encoding="utf-8")
    (bundle.folder / "flow.csv").write_text(_table(bundle.result.flow), encoding="utf-8", newline="")


def _table(flow: Sequence[dict[str, Any]]) -> str:
    rows: list[list[Any]] = []
    for f in flow:
        if "drop" not in f:
            rows.append([f["loop"], f["assembly"], *[""] * 12, f"not asked: {f['why']}"])
        for g in f.get("legs", ()):
            lost = (round(1000 * p, 4) for p in g["lost"])
            rows.append([f["loop"], f["assembly"], g["name"], g["kind"], *g["size"], g["length"], g["flow"],
                           g["velocity"], g["reynolds"], *lost, ""])  # fmt: skip
    return csv_text(COLUMNS, rows)


def flow_svg(f: dict[str, Any], pump: Points | None, outside: Points | None) -> str:
    """The plot of one loop of `flow_records`: band and middle over flow, and the pump's curve with its working point.

    pump, outside: points of flow (L/min) and pressure (bar). With a pump the plates' loss is drawn with the outside's
    added, since that is what the pump has to overcome.
    """
    added = _reader(outside) if outside and pump else (lambda _q: 0.0)
    rest = f["elsewhere"]["curve"] if pump and f["elsewhere"] else [dict.fromkeys(("low", "nominal", "high"), 0.0)] * 99
    curves = {b: [(0.0, 1000 * added(0.0)), *((c["flow"], 1000 * (c[b] + r[b] + added(c["flow"])))
              for c, r in zip(f["curve"], rest, strict=False))] for b in ("low", "nominal", "high")}  # fmt: skip
    drawn = [(q, 1000 * p) for q, p in pump or ()]
    most_q = max(10.0, *(q for q, _ in drawn)) if drawn else 10.0
    most_p = max(p for _, p in (*curves["high"], *drawn))
    step_q, step_p = _step(most_q, 10), _step(most_p, 6)
    most_p = step_p * math.ceil(most_p / step_p - 1e-9)

    def at(q: float, p: float) -> tuple[float, float]:
        return LEFT + q / most_q * (WIDE - LEFT - RIGHT), HIGH - BOTTOM - p / most_p * (HIGH - TOP - BOTTOM)

    parts = [_frame(f, at, (most_q, step_q), (most_p, step_p), bool(pump and (outside or f["elsewhere"])))]
    band = [at(*p) for p in [*curves["high"], *reversed(curves["low"])]]
    parts.append(f'<path d="{_path(band)}Z" fill="{BAND}" stroke="none"/>')
    parts.append(f'<path d="{_path([at(*p) for p in curves["nominal"]])}" fill="none" stroke="{INK}" stroke-width="2"/>')
    if drawn:
        parts.append(f'<path d="{_path([at(*p) for p in drawn])}" fill="none" stroke="{INK}" stroke-width="1.5" '
                     f'stroke-dasharray="7 4"/>')  # fmt: skip
    parts += _marks(f, at, curves["nominal"])
    parts.append(_legend(bool(drawn)))
    size = f'viewBox="0 0 {WIDE:g} {HIGH:g}" width="{WIDE:g}" height="{HIGH:g}"'
    body = "\n".join(parts)
    return (f'<svg xmlns="http://www.w3.org/2000/svg" {size} role="img" font-family="sans-serif" font-size="12" '
            f'fill="{INK}">\n<rect width="100%" height="100%" fill="#fff"/>\n{body}\n</svg>\n')  # fmt: skip


def _frame(f: dict[str, Any], at: Any, flow: tuple[float, float], pressure: tuple[float, float], with_outside: bool) -> str:
    (most_q, step_q), (most_p, step_p) = flow, pressure
    what = "whole loop" if with_outside else "plates alone"
    title = f"Loop {f['loop']}: pressure lost in the {what}"
    ports = f"from {', '.join(f['into'])} to {', '.join(f['out'])}"
    lines = [f"<title>{escape(title)}</title>",
             f'<text x="{LEFT}" y="22" font-size="15" font-weight="bold">{escape(title)}</text>',
             f'<text x="{LEFT}" y="40" fill="#55626b">{escape(ports)}</text>']  # fmt: skip
    for i in range(round(most_q / step_q) + 1):
        x, y = at(i * step_q, 0)
        lines.append(f'<path d="M{x:.1f} {y:.1f}V{TOP}" stroke="{SOFT}" stroke-width="0.5" opacity="0.6"/>')
        lines.append(f'<text x="{x:.1f}" y="{y + 17:.1f}" text-anchor="middle">{i * step_q:g}</text>')
    for i in range(round(most_p / step_p) + 1):
        x, y = at(0, i * step_p)
        lines.append(f'<path d="M{x:.1f} {y:.1f}H{WIDE - RIGHT}" stroke="{SOFT}" stroke-width="0.5" opacity="0.6"/>')
        lines.append(f'<text x="{x - 8:.1f}" y="{y + 4:.1f}" text-anchor="end">{i * step_p:g}</text>')
    x, y = at(most_q / 2, 0)
    lines.append(f'<text x="{x:.1f}" y="{y + 36:.1f}" text-anchor="middle">flow, L/min</text>')
    lines.append(f'<text transform="translate(20 {(TOP + HIGH - BOTTOM) / 2:.1f}) rotate(-90)" text-anchor="middle">'
                 f"pressure lost, mbar</text>")  # fmt: skip
    return "\n".join(lines)


def _marks(f: dict[str, Any], at: Any, nominal: Points) -> list[str]:
    """The stated flow on the middle curve, or the working point where there is a pump."""
    point = f["working_point"]
    if point:
        q, p = point["nominal"]["flow"], 1000 * point["nominal"]["pressure"]
        words = f"{q:.2f} L/min, {p:.0f} mbar"
    else:
        q, p = f["flow"], 1000 * f["drop"]["nominal"]
        words = f"{p:.1f} mbar at {q:g} L/min"
        if q > nominal[-1][0]:
            return []
    x, y = at(q, p)
    side, shift = ("end", -10) if x > WIDE / 2 else ("start", 10)
    below = y + (22 if point else -10)
    return [f'<circle cx="{x:.1f}" cy="{y:.1f}" r="5" fill="#fff" stroke="{INK}" stroke-width="2"/>',
            f'<text x="{x + shift:.1f}" y="{below:.1f}" text-anchor="{side}" font-weight="bold" stroke="#fff" '
            f'stroke-width="4" paint-order="stroke">{words}</text>']  # fmt: skip


def _legend(pump: bool) -> str:
    y = HIGH - 22
    keys = [("band of published losses", f'<rect x="{LEFT}" y="{y - 10}" width="26" height="12" fill="{BAND}"/>'),
            ("middle", f'<path d="M{LEFT + 200} {y - 4}h26" stroke="{INK}" stroke-width="2"/>')]  # fmt: skip
    if pump:
        keys.append(("pump", f'<path d="M{LEFT + 300} {y - 4}h26" stroke="{INK}" stroke-width="1.5" '
                             f'stroke-dasharray="7 4"/>'))  # fmt: skip
    xs = (LEFT + 32, LEFT + 232, LEFT + 332)
    return "\n".join(f'{mark}<text x="{x}" y="{y}">{word}</text>' for (word, mark), x in zip(keys, xs, strict=False))


def _path(points: Points) -> str:
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points)


def _step(most: float, lines: int) -> float:
    """A round distance of grid lines: 1, 2 or 5 times a power of ten."""
    rough = most / lines
    power = 10.0 ** math.floor(math.log10(rough))
    return next(n * power for n in (1.0, 2.0, 5.0, 10.0) if n * power >= rough - 1e-12)


def _reader(points: Points) -> Any:
    from ..checks.plan.flow import line_through

    return line_through(tuple(points))
