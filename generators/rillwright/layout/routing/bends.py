"""Bends as wide as is wished for, as far as there is room. Lengths mm, angles rad.

A bend is widened by a larger circle that touches the old one at the middle of its arc: what lies within the old circle
lies within the new one, so only what stands on the other side has to be looked at again.
"""

from __future__ import annotations

from dataclasses import replace

import shapely

from .flat import path_line
from .limits import Keep, spare
from .problem import Net
from .strings import Tight, Turn, tightened
from .taut import CLOSE, Loom, Strand

SHARES = (1.0, 0.85, 0.7, 0.5, 0.35, 0.2, 0.1)  # of the way from the old radius to the wish
ARC = 0.5  # mm of arc at least
STRAIGHT = 2e-3  # rad: less is no bend


def wish(net: Net) -> float:
    """Radius of the middle line that is wished for, mm."""
    return net.width if net.bend_radius is None else net.bend_radius


def smooth(loom: Loom, name: str) -> None:
    """Widens the bends of one net that are tighter than its wish, and slight ones until their arcs have a length."""
    net = loom.nets[name].net
    for s in loom.nets[name].strands:
        keeps = loom.keeps(net, s.level)
        i = 0
        while s.tight is not None and i < len(s.tight.bends):
            bend = s.tight.bends[i]
            aim = max(wish(net), ARC / max(abs(bend.sweep), 1e-5))
            if bend.turn.radius < aim - 1e-9:
                _widen(s, i, aim, keeps)
            i += 1


def _widen(s: Strand, i: int, radius: float, keeps: list[Keep]) -> None:
    assert s.tight is not None
    old = s.tight.bends[i].turn.radius
    for share in SHARES:
        new = _with(s.tight, i, old + share * (radius - old))
        if new is not None and spare(path_line(new.path()), keeps)[0] >= -CLOSE:
            s.tight = new
            return


def _with(tight: Tight, i: int, radius: float) -> Tight | None:
    """The string with one bend of another radius; None where its neighbours leave no straight for it."""
    bend = tight.bends[i]
    (x, y), (ux, uy), d = bend.turn.centre, bend.outside, bend.turn.radius - radius
    turns: list[Turn] = [replace(b.turn, hint=abs(b.sweep)) for b in tight.bends]
    turns[i] = replace(turns[i], centre=(x + d * ux, y + d * uy), radius=radius)
    new = tightened(tight.start, turns, tight.end)
    if new is None or len(new.bends) != len(tight.bends):
        return None
    backwards = any(b.turn.side * b.sweep < -1e-9 for b in new.bends)
    return None if backwards or new.length > tight.length + 4 * radius else new


def tightest(loom: Loom, name: str) -> float:
    """Smallest radius among the bends of a net, mm; infinite without bends."""
    radii = [
        b.turn.radius for s in loom.nets[name].strands if s.tight for b in s.tight.bends if abs(b.sweep) > STRAIGHT
    ]
    return min(radii, default=float("inf"))


def crossing(tight: Tight) -> bool:
    """Whether a string crosses itself."""
    return not shapely.is_simple(path_line(tight.path()))
