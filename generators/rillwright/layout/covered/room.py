"""Whether each end of a channel has room where it stands, asked before any way is looked for. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from ..outline import Impossible, distance_to
from ..routing.problem import Circle, Net, Point2, Polygon, Problem, Terminal
from .channels import Netted

HAIR = 1e-6


def require_room(problem: Problem, nets: Sequence[Netted]) -> None:
    """Raises Impossible for the first end that stands too near to the edge, to an obstacle or to another channel's end."""
    for n, net in zip(nets, problem.nets, strict=True):
        for k, t in enumerate(net.terminals):
            for who, there, wanted in _near(problem, net, t):
                if there < wanted - HAIR:
                    what = (f"{t.name!r} stands {there:.2f} mm from {who}, and channel {net.name!r} with its groove needs "
                            f"{wanted:.2f} mm there")  # fmt: skip
                    do = f"move it {wanted - there:.2f} mm away, or take a narrower channel or a thinner cord"
                    raise Impossible((*n.loc, "joins", k), what, do)


def _near(problem: Problem, net: Net, t: Terminal) -> Iterator[tuple[str, float, float]]:
    """What stands near an end: name, distance of the middle line there, and what it has to be."""
    yield "the plate's edge", distance_to(problem.outline, t.at), problem.edge + net.half
    for o in problem.obstacles:
        if t.level is None or o.on(t.level):
            yield o.name, _distance(o.shape, t.at), o.clearance + net.half
    for other in problem.nets:
        if other.loop != net.loop:
            for u in other.terminals:
                if None in (t.level, u.level) or t.level == u.level:
                    yield repr(u.name), math.dist(t.at, u.at), net.half + problem.wall + other.margin + u.radius


def _distance(shape: Circle | Polygon, p: Point2) -> float:
    if isinstance(shape, Circle):
        return math.dist(shape.centre, p) - shape.radius
    import shapely

    return float(shapely.Polygon(shape.points).distance(shapely.Point(p)))
