"""Channels of one body: what the router is asked, and its legs as pockets. Lengths in mm, frame of the body."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

from ...spec.covered import Channel, KeepOut
from ...spec.job import Job
from ...spec.plate import Plate
from .. import paths
from ..features import Feature, Outline, PlateLayout
from ..outline import Impossible, Loc
from ..routing.problem import Circle, Net, NoRoute, Obstacle, Polygon, Problem, Routing, Terminal
from .decks import LEVELS, Deck, faces_of
from .ends import End

COARSE = 0.2  # mm that the outline of a window may be off as an obstacle, on the safe side
ROUNDED = 1e-3  # mm that chords of an outline's arcs may be off


@dataclass(slots=True)
class Netted:
    """A channel with its ends."""

    index: int
    channel: Channel
    ends: list[End]
    loc: Loc
    ports: list[tuple[str, tuple[float, float], float, int]] = field(default_factory=list)  # bores through covers


def net_of(n: Netted, decks: Sequence[Deck]) -> Net:
    """A channel as the router knows it."""
    c = n.channel
    margin = max(d.margin_of(c.width) for d in decks if d.face in faces_of(c))
    ends = tuple(replace(e.terminal, level=_level(e.terminal, c)) for e in n.ends)
    return Net(c.name, c.loop, c.width, ends, tuple(c.pins), margin, c.bend_radius, c.bend_limit)


def _level(t: Terminal, c: Channel) -> int | None:
    return t.level if c.face == "both" else LEVELS.index(c.face)


def asked(
    job: Job, plate: Plate, body: PlateLayout, nets: Sequence[Netted], decks: Sequence[Deck],
    keep: dict[str, Outline], between: float, edge: float,
) -> Problem:  # fmt: skip
    """The router's problem for all channels of a body.

    between, edge: room between the grooves of two nets, and between a groove and the plate's edge, mm.
    """
    limits = job.limits
    every = tuple(net_of(n, decks) for n in nets)
    two = any(n.channel.face == "both" for n in nets) or len({n.channel.face for n in nets}) > 1
    wall = max(limits.wall_wet, between)
    mine = {name: net.half for n, net in zip(nets, every, strict=True) for e in n.ends
            for name in (e.terminal.name, *(f.name for f in e.features))}  # fmt: skip
    stand = _features(plate, decks, body.features, mine, limits.wall_wet)
    stand += _cut_before(plate, body, max(limits.wall_wet, edge))
    stand += _keep_outs(plate, keep, max(limits.wall_wet, edge))
    via = min((n.channel.width for n in nets if n.channel.face == "both"), default=None)
    rim = max(edge, limits.wall_outside - min(n.margin for n in every))
    stand += _bays(body.outline, rim)
    return Problem(
        body.outline, rim, every, tuple(stand), wall,
        max(limits.wall_same, between), 2 if two else 1, None if via is None else max(1.0, via - 1.0),
    )  # fmt: skip


def _features(
    plate: Plate, decks: Sequence[Deck], features: Sequence[Feature], mine: dict[str, float], wall: float
) -> list[Obstacle]:
    """What stands in the body besides the ends of the channels themselves."""
    deep = max((c.depth for c in plate.channels), default=0.0)
    clear = max([wall, *(d.land for d in decks)])
    out = []
    for f in features:
        level = _levels(f, deep + wall, plate.stock.thickness)
        if (f.name in mine and abs(f.axis[2]) > 1e-9) or not level:
            continue
        if abs(f.axis[2]) > 1 - 1e-9:
            out.append(Obstacle(f.name, Circle(f.origin[:2], f.radius), clear, level))
            continue
        # a channel's own bore from the edge may not stand in its way; others cannot pass between it and the channel's end
        own = mine.get(f.name, 0.0) if f.role == "drilling" else 0.0
        short = own + clear if f.name in mine else 0.0
        if f.name in mine and f.role != "drilling":
            short += f.depth - f.facts["bore_depth"]  # the point of the drill, which the way on goes through
        out.append(Obstacle(f.name, Polygon(_shadow(f, short)), clear, level))
    return out


def _shadow(f: Feature, short: float) -> tuple[tuple[float, float], ...]:
    """What a level or slanting bore covers in plan, from its mouth to its end."""
    (x, y, _), (u, v, _) = f.origin, f.axis
    r = f.facts.get("bore_radius", f.radius)
    n = math.hypot(u, v)
    u, v = u / n, v / n
    a, b = -2.0, max(f.depth * n - short, 0.0)
    return ((x + a * u - r * v, y + a * v + r * u), (x + a * u + r * v, y + a * v - r * u),
            (x + b * u + r * v, y + b * v - r * u), (x + b * u - r * v, y + b * v + r * u))  # fmt: skip


def beneath(body: PlateLayout, face: str, deep: float) -> list[tuple[Feature, Any]]:
    """Features within `deep` mm of a face that do not open in it, each with what it covers in plan."""
    level = 0 if face == "seal" else 1
    out: list[tuple[Feature, Any]] = []
    for f in body.features:
        if face in f.mouths or level not in _levels(f, deep, body.thickness):
            continue
        upright = abs(f.axis[2]) > 1 - 1e-9
        out.append((f, (f.origin[:2], f.radius) if upright else _plan_shape(f)))
    return out


def _plan_shape(f: Feature) -> Any:
    import shapely

    return shapely.Polygon(_shadow(f, 0.0))


def _levels(f: Feature, deep: float, thickness: float) -> frozenset[int]:
    """Faces whose channels, `deep` mm with their wall, a feature comes near."""
    side = f.radius * math.sqrt(max(0.0, 1 - f.axis[2] ** 2))
    ends = (f.origin[2], f.at(f.depth)[2])
    low, high = min(ends) - side, max(ends) + side
    return frozenset(i for i, hit in enumerate((high > -deep, low < deep - thickness)) if hit)


def _keep_outs(plate: Plate, keep: dict[str, Outline], room: float) -> list[Obstacle]:
    out = []
    for k in plate.keep_out:
        clear = k.clearance + room
        if k.diameter is not None:
            out.append(Obstacle(k.name, Circle(k.at, k.diameter / 2), clear))
        else:
            # its corners' centres and that much more clearance: a line round it then bends in one arc at each corner
            r = min(k.corner_radius, 0.49 * min(k.length or 0.0, k.width or 0.0))
            out.append(Obstacle(k.name, Polygon(_box(keep[k.name], r)), clear + r))
    return out


def _bays(shape: Outline, rim: float) -> list[Obstacle]:
    """Round bays of the outline as the circles that they are: a way along one is then one arc, not one to each chord."""
    import shapely

    plate = paths.polygon(shape)
    out = []
    for p in paths.pieces(shape):
        if isinstance(p, paths.Bow):
            disc = shapely.Point(p.centre).buffer(p.radius - COARSE, quad_segs=64)
            if shapely.intersection(disc, plate).area < COARSE:
                out.append(Obstacle("the plate's edge", Circle(p.centre, p.radius), rim + ROUNDED))
    return out


def _cut_before(plate: Plate, body: PlateLayout, room: float) -> list[Obstacle]:
    """Windows, slots and the like in the body, on every face that they come near."""
    deep = max((c.depth for c in plate.channels), default=0.0) + room
    out = []
    for p in body.pockets:
        top = {"seal"} if p.face == "seal" else {"outer"}
        if p.depth > body.thickness - deep:
            top = {"seal", "outer"}
        levels = frozenset(LEVELS.index(f) for f in LEVELS if f in top)
        for part in _simple(paths.region(p, COARSE).simplify(COARSE)):
            points = tuple((float(x), float(y)) for x, y in part.exterior.coords[:-1])
            out.append(Obstacle(p.name, Polygon(points), room + 2 * COARSE, levels))
    return out


def _simple(region: Any) -> list[Any]:
    """A region as polygons without holes: what closes a ring, such as a slot for light along the rim, is cut across."""
    import shapely

    if not region.interiors:
        return [region]
    x = shapely.Polygon(region.interiors[0]).representative_point().x
    x0, y0, x1, y1 = region.bounds
    halves = [region.intersection(shapely.box(a, y0 - 1, b, y1 + 1)) for a, b in ((x0 - 1, x), (x, x1 + 1))]
    return [q for h in halves for part in shapely.get_parts(h) if part.geom_type == "Polygon" for q in _simple(part)]


def _box(o: Outline, inset: float) -> tuple[tuple[float, float], ...]:
    xs, ys = zip(o.start, *(p.end for p in o.pieces), strict=True)
    x0, x1, y0, y1 = min(xs) + inset, max(xs) - inset, min(ys) + inset, max(ys) - inset
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


def outline_of(k: KeepOut) -> Outline:
    """The shape of a keep-out area, mm."""
    (x, y) = k.at
    if k.diameter is not None:
        c = paths.circle(k.at, k.diameter / 2)
        return Outline(c.start, c.pieces)
    assert k.length is not None
    assert k.width is not None
    from ...spec.sheet import Outline as Spec
    from ..outline import moved, outline

    return moved(outline(Spec(length=k.length, width=k.width, corner_radius=k.corner_radius)), x, y)


class NoWay(Impossible):
    """A channel that finds no way: what the router was asked and answered; `parts`: channels that a net stands for."""

    parts: Mapping[str, tuple[str, ...]] = MappingProxyType({})

    def __init__(self, loc: Loc, what: str, do: str, problem: Problem, route: NoRoute) -> None:
        super().__init__(loc, what, do)
        self.problem, self.route = problem, route

    @property
    def cured(self) -> bool:
        """Whether changes were tried that let it through."""
        return bool(self.route.cures)


def routed(problem: Problem, nets: Sequence[Netted]) -> Routing:
    """Lines for every channel. Raises Unexplained; `no_way` says why, at the channel that finds no way."""
    from ..routing import route

    if all(n.channel.route != "auto" for n in nets):
        length = {n: math.fsum(paths.length(leg.path) for leg in legs) for n, legs in problem.given.items()}
        from ..routing.problem import Closest

        return Routing(dict(problem.given), (), length, dict(length), Closest(math.inf, ("", ""), (0.0, 0.0)))
    return route(problem, explained=False)


def no_way(e: NoRoute, nets: Sequence[Netted], problem: Problem) -> NoWay:
    """What is told of a problem without a routing."""
    loc = next((n.loc for n in nets if n.channel.name == e.net), nets[0].loc)
    stand = "stands" if len(e.blockers) == 1 else "stand"
    others = f"; {', '.join(e.blockers)} {stand} in its way" if e.blockers else ""
    cured = f"what would let it through: {'; or '.join(e.cures)}" if e.cures else ""
    if e.bend is not None:
        what = (f"a bend of channel {e.net!r} near x {e.bend.at[0]:.1f}, y {e.bend.at[1]:.1f} has room for a radius of "
                f"{e.bend.radius:.1f} mm only, and bend_limit asks for its bend_radius{others}")  # fmt: skip
        do = cured or "give a smaller bend_radius, or bend_limit: false"
        return NoWay((*loc, "bend_radius"), what, do, problem, e)
    what = (f"there is no way for channel {e.net!r}{others}; the narrowest place is near x {e.place[0]:.1f}, "
            f"y {e.place[1]:.1f}, where {e.width:.1f} mm of channel fit")  # fmt: skip
    return NoWay(loc, what, cured or "move its ports, or make it narrower", problem, e)
