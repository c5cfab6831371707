"""The report's section on flow and air: curve, worst places, passages, shares, and what stays in each way to stand."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ...checks.result import Result
from ...layout.job_layout import JobLayout
from ..flow_plot import flow_svg
from .air_page import air
from .flow_places import leg_key
from .markup import Markup, el, raw, sentence, table
from .swatch import swatch

Row = dict[str, Any]
FEW = 6  # passages that are not folded away
WHOLE = 0.995  # of the flow: a passage with less has another beside it
KEY = (
    "Pressure lost is told as low, middle and high side of what is published for such passages. "
    "Tick “flow” under the picture to see the passages there as rods: the thicker, the faster; cones point along."
)


def flow_and_air(layout: JobLayout, result: Result) -> Markup:
    """One part for each loop of each assembly."""
    keys = list(dict.fromkeys((r["loop"], r.get("assembly", "")) for r in (*result.flow, *result.nets)))
    parts = [_loop(layout, result, loop, assembly) for loop, assembly in keys]
    if not parts:
        return el("section", el("h2", "Flow and air"), el("p", "This job has no loop."), id="flow")
    return el("section", el("h2", "Flow and air"), el("p", KEY, class_="key"), parts, id="flow")


def _loop(layout: JobLayout, result: Result, loop: str, assembly: str) -> Markup:
    def mine(rows: Sequence[Row]) -> list[tuple[int, Row]]:
        return [(i, r) for i, r in enumerate(rows) if (r["loop"], r.get("assembly", "")) == (loop, assembly)]

    several = sum(r["loop"] == loop for r in result.flow) > 1
    head = el("h3", swatch(layout, loop), loop, f", {assembly}" if several else None)
    flows = [_flow(layout, r, i) for i, r in mine(result.flow)]
    stays = [air(layout, r, i) for i, r in mine(result.nets)]
    return el("div", head, flows, stays, class_="run")


def _flow(layout: JobLayout, r: Row, number: int) -> Markup | list[Markup]:
    if "drop" not in r:
        return el("p", f"No flow was worked out: {sentence(r['why'])} ", el("b", "Remedy: "), sentence(r["do"]))
    asked = next((a for a in layout.flows if a.loop == r["loop"]), None)
    curve = raw(flow_svg(r, asked.pump if asked else None, asked.outside if asked else None))
    return [
        el("ul", [el("li", t) for t in _told(r)], class_="plain"),
        el("figure", curve, class_="curve"),
        _worst(r, number),
        _passages(r, number),
        el("p", _shares(r)),
    ]


def _told(r: Row) -> list[Markup]:
    d = {b: f"{1000 * r['drop'][b]:.1f}" for b in ("low", "nominal", "high")}
    ends = f"{', '.join(r['into'])} to {', '.join(r['out'])}"
    said = "" if r["stated"] else " (the file states no flow for this loop)"
    told = [
        el("span", el("b", f"{d['nominal']} mbar"),
           f" ({d['low']} to {d['high']}) lost at {r['flow']:.3g} L/min, {ends}{said}")
    ]  # fmt: skip
    p = r["working_point"]
    if p:
        low, high = sorted((p["low"]["flow"], p["high"]["flow"]))
        beyond = "; the pump could do more than its curve tells" if "beyond" in p["nominal"] else ""
        told.append(
            el("span", "Working point with the pump: ", el("b", f"{p['nominal']['flow']:.2f} L/min"),
               f" ({low:.2f} to {high:.2f}) at {1000 * p['nominal']['pressure']:.0f} mbar{beyond}")
        )  # fmt: skip
    return told


def _worst(r: Row, number: int) -> Markup:
    if not r["worst"]:
        return el("p", "No place loses more than the others.")
    names = [g["name"] for g in r["legs"]]
    rows = [
        (
            show(leg_key(number, names.index(w["leg"])), w["leg"]),
            w["cause"],
            f"{1000 * w['lost']:.2f}",
            w["change"],
            _saved(1000 * w["saves"]),
        )
        for w in r["worst"]
    ]
    head = ("Passage", "By", "mbar", "What would change it", "Saves mbar")
    return table(head, rows, f"Where loop {r['loop']} loses most", frozenset({2, 4}))


def _saved(mbar: float) -> Markup:
    if mbar > 0:
        return el("span", f"{mbar:.2f}")
    return el("span", "nothing:", el("br"), f"{-mbar:.2f} more")


def _passages(r: Row, number: int) -> Markup:
    rows = []
    for j, g in enumerate(r["legs"]):
        round_ = g["kind"] != "channel"
        size = f"Ø {g['size'][0]:g}" if round_ else f"{g['size'][0]:g} × {g['size'][1]:g}"
        share = 100 * abs(g["flow"]) / r["flow"] if r["flow"] else 0.0
        lost = abs(1000 * sum(g["lost"]))
        rows.append((
            show(leg_key(number, j), g["name"]), size, f"{g['length']:.0f}", f"{g['velocity']:.2f}",
            el("span", f"{g['reynolds']:d}", el("br"), regime(g["reynolds"])), f"{share:.0f}", f"{lost:.2f}",
        ))  # fmt: skip
    head = ("Passage", "Section mm", "Long mm", "m/s", "Reynolds", "Flow %", "mbar")
    inside = table(head, rows, f"Passages of loop {r['loop']} at {r['flow']:.3g} L/min", frozenset({2, 3, 4, 5, 6}))
    return el("details", el("summary", f"{len(rows)} passages"), inside, open=len(rows) <= FEW)


def regime(reynolds: float) -> str:
    """In words; the bounds are those of textbooks for ducts."""
    return "laminar" if reynolds < 2300 else "between" if reynolds < 4000 else "turbulent"


def _shares(r: Row) -> str:
    """How parallel passages share the flow."""
    told = [
        f"{g['name']} {100 * abs(g['flow']) / r['flow']:.0f} %"
        for g in r["legs"]
        if r["flow"] and abs(g["flow"]) < WHOLE * r["flow"]
    ]
    if not told:
        return "All of the flow goes through each passage: none lies beside another."
    return f"The flow is shared: {', '.join(told)}."


def show(key: str, name: str) -> Markup:
    """A name that leads to its place on the stage."""
    return el("button", name, type="button", data_mark=key, class_="show", aria_label=f"Show {name}")
