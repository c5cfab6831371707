"""Is each piece of tubing led from loop to the same loop, and does it leave its ports without a sharp turn?"""

from __future__ import annotations

from ...layout.job_layout import JobLayout
from ...layout.nets import assemblies
from ...layout.runs import Run
from ..finding import Outcome
from ..report import Case, outcome

METHOD = "places and ways out of the ports in the machine"


def run_checks(layout: JobLayout) -> list[Outcome]:
    """Outcomes on tubing; none for a job without any."""
    found = _placed(layout)
    if not layout.runs:
        return found
    return [
        *found,
        outcome("run.loops", [_loops(r) for r in layout.runs], METHOD),
        outcome("run.angle", [_angle(r) for r in layout.runs], METHOD, severity="note"),
    ]


def _placed(layout: JobLayout) -> list[Outcome]:
    """A word where several assemblies stand at one origin: nothing is said then of whether they clash."""
    every = assemblies(layout)
    if len(every) < 2 or layout.stances:
        return []
    names = tuple(a.plates[0].name for a in every)
    what = "these assemblies all stand where they were built, one in another: whether they clash was not asked"
    return [outcome("parts.placed", [Case("assembly", names, len(every), 1, what, "say under place: where each stands",
                                          at_most=True)], METHOD, severity="note")]  # fmt: skip


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
