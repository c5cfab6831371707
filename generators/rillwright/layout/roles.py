"""How the plates that reservoirs clamp stand to each other. Lengths in mm."""

from __future__ import annotations

from ..spec.job import Job
from .collect import Collector
from .outline import Impossible
from .stack import TubeStack


def roles(job: Job, stacks: dict[str, TubeStack], collect: Collector) -> dict[str, tuple[bool, float]]:
    """For each clamped plate: whether its seal face looks up, and the height of that face in the assembly, mm."""
    found: dict[str, tuple[bool, float]] = {}
    for i, r in enumerate(job.reservoirs):
        apart = stacks[r.name].faces_apart
        upper, lower = r.between
        if apart <= 0:
            what = f"struts of {stacks[r.name].strut_length:.2f} mm would put the plates into each other"
            collect.problems.append(Impossible(("reservoirs", i), what, "give a longer tube, or longer struts"))
            continue
        for name, wanted in ((lower, (True, 0.0)), (upper, (False, apart))):
            had = found.setdefault(name, wanted)
            if had[0] != wanted[0]:
                what = f"plate {name!r} is the upper plate of one reservoir and the lower plate of another"
                collect.problems.append(Impossible(("reservoirs", i, "between"), what, "name the upper plate first"))
            elif abs(had[1] - wanted[1]) > 1e-9:
                what = f"it holds the seal faces {apart:g} mm apart, another reservoir on {name!r} {had[1]:g} mm"
                do = "give all reservoirs of a pair of plates the same strut length, channel depth and seat offset"
                collect.problems.append(Impossible(("reservoirs", i, "struts"), what, do))
    return found
