"""Why galleries cannot be drilled, and changes that were tried and let them be drilled. Lengths in mm."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import islice

from ...spec.job import Job
from .expand import Misjoined, chosen_for, opened
from .pick import NoSet
from .room import Room
from .trees import levels, trees
from .wanted import Wanted

SHOWN = 3  # things in the way that are named
THICKER = (5.0, 10.0)  # mm of sheet tried beside the given one
ENOUGH = 2  # changes that are named


def explained(job: Job, name: str, e: NoSet) -> tuple[str, str]:
    """What was tried and what stands in the way; what to do."""
    room, every = opened(job, name)
    asked = [w for w in every if w.name in e.galleries]
    what = _alone(room, asked[0]) if len(asked) == 1 else _together(asked)
    works = (words for words, changed in _changes(job, name, e.galleries) if _works(changed, name, e.galleries))
    cured = list(islice(works, ENOUGH))
    if cured:
        return what, f"tried, and lets {'it' if len(asked) == 1 else 'them'} be drilled: {'; or '.join(cured)}"
    return what, "move what it joins or what stands in the way; other drills, all edges and thicker sheet did not help"


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _alone(room: Room, w: Wanted) -> str:
    ends, tool = _listed(list(w.joins)), f"Ø{w.diameter:g}"
    at = levels(room, w)
    if not at and w.sides:
        depths = " and ".join(f"{s.name} at z {s.z:g}" for s in w.sides)
        return f"all runs of a gallery lie on one level, and its ports in edges do not: {depths}"
    if not at:
        return (f"a plate of {room.plate.thickness:g} mm has no level for drillings of {tool} "
                f"with {room.limits.wall_outside:g} mm of wall on both sides")  # fmt: skip
    room.blocked.pop(w.name, None)
    trees(room, w, 1)
    most = [f"{n} ({k} times)" for n, k in room.blocked.get(w.name, Counter()).most_common(SHOWN)]
    there = _listed([f"{z:g}" for z in at])
    what = f"none of the trees of {tool} drillings listed on z {there} joins {ends}"
    return f"{what}; most often in the way: {', '.join(most)}" if most else f"{what}: no level reaches them all"


def _together(asked: list[Wanted]) -> str:
    names = _listed([w.name for w in asked])
    if len(asked) == 2:
        a, b = asked[0].name, asked[1].name
        return f"none of the drillings listed for {a} keep their wall from any of {b}, though each can be drilled alone"
    return f"each two of {names} can be drilled, but of the listed drillings no set serves all of them"


def _changes(job: Job, name: str, who: tuple[str, ...]) -> Iterator[tuple[str, Job]]:
    plate = job.plates[name]
    asked = [g for g in plate.galleries if g.name in who]

    def with_galleries(**change: object) -> Job:
        new = [g.model_copy(update=change) if g.name in who else g for g in plate.galleries]
        return _with(job, name, galleries=new)

    least = min(g.diameter for g in asked)
    for d in (least - 1, least - 2, least + 2):
        if d >= 4:
            yield f"drillings of {d:g} mm", with_galleries(diameter=d)
    if any(g.edges is not None for g in asked):
        yield "plugs in all edges", with_galleries(edges=None)
    if any(g.level is not None for g in asked):
        yield "level left out", with_galleries(level=None)
    if any(g.plug != "G1/8" for g in asked):
        yield "plugs G1/8", with_galleries(plug="G1/8")
    for more in THICKER:
        thick = plate.stock.thickness + more
        yield f"sheet of {thick:g} mm", _with(job, name, stock=plate.stock.model_copy(update={"thickness": thick}))


def _with(job: Job, name: str, **change: object) -> Job:
    return job.model_copy(update={"plates": {**job.plates, name: job.plates[name].model_copy(update=change)}})


def _works(job: Job, name: str, who: tuple[str, ...]) -> bool:
    from ..job import LayoutError

    try:
        chosen_for(job, name, who)
    except (LayoutError, Misjoined, NoSet):
        return False
    return True
