"""What stays in a loop in each way to stand: air after filling, coolant after draining, and the order of filling."""

from __future__ import annotations

from typing import Any

from ...layout.job_layout import JobLayout
from ..sheets.test_page import filling_steps
from .flow_places import pocket_key
from .markup import Markup, el, table

Row = dict[str, Any]
KEY = (
    "Air: what stays with every port open. Coolant: what stays when the loop is drained by its best port. Places are those "
    "that no port reaches; smaller ones than 0.05 mL are not told apart from the grid of {grid:g} mm."
)


def air(layout: JobLayout, r: Row, number: int) -> list[Markup]:
    """Ways to stand, pockets, and what to do in order, of one row of the nets."""
    standing = r.get("standing") or []
    if not standing:
        return [el("p", "Of air that stays nothing is known: no closed space with a port was proved for it in this run.")]
    rows = [(s["stand"], f"{s['trapped_ml']:.2f}", s["vent"] or "–", f"{left(s):.2f}", s["drain"] or "–") for s in standing]
    head = ("Stands", "Air left mL", "Best vent", "Coolant left mL", "Best drain")
    said = KEY.format(grid=standing[0]["grid_mm"])
    stays = table(head, rows, f"Air and coolant that stay in loop {r['loop']}", frozenset({1, 3}))
    out = [stays, el("p", said, class_="key")]
    out += [el("p", _lean(s)) for s in standing if s["tilt"]]
    pockets = [_pocket(s, p, kind, pocket_key(number, s["stand"], kind, n))
               for s in standing for kind in ("air", "coolant") for n, p in enumerate(s[kind])]  # fmt: skip
    if pockets:
        out.append(table(("Stays", "mL", "Near", "Stands"), pockets, f"Pockets of loop {r['loop']}", frozenset({1})))
    steps = filling_steps(r["loop"], r, layout)
    if steps:
        summary = el("summary", "Flushing, filling and draining")
        out.append(el("details", summary, el("ol", [el("li", t) for t in steps], class_="steps")))
    return out


def left(s: Row) -> float:
    """Coolant that stays when the best port drains the loop, mL."""
    best = next((b for b in s["by_port"] if b["port"] == s["drain"]), None)
    return float(best["undrained_ml"] if best else s["undrained_ml"])


def _lean(s: Row) -> str:
    """Which way to lean it to let most of the air out."""
    tilt, up = s["tilt"], ", ".join(f"{c:g}" for c in s["tilt"]["up"])
    return (
        f"Lean it by {tilt['degrees']}° to bleed it ({s['stand']}), so that x, y, z = {up} points up: "
        f"{tilt['trapped_ml']:.2f} mL of air stay then. “Standing” under the picture shows it."
    )


def _pocket(s: Row, p: Row, kind: str, key: str) -> tuple[Markup, str, str, str]:
    told = f"Show {p['ml']:.2f} mL of {kind} near {p['near']}, {s['stand']}"
    button = el("button", kind, type="button", data_mark=key, class_="show", aria_label=told)
    return button, f"{p['ml']:.2f}", p["near"], s["stand"]
