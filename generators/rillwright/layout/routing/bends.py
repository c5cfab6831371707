"""Bends as wide as is wished for, as far as there is room. Lengths mm, angles rad.

A bend is widened by a larger circle that touches the old one at the middle of its arc: what lies within the old circle
lies within the new one, so only what stands on the other side has to be looked at again.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from .flat import path_line
from .forks import Strand
from .limits import Keep, spare
from .problem import Net, TightBend
from .strings import Tight, Turn, tightened, wrapped
from .taut import CLOSE, Loom

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


def through_pins(loom: Loom, name: str) -> None:
    """Makes one strand of the two that meet at a way point, bent round the point itself."""
    k = loom.nets[name]
    for pin in sorted(k.pins):
        arms = [s for s in k.strands if pin in (s.a, s.b)]
        if len(arms) != 2 or arms[0].level != arms[1].level or not all(s.tight for s in arms):
            continue
        one, two = (_ending(arms[0], pin), _starting(arms[1], pin))
        assert one.tight is not None
        assert two.tight is not None
        turned = _corner(one.tight, two.tight)
        at = Turn(k.at[pin], 0.0, 1 if turned >= 0 else -1, abs(turned), fixed=True)
        turns = [replace(b.turn, hint=abs(b.sweep)) for b in (*one.tight.bends,)] + [at]
        turns += [replace(b.turn, hint=abs(b.sweep)) for b in two.tight.bends]
        tight = tightened(one.tight.start, turns, two.tight.end)
        if tight is not None:
            k.strands = [s for s in k.strands if s not in arms]
            k.strands.append(Strand(one.a, two.b, one.level, np.vstack([one.line, two.line[1:]]), tight))
            del k.at[pin]


def _ending(s: Strand, knot: str) -> Strand:
    return s if s.b == knot else _turned(s)


def _starting(s: Strand, knot: str) -> Strand:
    return s if s.a == knot else _turned(s)


def _turned(s: Strand) -> Strand:
    """The strand walked the other way."""
    assert s.tight is not None
    turns = [replace(b.turn, side=-b.turn.side, hint=abs(b.sweep)) for b in reversed(s.tight.bends)]
    return Strand(s.b, s.a, s.level, s.line[::-1], tightened(s.tight.end, turns, s.tight.start))


def _corner(one: Tight, two: Tight) -> float:
    """Angle by which one string turns into the next."""
    into = one.bends[-1].leave if one.bends else one.start
    out = two.bends[0].enter if two.bends else two.end
    at = one.end
    return wrapped(math.atan2(out[1] - at[1], out[0] - at[0]) - math.atan2(at[1] - into[1], at[0] - into[0]))


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


def too_tight(loom: Loom, name: str) -> TightBend | None:
    """The tightest bend of a net that has not the radius it must have."""
    net = loom.nets[name].net
    if not net.bend_must or net.bend_radius is None:
        return None
    bends = [b for s in loom.nets[name].strands if s.tight for b in s.tight.bends if abs(b.sweep) > STRAIGHT]
    least = min(bends, key=lambda b: b.turn.radius, default=None)
    if least is None or least.turn.radius >= net.bend_radius - CLOSE:
        return None
    (x, y), (ux, uy), r = least.turn.centre, least.outside, least.turn.radius
    return TightBend(name, r, (x + r * ux, y + r * uy))
