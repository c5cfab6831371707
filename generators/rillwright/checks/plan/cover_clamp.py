"""Do a cover's screws keep it on its body against cord and coolant? One case for each cover: its hardest worked screw."""

from __future__ import annotations

from ...layout.job_layout import JobLayout
from ...spec.job import Limits
from ..finding import Outcome
from ..report import Case, graded

METHOD = "cord force by Lindley and Gent; pressure over the groove's inside; sustained stress under the heads"


def cover_clamp(layout: JobLayout, limits: Limits) -> Outcome:
    """Settled preload of the screw over what parts the joint there, the cord by the formula's force.

    An error where even the whole preload, not yet settled, is less than that; else a warning below the limit.
    """
    told = []
    for h in layout.cover_holds:
        what = (f"{h.thread} tightened to {h.torque:.2f} N·m keeps {h.settled:.0f} N once settled; cord {h.cord:.0f} N "
                f"({h.cord_upper:.0f} N by its published upper band) and coolant {h.pressure:.0f} N part the joint; "
                f"{h.weakest} bears no more")  # fmt: skip
        remedy = f"take {', or '.join((*h.cures, 'a softer or thinner cord'))}"
        case = Case(h.cover, (h.screw,), h.settled / h.load, limits.separation, what, remedy, ((*h.at, 0.0),))
        told.append((case, h.preload < h.load))
    return graded("cover.clamp", told, METHOD)
