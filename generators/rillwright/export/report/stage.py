"""The stage in the document: the place of the picture, its controls, and the list of parts with their ticks."""

from __future__ import annotations

from collections.abc import Sequence

from ...layout.job_layout import JobLayout
from .flow_places import Pose
from .markup import Markup, el
from .scene import Part
from .swatch import swatch

KEYS = (
    "Arrow keys turn the view, with Shift they shift it; plus and minus bring it nearer and farther, Home shows all. "
    "While a distance is taken, Enter takes the point under the cross."
)
HOW = (
    "Drag to turn, with two fingers or the right button to shift; the wheel brings it nearer. "
    "The lists lead to places here."
)
VIEWS = ("corner", "above", "below", "front", "back", "left", "right")
CUTS = (("", "whole"), ("x", "across the length"), ("y", "across the depth"), ("z", "level"))
DRAWN = {"edges": True, "names": True, "findings": True, "joints": False, "flow": False, "pockets": False}
GROUPS = (
    ("plate", "Plates"),
    ("coolant", "Coolant"),
    ("tube", "Tubes"),
    ("strut", "Struts"),
    ("cord", "Cords"),
    ("screw", "Screws"),
    ("insert", "Inserts"),
    ("nut", "Nuts"),
    ("plug", "Plugs"),
    ("room", "Room of mounted parts"),
)


def stage(poses: Sequence[Pose] = ()) -> Markup:
    """Picture and controls; the controls wake up when the script has drawn. `poses`: ways in which all of it can stand."""
    view = el(
        "div",
        el("noscript", "The picture needs JavaScript; everything else is on this page."),
        el("span", class_="cross"),
        id="stage-view",
    )
    return el(
        "section",
        el("h2", "The parts in three dimensions", class_="unseen"),
        view,
        el("p", HOW, id="stage-told", role="status", aria_live="polite"),
        el("p", KEYS, id="stage-keys", class_="unseen"),
        el("div", _look(), _cut(), _reveal(), _tools(), _standing(poses), class_="controls"),
        id="stage",
    )


def _look() -> Markup:
    buttons = [el("button", v, type="button", data_view=v, disabled=True) for v in VIEWS]
    return el("fieldset", el("legend", "Look from"), buttons, class_="look")


def _cut() -> Markup:
    radios = [
        el("label", el("input", type="radio", name="cut-axis", value=v, checked=v == "", disabled=True), el("span", w))
        for v, w in CUTS
    ]
    where = el(
        "label",
        el("span", "at "),
        el("output", id="cut-told"),
        el("input", type="range", id="cut-at", min=0, max=1, step=0.1, disabled=True, aria_label="Place of the cut"),
        class_="slide",
    )
    flip = el("label", el("input", type="checkbox", id="cut-flip", disabled=True), el("span", "keep the other half"))
    return el("fieldset", el("legend", "Cut open"), el("div", radios, flip, class_="row"), where, class_="cut")


def _reveal() -> Markup:
    return el(
        "fieldset",
        el("legend", "Lay open"),
        _slide("apart", "pulled apart ", 0),
        _slide("clear", "clear parts ", 70),
        class_="reveal",
    )


def _slide(name: str, said: str, value: int) -> Markup:
    return el(
        "label",
        el("span", said),
        el("output", f"{value} %", id=f"{name}-told"),
        el("input", type="range", id=name, min=0, max=100, step=1, value=value, disabled=True),
        class_="slide",
    )


def _tools() -> Markup:
    ticks = [
        el("label", el("input", type="checkbox", id=f"tick-{name}", checked=on, disabled=True), el("span", name))
        for name, on in DRAWN.items()
    ]
    take = el("button", "take a distance", type="button", id="measure", aria_pressed="false", disabled=True)
    return el("fieldset", el("legend", "Drawn with"), el("div", ticks, class_="row"), take, class_="tools")


def _standing(poses: Sequence[Pose]) -> Markup | None:
    """Nothing where the only way to stand is the one that is drawn."""
    drawn = next((p for p in poses if p.as_drawn), None)
    turned = [p for p in poses if p is not drawn]
    if not turned:
        return None
    ways = [(drawn.key, f"as drawn: {drawn.said}") if drawn else ("", "as drawn"), *((p.key, p.said) for p in turned)]
    radios = [
        el("label", el("input", type="radio", name="pose", value=k, checked=i == 0, disabled=True), el("span", said))
        for i, (k, said) in enumerate(ways)
    ]
    return el("fieldset", el("legend", "Standing"), el("div", radios, class_="row"), class_="standing")


def parts_list(layout: JobLayout, shown: Sequence[Part]) -> Markup:
    """Every part by name with two ticks: on the stage, and clear."""
    groups = []
    for kind, title in [*GROUPS, *((k, k) for k in dict.fromkeys(p.kind for p in shown) if k not in dict(GROUPS))]:
        mine = [p for p in shown if p.kind == kind]
        if mine:
            groups.append(_group(layout, title, mine))
    held = {loop for p in shown if p.kind == "coolant" for loop in p.loop.split(", ")}
    lost = [n for n in layout.loops if n not in held]
    said = "Tick what stands on the stage, and what one can look through."
    if any(p.kind == "room" for p in shown):
        said += " The room of a mounted part is what its foot print takes up, no part of any plate; it is not cut open."
    if lost:
        said += f" No closed space was found for the coolant of {', '.join(lost)}; it is not drawn."
    hint = el("p", said, class_="key")
    return el("section", el("h2", "Parts"), hint, groups, id="parts")


def _group(layout: JobLayout, title: str, mine: Sequence[Part]) -> Markup:
    clear = mine[0].colour[3] < 1
    head = el(
        "div",
        el("b", title),
        el("span", f" {len(mine)}", class_="count"),
        _tick("shown", True, f"{title}: all shown", data_group=title, data_does="shown"),
        _tick("clear", clear, f"{title}: all clear", data_group=title, data_does="clear"),
        class_="head",
    )
    rows = el("ul", [_row(layout, title, p) for p in mine])
    if len(mine) > 6:
        rows = el("details", el("summary", "each of them"), rows)
    return el("div", head, rows, class_="group")


def _row(layout: JobLayout, title: str, p: Part) -> Markup:
    facts = " · ".join(t for t in (p.material, p.note, f"loop {p.loop}" if p.loop and p.kind != "coolant" else "") if t)
    name = el(
        "span",
        swatch(layout, p.loop) if p.loop else None,
        el("span", p.name, class_="name"),
        el("span", facts, class_="about"),
    )
    return el(
        "li",
        name,
        _tick("shown", True, f"{p.name}: shown", data_part=p.name, data_of=title, data_does="shown"),
        _tick("clear", p.colour[3] < 1, f"{p.name}: clear", data_part=p.name, data_of=title, data_does="clear"),
    )


def _tick(said: str, on: bool, label: str, **data: str) -> Markup:
    box = el("input", type="checkbox", checked=on, disabled=True, aria_label=label, **data)
    return el("label", box, el("span", said, aria_hidden="true"), class_="tick")
