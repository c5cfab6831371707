"""Each seal's squeeze as bars: nominal, what the tolerances make of it at the worst, and the limits. Per cent."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ...spec.job import Limits
from .markup import Markup, el

WIDTH, ROW, LEFT, TOP = 560.0, 30.0, 124.0, 26.0
RIGHT = 26.0


def seals(records: Sequence[dict[str, Any]], limits: Limits) -> Markup:
    """A figure for each seal that has a range; all on one scale, so that they can be compared."""
    ranged = [s for s in records if s.get("conditions")]
    if not ranged:
        return el("section", el("h2", "Seals"), el("p", "This job has no seal with a tolerance chain."), id="seals")
    ends = [e for s in ranged for c in s["conditions"] for e in c["squeeze"]["worst"]]
    low, high = min(0.0, *ends), max(60.0, *ends)
    scale = _Scale(5 * (low // 5), 5 * (-(-high // 5)))
    key = el(
        "p",
        "Wide bar: worst case of all tolerances. Dark bar: what is likely (root sum of squares). Tick: nominal. "
        "Hatched: where a cord no longer seals, or is overloaded. "
        "Between the dotted lines: the nominal squeeze that is wanted.",
        class_="key",
    )
    return el("section", el("h2", "Seals"), key, [_seal(s, limits, scale, i) for i, s in enumerate(ranged)], id="seals")


class _Scale:
    """Per cent to places across the figure."""

    def __init__(self, low: float, high: float) -> None:
        self.low, self.high = low, high

    def x(self, value: float) -> float:
        v = min(max(value, self.low), self.high)
        return round(LEFT + (WIDTH - LEFT - RIGHT) * (v - self.low) / (self.high - self.low), 2)


def _seal(s: dict[str, Any], limits: Limits, scale: _Scale, number: int) -> Markup:
    rows = s["conditions"]
    high = TOP + ROW * len(rows) + 8
    said = "; ".join(_sentence(c) for c in rows)
    picture = el(
        "svg",
        el("title", f"Squeeze of {s['seal']}: {said}"),
        _ground(limits, scale, high),
        [_bar(c, scale, TOP + ROW * i) for i, c in enumerate(rows)],
        viewbox=f"0 0 {WIDTH:g} {high:g}",
        role="img",
        aria_labelledby=f"seal-{number}",
        class_="bars",
    )
    return el(
        "figure", el("figcaption", el("b", s["seal"]), _told(s), id=f"seal-{number}"), picture, _figures(s), class_="seal"
    )


def _told(s: dict[str, Any]) -> str:
    cord = s.get("cord", {})
    told = f" · cord {cord.get('diameter', 0):g} mm {cord.get('material', '')}"
    if s.get("gap") is not None:
        told += f" in a gap of {s['gap']:g} mm"
    if s.get("dominant"):
        told += f" · widest tolerance: {s['dominant']}"
    if s.get("alike"):
        told += f" · the same: {', '.join(s['alike'])}"
    return told


def _sentence(c: dict[str, Any]) -> str:
    q = c["squeeze"]
    low, high = q["worst"]
    return f"{c['name']} at {c['celsius']:g} °C: nominal {_whole(q['nominal'])} %, worst {_whole(low)} to {_whole(high)} %"


def _whole(percent: float) -> str:
    return f"{round(percent)}".replace("-", "−")


def _ground(limits: Limits, scale: _Scale, high: float) -> list[Markup]:
    bottom = high - 6
    parts = [
        el("rect", x=scale.x(a), y=TOP - 4, width=scale.x(b) - scale.x(a), height=bottom - TOP + 4, fill="url(#forbidden)")
        for a, b in ((scale.low, limits.squeeze_seals), (limits.squeeze_bears, scale.high))
        if b > a
    ]
    for tick in range(int(10 * (scale.low // 10)), int(scale.high) + 1, 10):
        if tick >= scale.low:
            parts.append(el("line", x1=scale.x(tick), x2=scale.x(tick), y1=TOP - 6, y2=bottom, class_="grid"))
            parts.append(el("text", f"{tick} %".replace("-", "−"), x=scale.x(tick), y=TOP - 10, text_anchor="middle"))
    for v in (limits.squeeze_low, limits.squeeze_high):
        parts.append(el("line", x1=scale.x(v), x2=scale.x(v), y1=TOP - 6, y2=bottom, class_="wanted"))
    return parts


def _bar(c: dict[str, Any], scale: _Scale, y: float) -> list[Markup]:
    q = c["squeeze"]
    a, b = scale.x(q["worst"][0]), scale.x(q["worst"][1])
    likely = [scale.x(v) for v in q["rss"]]
    return [
        el("text", f"{c['name']} {c['celsius']:g} °C", x=8, y=y + 17),
        el("rect", x=a, y=y + 6, width=max(b - a, 1), height=14, class_="worst"),
        el("rect", x=likely[0], y=y + 9, width=max(likely[1] - likely[0], 1), height=8, class_="likely"),
        el("line", x1=scale.x(q["nominal"]), x2=scale.x(q["nominal"]), y1=y + 2, y2=y + 24, class_="nominal"),
    ]


def _figures(s: dict[str, Any]) -> Markup:
    now = s["conditions"][0]
    told = [_sentence(c) for c in s["conditions"]]
    if now.get("fill"):
        told.append(f"fill {now['fill']['nominal']:.0f} %, worst {now['fill']['worst'][1]:.0f} %")
    if now.get("yield_seals") is not None:
        told.append(f"seals in {now['yield_seals']:.1f} % of draws")
    return el("ul", [el("li", t) for t in told], class_="figures")
