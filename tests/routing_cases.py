"""Plates to route, made from a number: ends of nets and holes strewn at random on a plate with screws round its edge.

And the webs that a net's own folds leave, as the plan check finds them.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterable
from dataclasses import replace

from rillwright.layout.features import Line, Outline
from rillwright.layout.routing import Circle, Net, Obstacle, Point2, Problem, Routing, Terminal

WALL = 3.0
PORT = 6.5  # wet radius of a port's bore


def rectangle(length: float, width: float) -> Outline:
    x, y = length / 2, width / 2
    return Outline((-x, -y), (Line((x, -y)), Line((x, y)), Line((-x, y)), Line((-x, -y))))


def _apart(p: Point2, others: Iterable[Point2], by: float) -> bool:
    return all(math.dist(p, q) >= by for q in others)


def strewn(
    seed: int, *, ends: tuple[int, ...] = (2, 2, 2, 2, 3, 3), widths: tuple[float, ...] = (6, 8, 10), holes: int = 40,
    length: float = 400, width: float = 200, levels: int = 1,
) -> Problem:  # fmt: skip
    """A plate with `holes` dry holes, the screws round the edge among them; one net for each number of `ends`."""
    rng = random.Random(seed)
    x, y = length / 2, width / 2
    a, b = x - 7, y - 7
    screws = [(-a + i * 2 * a / 7, s * b) for i in range(8) for s in (-1, 1)]
    screws += [(s * a, -b + i * b / 2) for i in range(1, 4) for s in (-1, 1)]
    counts = list(ends)
    rng.shuffle(counts)
    ports: list[Point2] = []
    while len(ports) < sum(counts):
        p = (round(rng.uniform(25 - x, x - 25)), round(rng.uniform(25 - y, y - 25)))
        if _apart(p, ports, 30):
            ports.append(p)
    dry = [(p, 2.5) for p in screws]
    while len(dry) < holes:
        p, r = (rng.uniform(20 - x, x - 20), rng.uniform(20 - y, y - 20)), rng.choice([2.5, 3.0, 4.0])
        if _apart(p, ports, PORT + r + WALL + 5) and _apart(p, (q for q, _ in dry), 14):
            dry.append((p, r))
    nets, at = [], 0
    for k, n in enumerate(counts):
        terminals = tuple(Terminal(f"n{k}-{i}", ports[at + i], PORT) for i in range(n))
        nets.append(Net(f"n{k}", f"loop-{k}", rng.choice(widths), terminals))
        at += n
    obstacles = tuple(Obstacle(f"hole-{i}", Circle(p, r), WALL) for i, (p, r) in enumerate(dry))
    return Problem(rectangle(length, width), 3.0, tuple(nets), obstacles, WALL, WALL, levels)


def pinned(seed: int, pins: int = 3) -> Problem:
    """A small plate on which the net with two ends passes `pins` places in an order that folds it."""
    p = strewn(seed, ends=(2, 4), holes=24, length=200, width=120)
    rng = random.Random(seed + 1)
    taken = [t.at for n in p.nets for t in n.terminals]
    solid = [(o.shape.centre, o.shape.radius) for o in p.obstacles if isinstance(o.shape, Circle)]
    places: list[Point2] = []
    while len(places) < pins:
        q = (round(rng.uniform(-75, 75)), round(rng.uniform(-40, 40)))
        if _apart(q, (*taken, *places), 24) and all(math.dist(q, c) > r + 12 for c, r in solid):
            places.append(q)
    nets = tuple(replace(n, pins=tuple(places)) if len(n.terminals) == 2 else n for n in p.nets)
    return replace(p, nets=nets)


def thin_webs(p: Problem, name: str, routing: Routing) -> list[float]:
    """Widths of the webs of a net's own stretches that are thinner than they may be, by the plan check's own method, mm."""
    import shapely

    from rillwright.checks.plan.cover_walls import _leavings, _width
    from rillwright.layout.routing.flat import flattened

    out: list[float] = []
    for level in range(p.levels):
        legs = [g for g in routing.paths[name] if g.level == level]
        lines = [shapely.LineString(list(flattened(g.path.start, g.path.pieces))) for g in legs if g.path.pieces]
        wet = shapely.union_all([line.buffer(p.net(name).width / 2, quad_segs=32) for line in lines])
        found = [_width(piece, wet) for piece in _leavings(wet, p.wall_same - 2e-3)] if lines else []
        out += [w[0] for w in found if w is not None]
    return out
