"""HTML and SVG as nested calls: every text and attribute is escaped unless it is markup itself."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape
from typing import TypeAlias

VOID = frozenset({"br", "col", "hr", "img", "input", "meta"})


class Markup(str):
    """Text that is markup already. Only `el` and `raw` make it."""

    __slots__ = ()


Child: TypeAlias = "str | float | Markup | Iterable[Child] | None"


def el(name: str, /, *children: Child, **attributes: str | float | bool | None) -> Markup:
    """An element. `class_` is class, `stroke_width` is stroke-width; True writes a bare attribute, None and False none."""
    told = "".join(_attribute(k, v) for k, v in attributes.items() if v is not None and v is not False)
    if name in VOID:
        return Markup(f"<{name}{told}>")
    return Markup(f"<{name}{told}>{text(children)}</{name}>")


def text(child: Child) -> Markup:
    """A child or children as markup."""
    if child is None:
        return Markup("")
    if isinstance(child, Markup):
        return child
    if isinstance(child, str):
        return Markup(escape(child, quote=True))
    if isinstance(child, (int, float)):
        return Markup(f"{child:g}")
    return Markup("".join(text(c) for c in child))


def _attribute(key: str, value: str | float | bool) -> str:
    name = key.rstrip("_").replace("_", "-")
    name = {"viewbox": "viewBox", "patternunits": "patternUnits", "patterntransform": "patternTransform"}.get(name, name)
    if value is True:
        return f" {name}"
    shown = f"{value:g}" if isinstance(value, (int, float)) else escape(str(value), quote=True)
    return f' {name}="{shown}"'


def raw(markup: str) -> Markup:
    """Markup of our own files; never for anything that a parameter file can say."""
    return Markup(markup)


def sentence(told: str) -> str:
    """Words of a record as a sentence: a capital at the front, a full stop at the end."""
    return f"{told[:1].upper()}{told[1:].rstrip('.')}."


def table(
    head: Iterable[Child], rows: Iterable[Iterable[Child]], caption: str, numbers: frozenset[int] = frozenset()
) -> Markup:
    """A table with a caption; columns in `numbers` (from 0) are set as figures, the first column heads its rows."""
    top = [el("th", h, scope="col", class_="n" if i in numbers else None) for i, h in enumerate(head)]
    body = [
        el(
            "tr",
            [
                el("th", c, scope="row") if i == 0 else el("td", c, class_="n" if i in numbers else None)
                for i, c in enumerate(row)
            ],
        )
        for row in rows
    ]
    inside = el("table", el("caption", caption), el("thead", el("tr", top)), el("tbody", body))
    return el("div", inside, class_="wide", tabindex=0, role="region", aria_label=caption)
