"""Each loop as a diagram: its ports, tubes and plugs, plate by plate from top to bottom, as they were found joined."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ...layout.features import JobLayout
from .markup import Markup, el
from .swatch import fill_of, swatch

WIDTH, LINE, PAD = 250.0, 22.0, 16.0
BUS = 44.0  # x of the line that joins everything


def nets(layout: JobLayout, rows: Sequence[dict[str, Any]]) -> Markup:
    """A figure for each loop of each assembly."""
    if not rows:
        return el("section", el("h2", "Nets"), el("p", "No net was proved in this run."), id="nets")
    key = el(
        "p",
        "Triangle: port. Open box: tube. Cross-bar: plug. One line joins what was found to stand in one coolant space.",
        class_="key",
    )
    order = {p.name: -(p.height - p.side * p.thickness / 2) for p in layout.plates}
    return el(
        "section",
        el("h2", "Nets"),
        key,
        el("div", [_net(layout, r, order, i) for i, r in enumerate(rows)], class_="nets"),
        id="nets",
    )


def _net(layout: JobLayout, row: dict[str, Any], order: dict[str, float], number: int) -> Markup:
    told = "joined" if row["joined"] else "not proved to be one space"
    bands = _bands(row, order)
    parts: list[Markup] = []
    y, stops = 8.0, []
    for title, things in bands:
        high = LINE * len(things) + PAD
        if title:
            parts.append(el("rect", x=6, y=y, width=WIDTH - 12, height=high, class_="band"))
            parts.append(el("text", title, x=WIDTH - 12, y=y + 13, text_anchor="end", class_="where"))
        for i, (kind, name) in enumerate(things):
            at = y + PAD / 2 + LINE * (i + 0.5)
            stops.append(at)
            parts += _thing(kind, name, at, title)
        y += high + 8
    if stops:
        line = el("line", x1=BUS, x2=BUS, y1=min(stops), y2=max(stops), class_="bus" if row["joined"] else "bus broken")
        parts.insert(len([b for b in bands if b[0]]) and 0, line)
    colour = el("rect", x=14, y=10, width=10, height=max(y - 20, 4), fill=fill_of(layout, row["loop"]), stroke="#18222c")
    said = f"{row['loop']}: {told}"
    caption = el(
        "figcaption", swatch(layout, row["loop"]), el("b", row["loop"]), f" {told}", _held(row), id=f"net-{number}"
    )
    picture = el(
        "svg",
        el("title", said),
        parts,
        colour,
        viewbox=f"0 0 {WIDTH:g} {y:g}",
        role="img",
        aria_label=f"{said}. {_listed(bands)}",
    )
    return el("figure", caption, picture, class_="net")


def _held(row: dict[str, Any]) -> str:
    return "" if row.get("coolant_ml") is None else f", {row['coolant_ml']:.1f} mL"


def _listed(bands: list[tuple[str, list[tuple[str, str]]]]) -> str:
    return "; ".join(f"{t or 'between'}: {', '.join(f'{k} {n}' for k, n in things)}" for t, things in bands)


def _bands(row: dict[str, Any], order: dict[str, float]) -> list[tuple[str, list[tuple[str, str]]]]:
    """Plates from top to bottom with what opens in them; the tubes after the first."""
    plates = sorted(row.get("plates", []), key=lambda p: order.get(p["plate"], 0.0))
    bands = []
    for p in plates:
        things = [(kind, n.removeprefix(f"{p['plate']}.")) for kind in ("port", "plug") for n in p.get(f"{kind}s", [])]
        bands.append((p["plate"], things))
    tubes = [("tube", n) for n in row.get("tubes", [])]
    if tubes:
        bands.insert(min(1, len(bands)), ("", tubes))
    return [b for b in bands if b[1]]


def _thing(kind: str, name: str, y: float, title: str) -> list[Markup]:
    branch = el("line", x1=BUS, x2=BUS + 22, y1=y, y2=y, class_="branch")
    words = el("text", name if title else f"tube {name.removesuffix('.tube')}", x=BUS + 42, y=y + 4)
    if kind == "port":
        return [
            branch,
            el("path", d=f"M{BUS + 22:g} {y - 6:g}L{BUS + 34:g} {y:g}L{BUS + 22:g} {y + 6:g}Z", class_="port"),
            words,
        ]
    if kind == "plug":
        return [branch, el("line", x1=BUS + 24, x2=BUS + 24, y1=y - 7, y2=y + 7, class_="plug"), words]
    return [el("rect", x=BUS - 7, y=y - 9, width=14, height=18, class_="tube"), words]
