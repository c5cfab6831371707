"""Each loop as a diagram: its ports, tubes and plugs, plate by plate from top to bottom, as they were found joined."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ...layout.job_layout import JobLayout
from .markup import Markup, el
from .swatch import fill_of, swatch

WIDTH, LINE, PAD = 250.0, 22.0, 16.0
BAR, HALF = 30.0, 6.0  # middle and half width of the bar that joins everything
KEY = "Hatched bar: one coolant space, as it was found in the finished parts. Arrow: port. Open box: tube. Cross-bar: plug."

Bands = list[tuple[str, list[tuple[str, str]]]]  # plate (empty for tubes), then kind and name of each thing in it


def nets(layout: JobLayout, rows: Sequence[dict[str, Any]]) -> Markup:
    """A figure for each loop of each assembly."""
    if not rows:
        return el("section", el("h2", "Nets"), el("p", "No net was proved in this run."), id="nets")
    order = {p.name: -(p.height - p.side * p.thickness / 2) for p in layout.plates}
    figures = [_net(layout, r, order) for r in rows]
    return el("section", el("h2", "Nets"), el("p", KEY, class_="key"), el("div", figures, class_="nets"), id="nets")


def _net(layout: JobLayout, row: dict[str, Any], order: dict[str, float]) -> Markup:
    told = "joined" if row["joined"] else "not proved to be one space"
    bands = _bands(row, order)
    parts, stops, bottom = _drawn(bands)
    if stops:
        high = max(stops[-1] - stops[0], 1) + 16
        bar = {"x": BAR - HALF, "y": stops[0] - 8, "width": 2 * HALF, "height": high}
        parts.append(el("rect", fill=fill_of(layout, row["loop"]), class_="bar" if row["joined"] else "bar broken", **bar))
    parts += [_box(y) for y, kind in _kinds(bands, stops) if kind == "tube"]
    said = f"{row['loop']}: {told}. {_listed(bands)}"
    held = "" if row.get("coolant_ml") is None else f", {row['coolant_ml']:.1f} mL"
    caption = el("figcaption", swatch(layout, row["loop"]), el("b", row["loop"]), f" {told}{held}")
    picture = el("svg", parts, viewbox=f"0 0 {WIDTH:g} {bottom:g}", role="img", aria_label=said)
    return el("figure", caption, picture, class_="net")


def _drawn(bands: Bands) -> tuple[list[Markup], list[float], float]:
    """All but the bar, the height of each thing, and the height of the whole."""
    parts: list[Markup] = []
    stops: list[float] = []
    y = 6.0
    for plate, things in bands:
        high = LINE * len(things) + PAD
        if plate:
            parts.append(el("rect", x=4, y=y, width=WIDTH - 8, height=high, class_="band"))
            parts.append(el("text", plate, x=WIDTH - 10, y=y + 14, text_anchor="end", class_="where"))
        for i, (kind, name) in enumerate(things):
            stops.append(y + PAD / 2 + LINE * (i + 0.5))
            parts += _thing(kind, name, stops[-1])
        y += high + 6
    return parts, stops, y


def _kinds(bands: Bands, stops: list[float]) -> list[tuple[float, str]]:
    kinds = [kind for _, things in bands for kind, _ in things]
    return list(zip(stops, kinds, strict=True))


def _listed(bands: Bands) -> str:
    return "; ".join(f"{plate or 'between'}: {', '.join(f'{k} {n}' for k, n in things)}" for plate, things in bands)


def _bands(row: dict[str, Any], order: dict[str, float]) -> Bands:
    """Plates from top to bottom with what opens in them; the tubes after the first."""
    plates = sorted(row.get("plates", []), key=lambda p: order.get(p["plate"], 0.0))
    bands: Bands = []
    for p in plates:
        own = f"{p['plate']}."
        bands.append((p["plate"], [(k, n.removeprefix(own)) for k in ("port", "plug") for n in p.get(f"{k}s", [])]))
    tubes = [("tube", n) for n in row.get("tubes", [])]
    return [b for b in [*bands[:1], ("", tubes), *bands[1:]] if b[1]]


def _thing(kind: str, name: str, y: float) -> list[Markup]:
    out = BAR + HALF
    words = el("text", f"tube {name.removesuffix('.tube')}" if kind == "tube" else name, x=out + 34, y=y + 4)
    if kind == "tube":
        return [words]
    branch = el("line", x1=out, x2=out + 16, y1=y, y2=y, class_="branch")
    if kind == "plug":
        return [branch, el("line", x1=out + 18, x2=out + 18, y1=y - 7, y2=y + 7, class_="plug"), words]
    head = f"M{out + 15:g} {y - 6:g}L{out + 27:g} {y:g}L{out + 15:g} {y + 6:g}Z"
    return [branch, el("path", d=head, class_="port"), words]


def _box(y: float) -> Markup:
    return el("rect", x=BAR - HALF - 5, y=y - 10, width=2 * HALF + 10, height=20, class_="tube")
