"""The plan of each body with milled channels, as SVG: what the router answered, grooves and screws over it."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape
from typing import TYPE_CHECKING

from ..layout.features import PlateLayout
from ..layout.pockets import Stroke
from ..layout.routing.picture import path_data, svg

if TYPE_CHECKING:
    from .bundle import Bundle

FACES = ("seal", "outer")


def write_plans(bundle: Bundle) -> None:
    """`NAME-plan.svg` for every body with channels."""
    plates = {p.name: p for p in bundle.layout.plates}
    for plan in bundle.layout.plans:
        body = plates[plan.plate]
        over = {i: "".join(_over(body, face)) for i, face in enumerate(FACES[: plan.problem.levels])}
        drawn = svg(plan.problem, plan.routing, bundle.layout.loops, over)
        (bundle.folder / f"{body.name}-plan.svg").write_text(drawn, encoding="utf-8")


def _over(body: PlateLayout, face: str) -> Iterator[str]:
    """Grooves and screw holes of one face, in the plan's frame."""
    for p in body.pockets:
        if p.role == "groove" and p.face == face and isinstance(p.shape, Stroke):
            data, title = f"{path_data(p.shape.path)} Z", f"<title>{escape(p.name)}</title>"
            yield (f'<path d="{data}" fill="none" stroke="#22282e" stroke-width="{p.shape.width:g}" opacity="0.75">'
                   f"{title}</path>")  # fmt: skip
    for f in body.features:
        if f.role in ("screw", "mounting") and face in f.mouths:
            x, y, r = f.origin[0], f.origin[1], f.radius
            yield (f'<circle cx="{x:.3f}" cy="{y:.3f}" r="{r:.3f}" fill="#ffffff" stroke="#22282e" stroke-width="0.4">'
                   f"<title>{escape(f.name)}</title></circle>")  # fmt: skip
            yield (f'<path d="M{x - r - 1:.2f} {y:.2f} H{x + r + 1:.2f} M{x:.2f} {y - r - 1:.2f} V{y + r + 1:.2f}" '
                   f'stroke="#22282e" stroke-width="0.2"/>')  # fmt: skip
