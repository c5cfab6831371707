"""Screws and the order in which they are tightened, as a plan of each plate with numbers, and the torques beside it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from ...layout.features import Arc, Feature, JobLayout, Outline, PlateLayout
from .markup import Markup, el, sentence, table


def tightening(layout: JobLayout, records: Sequence[dict[str, Any]]) -> Markup:
    """One plan a plate that has screws with an order, and one table for all."""
    order = {name: str(i) for c in records for i, name in enumerate(c["tightening"]["order"], 1)}
    plans = [_plan(layout, p, order, i) for i, p in enumerate(layout.plates) if _ordered(p, order)]
    if not plans:
        return el(
            "section", el("h2", "Tightening"), el("p", "No screw of this job has a tightening order."), id="tightening"
        )
    key = el(
        "p",
        "Seen from above. Tighten in the order of the numbers, round after round. J marks the joint of a cord.",
        class_="key",
    )
    again = [el("p", sentence(t)) for t in dict.fromkeys(c["tightening"].get("again", "") for c in records) if t]
    return el("section", el("h2", "Tightening"), key, plans, _torques(records), again, id="tightening")


def _torques(records: Sequence[dict[str, Any]]) -> Markup:
    rounds = max((len(c["tightening"]["steps"]) for c in records), default=0)
    rows = [
        (
            c["reservoir"],
            c["plates"][0]["screw"] if c.get("plates") else "",
            " → ".join(n.rpartition("-")[2] for n in c["tightening"]["order"]),
            *(f"{t:.2f}" for t in c["tightening"]["steps"]),
            *[""] * (rounds - len(c["tightening"]["steps"])),
        )
        for c in records
    ]
    head = ("Seal", "Screw", "Order", *(f"Round {i} N·m" for i in range(1, rounds + 1)))
    return table(head, rows, "Torque of each round", frozenset(range(3, 3 + rounds)))


def _ordered(plate: PlateLayout, order: dict[str, str]) -> bool:
    return any(_strut(f) in order for f in plate.features)


def _plan(layout: JobLayout, plate: PlateLayout, order: dict[str, str], number: int) -> Markup:
    low, high = _box(plate.outline)
    wide, deep = high[0] - low[0], high[1] - low[1]
    size = max(wide, 2.2 * deep) / 560  # mm for each unit that a letter is measured in
    parts = [el("path", d=_path(plate.outline), class_="plate", stroke_width=1.4 * size)]
    screws = []
    for f in plate.features:
        if f.face not in ("seal", "outer"):
            continue
        x, y, _ = f.origin
        if f.role == "tube-channel":
            parts.append(el("circle", cx=x, cy=-y, r=f.radius, class_="tube", stroke_width=size))
        elif f.role in ("screw", "mounting", "port"):
            parts.append(el("circle", cx=x, cy=-y, r=f.radius, class_="hole", stroke_width=0.7 * size))
        if _strut(f) in order:
            screws.append(f)
            parts += _screw(f, order[_strut(f)], size)
    for r in layout.rings:
        if r.plate == plate.name:
            parts.append(_joint(r.joint, size))
    pad = 12 * size
    said = f"Plate {plate.name}: " + ", ".join(f"{_strut(f)} is number {order[_strut(f)]}" for f in screws)
    view = f"{low[0] - pad:g} {-high[1] - pad:g} {wide + 2 * pad:g} {deep + 2 * pad:g}"
    picture = el("svg", el("title", said), parts, viewbox=view, role="img", aria_label=said)
    return el(
        "figure",
        el("figcaption", el("b", f"Plate {plate.name}"), f" {len(screws)} screws", id=f"plan-{number}"),
        picture,
        class_="plan",
    )


def _strut(f: Feature) -> str:
    return f.name.removesuffix(".screw")


def _screw(f: Feature, number: str, size: float) -> list[Markup]:
    x, y, _ = f.origin
    return [
        el("circle", cx=x, cy=-y, r=9 * size, class_="screw", stroke_width=1.2 * size),
        el("text", number, x=x, y=-y + 4.2 * size, font_size=12 * size, text_anchor="middle", class_="number"),
    ]


def _joint(at: tuple[float, float], size: float) -> Markup:
    x, y = at[0], -at[1]
    return el("text", "J", x=x, y=y + 4 * size, font_size=11 * size, text_anchor="middle", class_="joint")


def _box(outline: Outline) -> tuple[tuple[float, float], tuple[float, float]]:
    points = [outline.start, *(p.end for p in outline.pieces), *(p.middle for p in outline.pieces if isinstance(p, Arc))]
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return (min(xs), min(ys)), (max(xs), max(ys))


def _path(outline: Outline) -> str:
    """SVG path data; y points down there."""
    at, told = outline.start, [f"M{outline.start[0]:.3f} {-outline.start[1]:.3f}"]
    for p in outline.pieces:
        if isinstance(p, Arc):
            radius, turn, wide = _arc(at, p)
            told.append(f"A{radius:.3f} {radius:.3f} 0 {wide} {turn} {p.end[0]:.3f} {-p.end[1]:.3f}")
        else:
            told.append(f"L{p.end[0]:.3f} {-p.end[1]:.3f}")
        at = p.end
    return "".join([*told, "Z"])


def _arc(start: tuple[float, float], arc: Arc) -> tuple[float, int, int]:
    """Radius, SVG's sweep flag and large-arc flag of an arc through its middle."""
    (ax, ay), (bx, by), (cx, cy) = start, arc.middle, arc.end
    cross = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
    sides = math.dist(start, arc.middle) * math.dist(arc.middle, arc.end) * math.dist(start, arc.end)
    radius = sides / (2 * abs(cross)) if cross else math.dist(start, arc.end)
    dot = (ax - bx) * (cx - bx) + (ay - by) * (cy - by)  # an angle under 90° at the middle: more than half a turn
    return radius, int(cross < 0), int(dot > 0)
