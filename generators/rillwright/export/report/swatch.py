"""A loop's sign: its tint under its hatch, as an SVG that stands beside its name; and the hatches themselves."""

from __future__ import annotations

from ...layout.job_layout import JobLayout
from .markup import Markup, el
from .tints import css, hatch_of, tint_of

_STROKES = {  # size of the tile, then its strokes as path data
    "dots": (7, "M3.5 3.5h0.01"),
    "level": (6, "M0 3H6"),
    "crossed": (8, "M0 0L8 8M8 0L0 8"),
    "upright": (6, "M3 0V6"),
    "dashes": (10, "M0 2H6M5 7H10M0 7H1"),
    "squares": (8, "M0 4H8M4 0V8"),
    "rising": (8, "M0 8L8 0M-2 2L2 -2M6 10L10 6"),
    "falling": (8, "M0 0L8 8M-2 6L2 10M6 -2L10 2"),
}


def definitions(layout: JobLayout) -> Markup:
    """One hidden SVG with a pattern for each loop, and the hatch of forbidden ranges."""
    patterns = [
        _pattern(f"loop-{i}", hatch_of(layout, loop), css(tint_of(layout, loop))) for i, loop in enumerate(layout.loops)
    ]
    patterns.append(_pattern("forbidden", "rising", "#ecd9d5"))
    return el("svg", el("defs", patterns), width=0, height=0, aria_hidden="true", class_="unseen")


def fill_of(layout: JobLayout, loop: str) -> str:
    """The paint of a loop in any SVG of the page; grey for what is no loop of the job."""
    names = list(layout.loops)
    return f"url(#loop-{names.index(loop)})" if loop in names else css(tint_of(layout, ""))


def swatch(layout: JobLayout, loop: str) -> Markup:
    """A small square of the loop's paint."""
    square = el("rect", x=0.5, y=0.5, width=21, height=13, fill=fill_of(layout, loop), stroke="#18222c")
    return el("svg", square, viewbox="0 0 22 14", class_="swatch", aria_hidden="true")


def _pattern(name: str, hatch: str, ground: str) -> Markup:
    size, strokes = _STROKES.get(hatch, (8, ""))
    lines = el(
        "path",
        d=strokes,
        stroke="#18222c",
        stroke_width=2.6 if hatch == "dots" else 1.3,
        stroke_linecap="round",
        fill="none",
        opacity=0.55,
    )
    return el(
        "pattern",
        el("rect", width=size, height=size, fill=ground),
        lines,
        id=name,
        width=size,
        height=size,
        patternunits="userSpaceOnUse",
    )
