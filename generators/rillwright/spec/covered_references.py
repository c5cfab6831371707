"""Names that channels, passages and covers refer to, and loops that they would join by mistake."""

from __future__ import annotations

from .job import Job
from .load import Loaded, require_known
from .messages import Problem
from .plate import Plate

SUFFIXES = ("cover", "outer-cover")


def covered_problems(loaded: Loaded[Job], name: str, plate: Plate, loops: list[str]) -> list[Problem | None]:
    """Every channel and passage of a plate that names what is not there, or what is of another loop."""
    out: list[Problem | None] = []
    ends: dict[str, str | None] = {p.name: p.loop for p in plate.ports}
    ends |= {d.name: d.loop or ends.get(d.start) for d in plate.drillings}
    ends |= {p.name: p.loop for p in plate.passages}
    for i, p in enumerate(plate.passages):
        out.append(require_known(loaded, ("plates", name, "passages", i, "loop"), p.loop, loops, "loop"))
    for i, c in enumerate(plate.channels):
        here = ("plates", name, "channels", i)
        out.append(require_known(loaded, (*here, "loop"), c.loop, loops, "loop"))
        for k, j in enumerate(c.joins):
            if not isinstance(j, str):
                continue
            out.append(require_known(loaded, (*here, "joins", k), j, ends, "port, drilling or passage"))
            other = ends.get(j)
            if j in ends and other is not None and other != c.loop:
                what = f"{j!r} belongs to loop {other}, channel {c.name!r} to loop {c.loop}"
                out.append(loaded.problem((*here, "joins", k), what, do="join what is of one loop only"))
            if j in c.joins[:k]:
                out.append(loaded.problem((*here, "joins", k), f"{j!r} is named twice", do="leave one of them out"))
    joined = {j for c in plate.channels for j in c.joins if isinstance(j, str)}
    for i, q in enumerate(plate.ports):
        if q.on in SUFFIXES and q.name not in joined:
            what = f"port {q.name!r} goes through the cover, and no channel joins it"
            out.append(loaded.problem(("plates", name, "ports", i), what, do="name it under joins of a channel"))
    return out


def covered_taken(loaded: Loaded[Job]) -> list[Problem | None]:
    """Plates whose name is that of another plate's cover."""
    out: list[Problem | None] = []
    for name, plate in loaded.model.plates.items():
        for face, suffix in zip(("seal", "outer"), SUFFIXES, strict=True):
            other = f"{name}-{suffix}"
            if other in loaded.model.plates and getattr(plate.covers, face) is not None:
                what = f"the cover of {name!r} has this name"
                out.append(loaded.problem(("plates", other), what, got=other, do="give the plate a name of its own"))
    return out
