"""Lists for the bench: coolant, cords with their joints, screws, and what to beware of."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

from ...layout.cords import cuts
from ...layout.job_layout import JobLayout
from ..tables import size_of
from .markup import Markup, el, sentence, table
from .places import Mark
from .verdict import CAUTION


def volumes(rows: Sequence[dict[str, Any]]) -> Markup:
    """Coolant of each loop, plate by plate, mL."""
    if not rows:
        return el("section", el("h2", "Coolant"), el("p", "No volume was proved in this run."), id="volumes")
    told = [
        (
            r["loop"],
            "–" if r.get("coolant_ml") is None else f"{r['coolant_ml']:.1f}",
            ", ".join(
                f"{p['plate']} {p['coolant_ml']:.1f}" for p in r.get("plates", []) if p.get("coolant_ml") is not None
            ),
        )
        for r in rows
    ]
    held = [r["coolant_ml"] for r in rows if r.get("coolant_ml") is not None]
    told.append(("all", f"{sum(held):.1f}", "hoses and coolers come on top"))
    return el(
        "section",
        el("h2", "Coolant"),
        table(("Loop", "mL", "Of that in plates, mL"), told, "Coolant in plates and tubes", frozenset({1})),
        id="volumes",
    )


def cords(layout: JobLayout, marks: Sequence[Mark]) -> Markup:
    """Every ring of cord: length, where it comes from, where its ends meet."""
    if not layout.rings:
        return el("section", el("h2", "Cords"), el("p", "This job has no cord."), id="cords")
    reel = layout.cord_reel
    placed = {} if reel is None else {id(c.ring): c for c in cuts(layout.rings, reel)}
    rows = []
    for r, m in zip(layout.rings, marks, strict=True):
        cut = placed.get(id(r))
        where = "" if cut is None else f"reel {cut.reel}, {cut.start:.1f} to {cut.end:.1f}"
        show = el(
            "button",
            f"beside {r.beside}",
            type="button",
            data_mark=m.key,
            class_="show",
            aria_label=f"Show the joint of {r.seal} in {r.plate}, beside {r.beside}",
        )
        rows.append(
            (
                r.seal,
                r.plate,
                f"{r.cord.diameter:g} {r.cord.material} {r.cord.hardness:g} Shore A",
                f"{r.length:.1f}",
                *([where] if placed else []),
                show,
            )
        )
    head = ("Seal", "Plate", "Cord", "Cut mm", *(["From the reel, mm"] if placed else []), "Joint")
    inside = table(head, rows, "Cords to cut, ends dead square", frozenset({3}))
    return el("section", el("h2", "Cords"), inside, id="cords")


def bought(layout: JobLayout) -> Markup:
    """Screws, plugs, tubes and struts, like with like."""
    kinds = Counter((h.kind, h.note, h.material, *size_of(h)) for h in layout.hardware if h.kind != "cord")
    rows = [(kind, n, note, material, long, wide) for (kind, note, material, long, wide), n in kinds.items()]
    if not rows:
        return el("section", el("h2", "Bought parts"), el("p", "This job has none."), id="bought")
    inside = table(
        ("Part", "Pieces", "What", "Material", "Length mm", "Ø mm"),
        rows,
        "Screws, plugs, tubes and struts",
        frozenset({1, 4, 5}),
    )
    return el("section", el("h2", "Bought parts"), inside, id="bought")


def cautions(records: Sequence[dict[str, Any]]) -> Markup:
    """What to beware of."""
    told = dict.fromkeys([CAUTION, *(c["tightening"].get("caution", "") for c in records)])
    return el("section", el("h2", "Cautions"), el("ul", [el("li", sentence(t)) for t in told if t]), id="cautions")
