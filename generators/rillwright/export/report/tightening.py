"""Screws and the order in which they are tightened, as a plan of each plate with numbers, and the torques beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from ...checks.plan.clamp_record import STEPS
from ...layout.features import Feature, PlateLayout
from ...layout.job_layout import JobLayout
from ...layout.tightening import outwards
from .markup import Markup, el, sentence, table
from .plan_lines import box, outline_path, pockets

KEY = "Seen from above. Tighten in the order of the numbers, round after round. J marks the joint of a cord."
COVERS = "A cover's screws are drawn down from the middle outwards, crosswise: all of them by hand first, then in rounds."


@dataclass(frozen=True, slots=True)
class Ordered:
    """Screws of one plate with their numbers."""

    plate: PlateLayout
    screws: tuple[tuple[Feature, str], ...]


def tightening(layout: JobLayout, records: Sequence[dict[str, Any]]) -> Markup:
    """One plan a plate that has screws with an order, and one table for all."""
    tubes, covers = _by_records(layout, records), _covers(layout)
    title = el("h2", "Tightening")
    if not tubes and not covers:
        return el("section", title, el("p", "No screw of this job has a tightening order."), id="tightening")
    plans = [_plan(layout, o) for o in (*tubes, *covers)]
    again = [el("p", sentence(t)) for t in dict.fromkeys(c["tightening"].get("again", "") for c in records) if t]
    torques = _torques(layout, records) if records or layout.cover_holds else None
    told = el("p", COVERS, class_="key") if covers else None
    return el("section", title, el("p", KEY, class_="key"), told, plans, torques, again, id="tightening")


def _by_records(layout: JobLayout, records: Sequence[dict[str, Any]]) -> list[Ordered]:
    number = {name: str(i) for c in records for i, name in enumerate(c["tightening"]["order"], 1)}
    found = []
    for p in layout.plates:
        screws = tuple((f, number[n]) for f in p.features if (n := f.name.removesuffix(".screw")) in number)
        if screws:
            found.append(Ordered(p, screws))
    return found


def _covers(layout: JobLayout) -> list[Ordered]:
    """Screwed covers: the holes of the cover that a screw of its body goes through."""
    named = {h.name for h in layout.hardware if h.kind == "screw"}
    found = []
    for p in layout.plates:
        mine = [f for f in p.features if p.cover_of and f"{p.cover_of}.{f.name}" in named]
        order = outwards([f.origin[:2] for f in mine])
        if mine:
            found.append(Ordered(p, tuple((mine[k], str(i)) for i, k in enumerate(order, 1))))
    return found


def _torques(layout: JobLayout, records: Sequence[dict[str, Any]]) -> Markup:
    rounds = max([len(STEPS), *(len(c["tightening"]["steps"]) for c in records)])
    rows = []
    for c in records:
        steps = [f"{t:.2f}" for t in c["tightening"]["steps"]]
        order = " → ".join(n.rpartition("-")[2] for n in c["tightening"]["order"])
        screw = c["plates"][0]["screw"] if c.get("plates") else ""
        rows.append((c["reservoir"], screw, order, *steps, *[""] * (rounds - len(steps))))
    for h in layout.cover_holds:
        steps = [f"{share * h.torque:.2f}" for share in STEPS]
        rows.append((h.cover, h.thread, f"1 to {h.number}", *steps, *[""] * (rounds - len(steps))))
    head = ("Seal", "Screw", "Order", *(f"Round {i} N·m" for i in range(1, rounds + 1)))
    return table(head, rows, "Torque of each round", frozenset(range(3, 3 + rounds)))


def _plan(layout: JobLayout, o: Ordered) -> Markup:
    plate = o.plate
    low, high = box(plate.outline)
    wide, deep = high[0] - low[0], high[1] - low[1]
    size = max(wide, 2.2 * deep) / 560  # mm for each unit that a letter is measured in
    parts = [el("path", d=outline_path(plate.outline), class_="plate", stroke_width=1.4 * size)]
    parts += pockets(_milled(layout, plate), size)
    parts += [h for f in plate.features if f.face in ("seal", "outer") and (h := _hole(f, size))]
    small = 9 if len(o.screws) <= 12 else 7.5
    parts += [m for f, n in o.screws for m in _screw(f, n, size, small)]
    owners = (plate.name, plate.cover_of)
    parts += [_joint(r.joint, size) for r in layout.rings if r.plate in owners]
    pad = 12 * size
    order = ", ".join(f"{n} {f.name.removesuffix('.screw')}" for f, n in sorted(o.screws, key=lambda s: int(s[1])))
    view = f"{low[0] - pad:g} {-high[1] - pad:g} {wide + 2 * pad:g} {deep + 2 * pad:g}"
    picture = el("svg", parts, viewbox=view, role="img", aria_label=f"Plate {plate.name}, order of the screws: {order}")
    caption = el("figcaption", el("b", f"Plate {plate.name}"), f" {len(o.screws)} screws")
    return el("figure", caption, picture, class_="plan")


def _milled(layout: JobLayout, plate: PlateLayout) -> list[Any]:
    """Its own pockets; under a cover those of the body's face that it closes."""
    covered = {c.cover: (c.body, c.face) for c in layout.covers}.get(plate.name)
    if covered is None:
        return list(plate.pockets)
    body = next((p for p in layout.plates if p.name == covered[0]), plate)
    return [*plate.pockets, *(k for k in body.pockets if k.face == covered[1])]


def _hole(f: Feature, size: float) -> Markup | None:
    x, y, _ = f.origin
    if f.role == "tube-channel":
        return el("circle", cx=x, cy=-y, r=f.radius, class_="tube", stroke_width=size)
    if f.role in ("screw", "mounting", "port"):
        return el("circle", cx=x, cy=-y, r=f.radius, class_="hole", stroke_width=0.7 * size)
    return None


def _screw(f: Feature, number: str, size: float, radius: float) -> list[Markup]:
    x, y, _ = f.origin
    letter = size * (radius + 3 if len(number) == 1 else radius + 1.5)
    told: dict[str, str | float] = {"font_size": letter, "text_anchor": "middle", "class_": "number"}
    return [
        el("circle", cx=x, cy=-y, r=radius * size, class_="screw", stroke_width=1.2 * size),
        el("text", number, x=x, y=-y + 0.36 * letter, **told),
    ]


def _joint(at: tuple[float, float], size: float) -> Markup:
    x, y = at[0], -at[1]
    return el("text", "J", x=x, y=y + 4 * size, font_size=11 * size, text_anchor="middle", class_="joint")
