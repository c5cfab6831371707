"""Why galleries cannot be drilled: what stands in the way of which drilling, and by how much. Lengths in mm."""

from __future__ import annotations

from ...spec.job import Job
from .bores import Bore
from .cures import cured, least_sheet
from .expand import opened, solved
from .nearly import Nearly, crossing, nearly
from .pick import MANY, NoSet
from .room import DRILL, HAIR, Room
from .trees import levels, rise, trees
from .wanted import Upright, Wanted

SHOWN = 3  # levels that are told of


def explained(job: Job, name: str, e: NoSet) -> tuple[str, str]:
    """What was tried and what stands in the way; what to do."""
    room, every = opened(job, name)
    asked = [w for w in every if w.name in e.galleries]
    near = nearly(room, asked[0]) if len(asked) == 1 else []
    if len(asked) == 1:
        what = _alone(room, asked[0], near)
    elif len(asked) == 2:
        what, near = _two(room, *asked)
    else:
        what = _together(job, name, asked)
    found = cured(job, name, e.galleries, near[0] if near else None)
    if found:
        return what, f"tried, and lets {'it' if len(asked) == 1 else 'them'} be drilled: {'; or '.join(found)}"
    return what, "move what it joins or what stands in the way; other drills, less wall and thicker sheet did not help"


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _alone(room: Room, w: Wanted, near: list[Nearly]) -> str:
    ends, tool = _listed(list(w.joins)), f"Ø{w.diameter:g}"
    at = levels(room, w)
    if not at and w.sides:
        depths = " and ".join(f"{s.name} at z {s.z:g}" for s in w.sides)
        return f"all runs of a gallery lie on one level, and its ports in edges do not: {depths}"
    if not at:
        wall, (bare, plugged) = room.limits.wall_outside, least_sheet(room, w)
        return (f"a plate of {room.plate.thickness:g} mm has no level for drillings of {tool} with {wall:g} mm of wall on "
                f"both sides: they take {bare:g} mm, and {plugged:g} mm where a plug {w.plug.thread} closes "
                "them")  # fmt: skip
    if near:
        lacks = "; ".join(f"on z {n.z:g} {_short(room, w, n)}" for n in near[:SHOWN])
        return f"none of the trees of {tool} drillings listed joins {ends}, and those that lack least: {lacks}"
    there = _listed([f"z {z:g}" for z in at])
    missed = [f"{u.name} is met {_met(u)}" for u in w.uprights if any(rise(u, z) is None for z in at)]
    why = _listed(missed) if missed else "no edge or port lets a drilling in that comes past them all"
    return f"no level reaches all of {ends}: runs can lie on {there}, and {why}"


def _met(u: Upright) -> str:
    """Levels at which an upright end is met."""
    words = [] if u.span is None else [f"between z {u.span[0]:g} and {u.span[1]:g}"]
    if u.start:
        words.append(f"{'below' if u.down else 'above'} z {u.bottom:g}")
    return " or ".join(words) or "nowhere: it is too shallow"


def _short(room: Room, w: Wanted, n: Nearly) -> str:
    bore = told(n.bore)
    if n.who == DRILL:
        return f"{bore} is {n.lack:.2f} mm longer than a drill of Ø{w.diameter:g} may be"
    loops = {f.name: f.loop for f in room.owners if f.loop}
    of = f" of loop {loops[n.who]}" if n.who in loops else ""
    return f"{bore} lacks {n.lack:.2f} mm of wall to {n.who + of or 'another of its own drillings'}"


def told(b: Bore) -> str:
    """A drilling in words, by where it begins and where it lies."""
    x, y, _ = b.start
    if b.kind == "riser":
        return f"the riser of {b.meets} at x {x:g}, y {y:g}"
    across = f"y {y:g}" if abs(b.end[0] - x) > HAIR else f"x {x:g}"
    return f"the drilling from {b.source} at {across}" if b.entry else f"the drilling on from port {b.source}"


def _two(room: Room, v: Wanted, w: Wanted) -> tuple[str, list[Nearly]]:
    found = crossing(room, v, trees(room, v, MANY), w, trees(room, w, MANY))
    first, second = (f"{told(b)}, z {b.end[2]:g}" for b in (found.first, found.second))
    what = (f"none of the drillings listed for {v.name} keep their wall from any of {w.name}, though each can be drilled "
            f"alone: of the pair that lacks least, {first}, and {second}, come {found.lack:.2f} mm too near to each "
            "other")  # fmt: skip
    return what, [Nearly(found.first.end[2], found.lack, "", found.first)]


def _together(job: Job, name: str, asked: list[Wanted]) -> str:
    names = [w.name for w in asked]
    what = f"each two of {_listed(names)} can be drilled, but of the listed drillings no set serves all of them"
    spare = [n for n in names if solved(job, name, tuple(v for v in names if v != n))]
    return f"{what}; without {' or without '.join(spare)} the others can" if spare else what
