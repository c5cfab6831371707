"""Is each piece of tubing led from loop to the same loop, and does it leave its ports without a sharp turn?"""

from __future__ import annotations

from ...layout.features import JobLayout
from ...layout.runs import Run
from ..finding import Outcome
from ..report import Case, outcome

METHOD = "places and ways out of the ports in the machine"


def run_checks(layout: JobLayout) -> list[Outcome]:
    """Outcomes on tubing; none for a job without any."""
    if not layout.runs:
        return []
    return [
        outcome("run.loops", [_loops(r) for r in layout.runs], METHOD),
        outcome("run.angle", [_angle(r) for r in layout.runs], METHOD, severity="note"),
    ]


def _loops(r: Run) -> Case:
    return Case(
        "assembly", (r.start, r.end), len(set(r.loops)), 1, f"it would join loops {' and '.join(r.loops)}",
        "lead it to a port of its own loop", r.places, tuple(sorted(set(r.loops))), at_most=True,
    )  # fmt: skip


def _angle(r: Run) -> Case:
    worst = max(r.angles)
    return Case(
        "assembly", (r.start, r.end), worst, 90.0,
        f"straight tubing of {r.straight:.1f} mm would leave a port backwards; it has to be bent or led round",
        "turn one of the parts, take an elbow fitting, or bend the tube", r.places, at_most=True,
    )  # fmt: skip
