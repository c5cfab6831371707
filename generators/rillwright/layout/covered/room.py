"""Whether each end of a channel has room where it stands, asked before any way is looked for. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from ..outline import Impossible, distance_to, encloses
from ..routing.problem import Circle, Net, Point2, Polygon, Problem, Terminal
from .channels import Netted
from .decks import LEVELS
from .ends import End

HAIR = 1e-6
EDGE = "the plate's edge"


def require_room(problem: Problem, nets: Sequence[Netted]) -> None:
    """Raises Impossible for the first end that stands too near to the edge, to an obstacle or to another channel's end."""
    for n, net in zip(nets, problem.nets, strict=True):
        for k, t in enumerate(net.terminals):
            for who, there, wanted in _near(problem, net, t):
                if there < wanted - HAIR:
                    what = (f"{t.name!r} stands {_stood(there, who)}, and channel {net.name!r} with its groove needs "
                            f"{wanted:.2f} mm there")  # fmt: skip
                    do = f"move it {wanted - there:.2f} mm away, or take a narrower channel or a thinner cord"
                    raise Impossible((*n.loc, "joins", k), what, do)
        for k, at in enumerate(net.pins):
            pin = Terminal("", at, net.width / 2, None)
            for who, there, wanted in _still(problem, net, pin, all_levels=True):
                if there < wanted - HAIR:
                    what = (f"the pin stands {_stood(there, who)}, and channel {net.name!r} with its groove needs "
                            f"{wanted:.2f} mm there")  # fmt: skip
                    raise Impossible((*n.loc, "pins", k), what, f"move it {wanted - there:.2f} mm away, or leave it out")


def _stood(there: float, who: str) -> str:
    if there < 0:
        return f"{-there:.2f} mm {'beyond' if who == EDGE else 'inside of'} {who}"
    return f"{there:.2f} mm from {who}"


def require_apart(nets: Sequence[Netted]) -> None:
    """Raises Impossible for an end that two channels of one face share where a way is looked for and neither is laid with
    the other nor runs into it: channels of two loops, or of one loop that lie on different faces besides."""
    seen: list[tuple[Netted, End]] = []
    for n in nets:
        for k, e in enumerate(n.ends):
            for other, there in seen:
                same = math.dist(e.terminal.at, there.terminal.at) < HAIR and _levels(n, e) & _levels(other, there)
                onto = e.terminal.on == other.channel.name or there.terminal.on == n.channel.name
                if same and not onto and other is not n and "auto" in (n.channel.route, other.channel.route):
                    what = (f"{e.terminal.name!r} is where channel {other.channel.name!r} of the same face ends too, and "
                            "each finds its way by itself")  # fmt: skip
                    do = "join all of it in one channel, or cut both from the same face for one loop"
                    raise Impossible((*n.loc, "joins", k), what, do)
            seen.append((n, e))


def _levels(n: Netted, e: End) -> set[int]:
    """Faces in which a channel must come to its end; none where it may choose."""
    if e.terminal.level is not None and n.channel.face == "both":
        return {e.terminal.level}
    return set() if n.channel.face == "both" else {LEVELS.index(n.channel.face)}


def _near(problem: Problem, net: Net, t: Terminal) -> Iterator[tuple[str, float, float]]:
    """What stands near an end: name, distance of the middle line there, and what it has to be."""
    yield from _still(problem, net, t)
    for other in problem.nets:
        if other.loop != net.loop:
            for u in other.terminals:
                if None in (t.level, u.level) or t.level == u.level:
                    yield repr(u.name), math.dist(t.at, u.at), net.half + problem.wall + other.margin + u.radius


def _still(problem: Problem, net: Net, t: Terminal, all_levels: bool = False) -> Iterator[tuple[str, float, float]]:
    """The plate's edge and obstacles. `all_levels`: only those that stand on every level, where any one will do."""
    sign = 1 if encloses(problem.outline, t.at) else -1
    yield EDGE, sign * distance_to(problem.outline, t.at), problem.edge + net.half
    for o in problem.obstacles:
        if all(o.on(v) for v in range(problem.levels)) if all_levels else t.level is None or o.on(t.level):
            yield o.name, _distance(o.shape, t.at), o.clearance + net.half


def _distance(shape: Circle | Polygon, p: Point2) -> float:
    """From a shape to a point; negative inside it."""
    if isinstance(shape, Circle):
        return math.dist(shape.centre, p) - shape.radius
    import shapely

    area, at = shapely.Polygon(shape.points), shapely.Point(p)
    return float(area.exterior.distance(at)) * (-1 if area.contains(at) else 1)
