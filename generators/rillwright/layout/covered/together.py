"""Channels of one loop that come to the same end: laid as one tree, and its legs given back to them. Lengths in mm.

Also: an end of an automatic channel that lies on a channel of its loop whose line is given runs into it there.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from ...spec.covered import Channel
from .. import paths
from ..outline import Impossible
from ..routing.problem import Problem, RoutedLeg, Routing, Via
from .channels import Netted
from .decks import LEVELS, faces_of
from .ends import End

SAME = 1e-6  # mm: two places that are one


@dataclass(frozen=True, slots=True)
class Group:
    """Channels that are laid together, and the net that stands for them."""

    net: Netted
    parts: tuple[Netted, ...]


def unified(nets: Sequence[Netted]) -> list[Netted]:
    """Where channels of one face share a port of the body, all take the end that the widest of them has there: the
    drilling from the port is made once."""
    out = []
    for n in nets:
        ends = []
        for e in n.ends:
            rivals = [(o.channel.width, -o.index, f) for o in nets if _kin(o.channel, n.channel) for f in o.ends
                      if e.features and f.features and f.terminal.name == e.terminal.name]  # fmt: skip
            ends.append(max(rivals, key=lambda v: v[:2])[2] if rivals else e)
        out.append(replace(n, ends=ends))
    return out


def _kin(a: Channel, b: Channel) -> bool:
    return a.loop == b.loop and a.face == b.face


def groups(nets: Sequence[Netted]) -> list[Group]:
    """All channels, automatic ones of one face that share ends as one. Raises Impossible for pins in two of them."""
    todo, out = list(nets), []
    while todo:
        parts = [todo.pop(0)]
        while parts[0].channel.route == "auto":
            more = [n for n in todo if n.channel.route == "auto" and any(_meet(n, p) for p in parts)]
            if not more:
                break
            parts += more
            todo = [n for n in todo if n not in more]
        out.append(Group(_one(parts), tuple(parts)))
    return out


def _meet(a: Netted, b: Netted) -> bool:
    return _kin(a.channel, b.channel) and any(_same(e, f) for e in a.ends for f in b.ends)


def _same(a: End, b: End) -> bool:
    return math.dist(a.terminal.at, b.terminal.at) < SAME


def _one(parts: Sequence[Netted]) -> Netted:
    """The net of several channels: as wide as the widest, with the gentlest bends that one of them asks for."""
    if len(parts) == 1:
        return parts[0]
    pinned = [p for p in parts if p.channel.pins]
    if len(pinned) > 1:
        a, b = pinned[:2]
        what = f"{b.channel.name!r} and {a.channel.name!r} share an end and are laid as one tree, and both have pins"
        raise Impossible((*b.loc, "pins"), what, "keep the pins of one of them, or give a line under route")
    ordered = sorted(parts, key=lambda p: not p.channel.pins)
    every = [p.channel for p in parts]
    bends = [c.bend_radius for c in every if c.bend_radius is not None]
    channel = ordered[0].channel.model_copy(update={
        "width": max(c.width for c in every), "depth": max(c.depth for c in every),
        "bend_radius": max(bends, default=None), "bend_limit": any(c.bend_limit for c in every),
    })  # fmt: skip
    ends: list[End] = []
    for e in (e for p in ordered for e in p.ends):
        if not any(_same(e, f) for f in ends):
            ends.append(e)
    return replace(ordered[0], channel=channel, ends=ends)


def given_back(routing: Routing, all_: Sequence[Group], problem: Problem) -> tuple[Routing, dict[str, tuple[str, ...]]]:
    """The legs of every channel, and for each the channels that were laid with it or that it was led to.

    A leg belongs to the first channel between two of whose ends it lies.
    """
    legs, vias = dict(routing.paths), list(routing.vias)
    mates = {p.channel.name: tuple(t.on for t in problem.net(g.net.channel.name).terminals if t.on)
             for g in all_ for p in g.parts}  # fmt: skip
    for g in (g for g in all_ if len(g.parts) > 1):
        left = list(legs.pop(g.net.channel.name))
        for p in g.parts:
            mine = _between(left, [_name(e, g) for e in p.ends], list(routing.paths[g.net.channel.name]))
            legs[p.channel.name] = tuple(mine)
            left = [leg for leg in left if leg not in mine]
            mates[p.channel.name] += tuple(q.channel.name for q in g.parts if q is not p)
        vias = [_owned(v, g, legs) for v in vias]
    return replace(routing, paths=legs, vias=tuple(vias)), mates


def _name(e: End, g: Group) -> str:
    return next(f.terminal.name for f in g.net.ends if _same(e, f))


def _between(left: Sequence[RoutedLeg], ends: Sequence[str], every: Sequence[RoutedLeg]) -> list[RoutedLeg]:
    """Legs among `left` of the least tree that joins some ends: those that are no stub of the others."""
    kept = list(every)
    while True:
        count: dict[str, int] = {}
        for e in (e for leg in kept for e in leg.ends):
            count[e] = count.get(e, 0) + 1
        stubs = [leg for leg in kept if any(count[e] == 1 and e not in ends for e in leg.ends)]
        if not stubs:
            return [leg for leg in kept if leg in left]
        kept = [leg for leg in kept if leg not in stubs]


def _owned(v: Via, g: Group, legs: Mapping[str, tuple[RoutedLeg, ...]]) -> Via:
    """A passage of the tree as that of the first channel that comes to it."""
    if v.net != g.net.channel.name:
        return v
    near = [p.channel.name for p in g.parts if any(paths.distance(leg.path, v.at) < 1e-3 for leg in legs[p.channel.name])]
    return replace(v, net=near[0] if near else v.net)


def landed(nets: Sequence[Netted], given: Mapping[str, tuple[RoutedLeg, ...]]) -> list[Netted]:
    """Ends of automatic channels that lie on a given line of their own loop and face, said so."""
    drawn = [n for n in nets if n.channel.name in given]
    out = []
    for n in nets:
        if n in drawn:
            out.append(n)
            continue
        ends = [replace(e, terminal=replace(e.terminal, on=_under(e, n, drawn, given))) for e in n.ends]
        out.append(replace(n, ends=ends))
    return out


def _under(e: End, n: Netted, drawn: Sequence[Netted], given: Mapping[str, tuple[RoutedLeg, ...]]) -> str:
    for d in drawn:
        if d.channel.loop == n.channel.loop and d.channel.face in faces_of(n.channel):
            level = LEVELS.index(d.channel.face)
            lines = [leg.path for leg in given[d.channel.name] if leg.level == level]
            if lines and min(paths.distance(line, e.terminal.at) for line in lines) < d.channel.width / 2:
                return d.channel.name
    return ""
