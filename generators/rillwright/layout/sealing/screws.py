"""The fewest screws along closed grooves: none further from the next along the seal than the pitch, evenly spaced.

A cyclic shortest path over places every millimetre; a screw that serves two grooves counts once. Where a stretch
of groove longer than the pitch has no place at all, that stretch is the proof that it cannot be done.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

from ..features import Outline
from ..pockets import Path, Point2
from .choice import Chooser, Stretch
from .obstacles import Obstacle
from .places import EDGE, GROOVE, Room, Track, blockers, candidates, grid, track
from .ring import InTheWay

ROUNDING = 0.02  # mm of the pitch kept back for the sampling along arcs


@dataclass(frozen=True)
class Screws:
    """Places of screws in plan, the given ones first, and the gaps between neighbours along each groove, mm."""

    at: tuple[Point2, ...]
    gaps: tuple[tuple[float, ...], ...]  # one row per ring
    chooser: Chooser = field(repr=False, compare=False)

    @cached_property
    def bound(self) -> int:
        """No fewer screws than this can do. Proved when it is asked for: where grooves share screws that takes 0.2 s."""
        return self.chooser.bound()


class NoPlace(InTheWay):
    """A stretch of groove on which no screw can stand. Longer than the pitch, it proves that none can be done without
    a change (`proved`); a shorter one lies between screws that are given or that another groove needs."""

    def __init__(self, who: str, ends: tuple[Point2, Point2], at: Point2, room: float, pitch: float) -> None:
        (ax, ay), (bx, by) = ends
        self.ends, self.stretch, self.proved = ends, room, room > pitch - 2 * ROUNDING
        where = f"from x {ax:.1f}, y {ay:.1f} to x {bx:.1f}, y {by:.1f}"
        bare = f"no screw can stand along the groove {where}: {room:.1f} mm of it, pitch {pitch:g} at most"
        what = f"{bare if self.proved else f'no set of screws was found for the groove {where}'}; {who} is in the way"
        do = {EDGE: "make the plate larger", GROOVE: "lead the channels further apart"}.get(who, f"move {who} away")
        super().__init__(who, at, room, pitch, what, f"{do}, or take a smaller screw or a larger pitch")


def screws_along(
    rings: Sequence[Path], pitch: float, reach: tuple[float, float], keep_out: float,
    obstacles: Sequence[Obstacle] = (), given: Sequence[Point2] = (), outline: Outline | None = None,
    edge: float = 0.0, spacing: float | None = None,
) -> Screws:  # fmt: skip
    """The fewest screws that hold a cover down on the grooves `rings`; all lengths in mm.

    `pitch`: most between neighbours along a groove. `reach`: least and most distance of a screw's centre from a groove's
    middle line; always outside of every ring. `keep_out`: radius of the screw's head or hole with its land, which keeps
    clear of the obstacles' clearances and by `edge` of `outline`. `spacing`: least between two screws, 2 × keep_out
    by default. `given` screws are kept and checked. Raises NoPlace, or InTheWay for a given screw that cannot stand.
    """
    held = pitch - ROUNDING
    tracks = [track(r, held / math.ceil(held)) for r in rings]  # the pitch is a whole number of steps
    room = Room(reach, keep_out, tuple(obstacles), outline, edge)
    _check_given(given, tracks, room, spacing or 2 * keep_out)
    found = candidates(tracks, room, given)
    chooser = Chooser(found, [t.length for t in tracks], held, spacing or 2 * keep_out, len(given))
    if bare := chooser.bare():
        raise _no_place(max(bare, key=lambda b: b.length), tracks, room, pitch)
    try:
        chosen = chooser.choose()
    except LookupError as e:
        raise _no_place(e.args[0], tracks, room, pitch) from None
    at = tuple((float(x), float(y)) for x, y in found.at[chosen])
    return Screws(at, tuple(chooser.gaps(k, chosen) for k in range(len(tracks))), chooser)


def _check_given(given: Sequence[Point2], tracks: Sequence[Track], room: Room, spacing: float) -> None:
    import numpy as np

    if not given:
        return
    do = "move the screw, or leave it to be placed"
    for name, bad in blockers(np.array(given, dtype=np.float64), tracks, room).items():
        for i, p in ((i, g) for i, (g, b) in enumerate(zip(given, bad.tolist(), strict=True)) if b):
            what = f"the screw given at x {p[0]:g}, y {p[1]:g} is too near to {name}, or inside of it"
            raise InTheWay(name, p, 0.0, room.keep_out, what, do, ("screws", "at", i))
    for i, p in enumerate(given):
        near = min(given[:i], key=lambda q: math.dist(p, q), default=p)
        if i and math.dist(p, near) < spacing - 1e-6:
            what = (f"the screw given at x {p[0]:g}, y {p[1]:g} stands {math.dist(p, near):.2f} mm from that at "
                    f"x {near[0]:g}, y {near[1]:g}, and {spacing:.2f} are needed")  # fmt: skip
            raise InTheWay("another screw", p, math.dist(p, near), spacing, what, do, ("screws", "at", i))


def _no_place(bare: Stretch, tracks: Sequence[Track], room: Room, pitch: float) -> NoPlace:
    """The stretch with what blocks most of the places beside it."""
    t = tracks[bare.ring]
    inside = (t.s - bare.start) % t.length <= bare.length
    beside = grid(t, room.reach)[inside].reshape(-1, 2)
    bad = {k: int(v.sum()) for k, v in blockers(beside, tracks, room).items()}
    who = max(bad, key=lambda k: (bad[k], k not in (EDGE, GROOVE))) if any(bad.values()) else "another screw"
    middle = _on(t, bare.start + bare.length / 2)
    ends = (_on(t, bare.start), _on(t, bare.start + bare.length))
    return NoPlace(who, ends, middle, bare.length, pitch)


def _on(t: Track, s: float) -> Point2:
    k = math.floor(s % t.length / t.length * len(t.s)) % len(t.s)
    return (float(t.points[k, 0]), float(t.points[k, 1]))
