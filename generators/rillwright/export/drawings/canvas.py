"""A surface to draw on, in mm of paper: lines of ISO 128 kinds, fills and lettering. y points up, (0, 0) is lower left."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

Point = tuple[float, float]
Anchor = Literal["left", "middle", "right"]
Kind = Literal["visible", "thin", "hidden", "centre", "cut", "phantom", "hatch"]

# Width and dashes in mm. ISO 128-2 line group 0.35: wide 0.35, narrow 0.18; dashes after its A4 and A3 practice.
LINES: dict[Kind, tuple[float, tuple[float, ...]]] = {
    "hatch": (0.13, ()), "hidden": (0.18, (2.0, 1.0)), "phantom": (0.18, (6.0, 0.8, 0.4, 0.8, 0.4, 0.8)),
    "centre": (0.18, (6.0, 0.8, 0.4, 0.8)), "thin": (0.18, ()), "cut": (0.35, (6.0, 0.8, 0.5, 0.8)),
    "visible": (0.35, ()),
}  # fmt: skip
NARROW = 0.82  # lettering is set this much narrower than the font's own
ADVANCE = 0.602 * NARROW / 0.729  # width of a character over its height: the font is monospaced, capitals 0.729 em


@dataclass(frozen=True, slots=True)
class Label:
    """Lettering: `at` is the anchor on the middle of the height, `height` that of capitals, `angle` in degrees."""

    at: Point
    text: str
    height: float = 2.5
    anchor: Anchor = "middle"
    angle: float = 0.0
    strong: bool = False
    mask: bool = False  # white behind it

    @property
    def width(self) -> float:
        """Length along the line of writing, mm."""
        return len(self.text) * ADVANCE * self.height


class Canvas:
    """What is drawn, as SVG paths by kind of line, and labels, which the page sets as searchable text."""

    def __init__(self, width: float, height: float) -> None:
        self.width, self.height = width, height
        self.paths: dict[Kind, list[str]] = {k: [] for k in LINES}
        self.fills: list[str] = []
        self.labels: list[Label] = []

    def _p(self, p: Point) -> str:
        return f"{p[0]:.3f} {self.height - p[1]:.3f}"

    def line(self, a: Point, b: Point, kind: Kind = "thin") -> None:
        self.paths[kind].append(f"M{self._p(a)}L{self._p(b)}")

    def polyline(self, points: Sequence[Point], kind: Kind = "thin", closed: bool = False) -> None:
        self.paths[kind].append("M" + "L".join(map(self._p, points)) + ("Z" if closed else ""))

    def circle(self, centre: Point, radius: float, kind: Kind = "thin") -> None:
        self.arc(centre, radius, 0, 180, kind)
        self.arc(centre, radius, 180, 360, kind)

    def arc(self, centre: Point, radius: float, start: float, end: float, kind: Kind = "thin") -> None:
        """Counter-clockwise from `start` to `end`, degrees."""
        a, b = (
            (centre[0] + radius * math.cos(math.radians(t)), centre[1] + radius * math.sin(math.radians(t)))
            for t in (start, end)
        )
        large = int((end - start) % 360 > 180)
        self.paths[kind].append(f"M{self._p(a)}A{radius:.3f} {radius:.3f} 0 {large} 0 {self._p(b)}")

    def fill(self, points: Sequence[Point], colour: Literal["black", "white", "grey"] = "black") -> None:
        shade = {"black": "#000", "white": "#fff", "grey": "#ddd"}[colour]
        self.fills.append(f'<path d="M{"L".join(map(self._p, points))}Z" fill="{shade}"/>')

    def label(
        self, at: Point, text: str, height: float = 2.5, anchor: Anchor = "middle", angle: float = 0.0,
        strong: bool = False, mask: bool = False,
    ) -> None:  # fmt: skip
        self.labels.append(Label(at, text, height, anchor, angle, strong, mask))

    def add(self, labels: Iterable[Label]) -> None:
        self.labels.extend(labels)

    def svg(self) -> str:
        """The lines without the lettering."""
        parts = []
        for kind, (width, dashes) in LINES.items():
            if self.paths[kind]:
                dash = f' stroke-dasharray="{" ".join(f"{d:g}" for d in dashes)}"' if dashes else ""
                parts.append(f'<path d="{"".join(self.paths[kind])}" stroke-width="{width:g}"{dash}/>')
        size = f'width="{self.width:g}mm" height="{self.height:g}mm" viewBox="0 0 {self.width:g} {self.height:g}"'
        lines = f'<g fill="none" stroke="#000" stroke-linecap="round" stroke-linejoin="round">{"".join(parts)}</g>'
        return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{lines}{"".join(self.fills)}</svg>'

    def data(self) -> dict[str, Any]:
        """For the page maker: sizes in mm, y down from the top."""
        shift = {"left": 0.0, "middle": 0.5, "right": 1.0}
        labels = [
            {"x": v.at[0], "y": self.height - v.at[1], "s": v.text, "h": v.height, "a": -v.angle, "w": v.width,
             "shift": shift[v.anchor], "strong": v.strong, "mask": v.mask}
            for v in self.labels if v.text
        ]  # fmt: skip
        return {"width": self.width, "height": self.height, "svg": self.svg(), "labels": labels}
