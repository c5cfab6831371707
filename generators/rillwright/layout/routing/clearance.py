"""A routing, measured again by another path than the router's: the wet areas themselves, and the gaps between them.

Each channel, terminal and via becomes the area that it covers, drawn round the true shape and never inside it: chords
stand at 256 a quarter turn, ends are round with 128 sides a quarter, and the area is grown by what both may hide. So
the distance of two areas is never more than that of the true shapes: what is measured is certain. Lengths mm.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import Any, Literal

import shapely

from ..features import Arc, Outline
from ..outline import arc_centre
from ..pockets import Path
from .problem import Circle, Closest, Net, Obstacle, Point2, Problem, Routing

SIDES = 128  # of a round end, a quarter turn
CHORDS = 256  # of an arc, a quarter turn
ROUND = 1 / math.cos(math.pi / (4 * SIDES))
ALLOWED = 1e-3  # mm that a distance may be short of its limit
TOUCH = 1e-6  # mm: ends that meet


@dataclass(frozen=True, slots=True)
class Body:
    """What one leg, terminal or via covers on one level, its margin included."""

    net: Net
    name: str
    kind: Literal["leg", "terminal", "via"]
    level: int
    area: Any


@dataclass(frozen=True, slots=True)
class Clearance:
    """What was measured: `smallest` is a lower bound; `faults` are in plain words, empty where all holds."""

    smallest: Closest
    faults: tuple[str, ...]

    @property
    def holds(self) -> bool:
        return not self.faults


def check(problem: Problem, routing: Routing) -> Clearance:
    """Distances of all channels and vias to each other, to terminals of other nets, to obstacles and to the edge, and
    whether each net is one tree of smooth lines through all its terminals and pins."""
    bodies = list(_bodies(problem, routing))
    gaps = [*_between(problem, bodies), *_obstacles(problem, bodies), *_edge(problem, bodies)]
    faults = [
        f"{g.between[0]} and {g.between[1]} are {-g.spare:.4f} mm too near at x {g.at[0]:.2f}, y {g.at[1]:.2f}"
        for g in gaps if g.spare < -ALLOWED
    ]  # fmt: skip
    for net in problem.nets:
        faults += _tree(net, routing)
        faults += _bends(net, routing)
    least = min(gaps, key=lambda g: g.spare, default=Closest(math.inf, ("", ""), (0.0, 0.0)))
    return Clearance(least, tuple(faults))


def _chords(way: Path | Outline) -> tuple[list[Point2], float]:
    """Points of a way, and the most that a chord leaves its arc."""
    points, at, off = [way.start], way.start, 0.0
    for p in way.pieces:
        if isinstance(p, Arc):
            (x, y), r = arc_centre(at, p.middle, p.end)
            a, m, b = (math.atan2(q[1] - y, q[0] - x) for q in (at, p.middle, p.end))
            turn = (b - a) % math.tau if (m - a) % math.tau < (b - a) % math.tau else -((a - b) % math.tau)
            n = max(2, math.ceil(abs(turn) / (math.pi / 2 / CHORDS)))
            off = max(off, r * (1 - math.cos(turn / n / 2)))
            points += [(x + r * math.cos(a + turn * i / n), y + r * math.sin(a + turn * i / n)) for i in range(1, n)]
        points.append(p.end)
        at = p.end
    return points, off


def _grown(shape: Any, by: float) -> Any:
    return shapely.buffer(shape, by * ROUND, quad_segs=SIDES)


def _bodies(problem: Problem, routing: Routing) -> Iterator[Body]:
    levels = range(problem.levels)
    for net in problem.nets:
        for leg in routing.paths.get(net.name, ()):
            points, off = _chords(leg.path)
            area = _grown(shapely.LineString(points), net.width / 2 + net.margin + off)
            yield Body(net, f"{net.name} ({leg.ends[0]} to {leg.ends[1]})", "leg", leg.level, area)
        for t in net.terminals:
            area = _grown(shapely.Point(t.at), t.radius + net.margin)
            for level in levels if t.level is None else (t.level,):
                yield Body(net, t.name, "terminal", level, area)
    for via in routing.vias:
        net = problem.net(via.net)
        area = _grown(shapely.Point(via.at), via.diameter / 2 + net.margin)
        for level in levels:
            yield Body(net, via.name or f"via of {via.net}", "via", level, area)


def _gap(a: Any, b: Any, limit: float, between: tuple[str, str]) -> Closest:
    """Distance of two areas less its limit; areas that overlap are as much too near as they share at their widest."""
    if shapely.intersects(a, b):
        common = shapely.intersection(a, b)
        x0, y0, x1, y1 = common.bounds
        return Closest(-limit - math.hypot(x1 - x0, y1 - y0), between, ((x0 + x1) / 2, (y0 + y1) / 2))
    line = shapely.shortest_line(a, b)
    x, y = shapely.get_coordinates(line).mean(axis=0)
    return Closest(float(shapely.length(line)) - limit, between, (float(x), float(y)))


def _far(a: Any, b: Any, limit: float) -> bool:
    """Boxes that stand further apart than twice the limit and 20 mm: not the closest, and not measured."""
    p, q = a.bounds, b.bounds
    return bool(max(p[0] - q[2], q[0] - p[2], p[1] - q[3], q[1] - p[3]) > 2 * limit + 20)


def _between(problem: Problem, bodies: list[Body]) -> Iterator[Closest]:
    for a, b in combinations(bodies, 2):
        if a.net.name == b.net.name or a.level != b.level or a.kind == b.kind == "terminal":
            continue
        wall = problem.wall_same if a.net.loop == b.net.loop else problem.wall
        places, reach = problem.junctions(a.net, b.net)
        area = b.area
        for at in places:  # where they run into each other; beyond it the line of b lies further off than `reach`
            area = area.difference(shapely.Point(at).buffer(reach + b.net.half, quad_segs=SIDES))
        if not area.is_empty and not _far(a.area, area, wall):
            yield _gap(a.area, area, wall, (a.name, b.name))


def _obstacles(problem: Problem, bodies: list[Body]) -> Iterator[Closest]:
    for o in problem.obstacles:
        area = _area(o)
        for b in bodies:
            if b.kind != "terminal" and o.on(b.level) and not _far(area, b.area, o.clearance):
                yield _gap(b.area, area, o.clearance, (b.name, o.name))


def _area(o: Obstacle) -> Any:
    if isinstance(o.shape, Circle):
        centre = shapely.Point(o.shape.centre)
        return _grown(centre, o.shape.radius) if o.shape.radius > 0 else centre
    return shapely.Polygon(o.shape.points)


def _edge(problem: Problem, bodies: list[Body]) -> Iterator[Closest]:
    """Off the plate counts as overlap. Chords of a bow that points into the plate are the true edge within `off`."""
    points, off = _chords(problem.outline)
    plate = shapely.Polygon(points)
    x0, y0, x1, y1 = plate.bounds
    outside = shapely.box(x0 - 50, y0 - 50, x1 + 50, y1 + 50).difference(plate)
    for b in bodies:
        if b.kind != "terminal":
            gap = _gap(b.area, outside, problem.edge, (b.name, "edge"))
            yield Closest(gap.spare - off, gap.between, gap.at)


def _tree(net: Net, routing: Routing) -> Iterator[str]:
    """One piece, through every terminal and pin, without a ring."""
    legs = routing.paths.get(net.name, ())
    at = {t.name: t.at for t in net.terminals}
    root: dict[str, str] = {}

    def top(v: str) -> str:
        while root.setdefault(v, v) != v:
            v = root[v]
        return v

    for leg in legs:
        for name, point in zip(leg.ends, (leg.path.start, leg.path.pieces[-1].end), strict=True):
            if math.dist(at.setdefault(name, point), point) > TOUCH:
                yield f"{net.name}: a leg ends {math.dist(at[name], point):.4f} mm beside {name}"
        a, b = (top(e) for e in leg.ends)
        if a == b:
            yield f"{net.name}: the leg from {leg.ends[0]} to {leg.ends[1]} closes a ring"
        root[a] = b
    loose = [t.name for t in net.terminals if top(t.name) != top(net.terminals[0].name)]
    if loose:
        yield f"{net.name}: {', '.join(loose)} not joined"
    for e, n in Counter(e for leg in legs for e in leg.ends).items():
        if n == 1 and e not in {t.name for t in net.terminals}:
            yield f"{net.name}: a leg ends at {e}, which is no terminal"
    for pin in net.pins:
        off = min((shapely.LineString(_chords(leg.path)[0]).distance(shapely.Point(pin)) for leg in legs), default=math.inf)
        if off > ALLOWED:
            yield f"{net.name}: passes x {pin[0]:g}, y {pin[1]:g} at {off:.4f} mm"


def _bends(net: Net, routing: Routing) -> Iterator[str]:
    """Where the bend radius is a limit: no corner within a leg, no arc tighter."""
    if not net.bend_must or net.bend_radius is None:
        return
    for leg in routing.paths.get(net.name, ()):
        at, before = leg.path.start, None
        for p in leg.path.pieces:
            into, out, r = _run(at, p)
            if before is not None and abs((into - before + math.pi) % math.tau - math.pi) > 1e-4:
                yield f"{net.name}: a corner at x {at[0]:.2f}, y {at[1]:.2f}"
            if r < net.bend_radius - ALLOWED:
                yield f"{net.name}: a bend of {r:.2f} mm near x {at[0]:.2f}, y {at[1]:.2f}"
            at, before = p.end, out


def _run(at: Point2, p: Any) -> tuple[float, float, float]:
    """Heading at both ends of a piece, and its radius (infinite for a line)."""
    if not isinstance(p, Arc):
        a = math.atan2(p.end[1] - at[1], p.end[0] - at[0])
        return a, a, math.inf
    (x, y), r = arc_centre(at, p.middle, p.end)
    a, m, b = (math.atan2(q[1] - y, q[0] - x) for q in (at, p.middle, p.end))
    side = math.pi / 2 if (m - a) % math.tau < (b - a) % math.tau else -math.pi / 2
    return a + side, b + side, r
