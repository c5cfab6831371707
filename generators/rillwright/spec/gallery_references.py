"""Names that galleries refer to."""

from __future__ import annotations

from .job import Job
from .load import Loaded, require_known
from .messages import Problem
from .plate import Plate


def gallery_problems(loaded: Loaded[Job], name: str, plate: Plate, loops: list[str]) -> list[Problem | None]:
    """Every gallery of a plate that names what is not there, or what is of another loop."""
    out: list[Problem | None] = []
    ends: dict[str, str | None] = {p.name: p.loop for p in plate.ports}
    ends |= {d.name: d.loop or ends.get(d.start) for d in plate.drillings}
    ends |= {r.name: r.loop for r in loaded.model.reservoirs if name in r.between}
    taken: dict[str, str] = {}
    for i, g in enumerate(plate.galleries):
        here = ("plates", name, "galleries", i)
        if g.loop is not None:
            out.append(require_known(loaded, (*here, "loop"), g.loop, loops, "loop"))
        loop = g.loop or ends.get(g.joins[0])
        for k, j in enumerate(g.joins):
            at = (*here, "joins", k)
            out.append(require_known(loaded, at, j, ends, "port, drilling or reservoir of this plate"))
            other = ends.get(j)
            if other is not None and other != loop:
                what = f"{j!r} belongs to loop {other}, gallery {g.name!r} to loop {loop}"
                out.append(loaded.problem(at, what, do="join what is of one loop only"))
            if j in taken:
                what = f"{j!r} is named twice" if taken[j] == g.name else f"gallery {taken[j]!r} joins {j!r} already"
                out.append(loaded.problem(at, what, do="leave one of them out"))
            taken[j] = g.name
    if plate.galleries and (plate.channels or plate.covers.seal or plate.covers.outer):
        what = "galleries are drilled into plates without milled channels; this one has channels or covers"
        out.append(loaded.problem(("plates", name, "galleries"), what, do="join by channels and passages there"))
    return out
