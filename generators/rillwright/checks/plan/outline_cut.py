"""Can the outline of each plate be cut: its hollow corners, and the sheet's thickness, against the job's cutters."""

from __future__ import annotations

from collections.abc import Sequence

from ...layout.features import PlateLayout
from ...layout.strokes import hollow, tightest_hollow
from ...spec.machine import Machine
from ..finding import Outcome
from ..report import Case, outcome

OUTLINE = ("outline",)
METHOD = "arcs and corners of the outline"


def corners(plates: Sequence[PlateLayout], machine: Machine) -> list[Case]:
    """The tightest hollow corner of each outline against the thinnest cutter; a plate without any is no case."""
    least = min(c.diameter for c in machine.cutters)
    what = "no cutter of the list goes into a hollow corner of the outline"
    remedy = f"round it by {least / 2:g} mm or more in outline.polygon, or add a thinner cutter"
    return [Case(p.name, OUTLINE, hollow(p.outline), least, what, remedy, ((*at, 0.0),))
            for p in plates if (at := tightest_hollow(p.outline)) is not None]  # fmt: skip


def outline_check(plates: Sequence[PlateLayout], machine: Machine) -> Outcome:
    """Reach of the longest cutter that goes round each outline against the sheet; a saw does it too, so it only warns."""
    cases = []
    for p in plates:
        fit = [c.reach for c in machine.cutters if c.diameter <= hollow(p.outline) + 1e-9]
        if not fit:
            continue  # the corner's finding says it
        what = f"no cutter that goes round its outline reaches through {p.thickness:g} mm"
        both = max(fit) >= p.thickness / 2
        halves = ", cut half of it from each face" if both else ""
        remedy = f"add a cutter with a reach of {p.thickness:g} mm{halves}, or saw it out and mill its edges"
        cases.append(Case(p.name, OUTLINE, max(fit), p.thickness, what, remedy, ((*p.outline.start, 0.0),)))
    return outcome("machining.outline", cases, METHOD, "warning")
