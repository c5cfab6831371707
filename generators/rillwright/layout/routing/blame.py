"""Why there is no routing: which net, what stands in its way, the narrowest place, and what would cure it.

The narrowest place is found by the widest way: of all ways between the net's ends the one whose tightest place is the
least tight. Cures are tried by routing the changed plate. Lengths mm.
"""

from __future__ import annotations

import math
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

import numpy as np
import shapely
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import connected_components, dijkstra

from .board import Board
from .grid import FAR, Array
from .limits import Keep, Limits
from .problem import Circle, Net, NoRoute, Obstacle, Point2, Problem, Terminal, TightBend

MOVES = (10.0, 20.0)  # mm by which a port is moved to see whether that helps
LEAST_WALL = 1.0  # mm: no thinner wall is proposed
TRYING = 10.0  # s of the processor's time after which no further cure is tried
NEAREST = 3  # obstacles that are tried to do without
Cure = tuple[str, Problem]  # in words, and the changed problem that has a routing


@dataclass(frozen=True, slots=True)
class Pinch:
    """The tightest place of a net's widest way. `spare` is negative by what lacks on each side, mm."""

    at: Point2
    level: int
    spare: float


def explain(problem: Problem, board: Board, tight: str, bend: TightBend | None = None) -> NoRoute:
    """The reason why a problem has no routing, with cures that were tried. `bend`: what alone had no room."""
    blocked = [n for n in board.names if board.alone[n] >= FAR]
    if blocked:
        name, board.laid = blocked[0], {}
    else:
        name = _left_over(board) or tight
    net = board.nets[name]
    others = _across(board, name) if not blocked else []
    pinch = narrowest(board, name, others)
    pinch, standing = _sides(problem, board, net, pinch, others)
    named = tuple(dict.fromkeys([*others, *standing]))
    width = max(0.0, net.width + 2 * min(pinch.spare, 0.0))
    works = Trials(TRYING)
    without = [] if bend is not None and bend.net == name else _without(problem, pinch, works)
    named = tuple(dict.fromkeys([*named, *without]))
    told = [f"{n} moved away or made smaller (tried without it)" for n in without]
    tight_bend = bend if bend is not None and bend.net == name else None
    gentler = [] if tight_bend is None else [*_gentler(problem, net, tight_bend)]
    tried = dict([*gentler, *cures(problem, net, named, pinch, works)])
    out = NoRoute(name, named, pinch.at if tight_bend is None else tight_bend.at, width, (*tried, *told))
    out.bend, out.tried = tight_bend, tried
    return out


def _gentler(problem: Problem, net: Net, bend: TightBend) -> Iterator[Cure]:
    radius = math.floor(bend.radius * 2) / 2
    gentler = _with_net(problem, replace(net, bend_radius=radius))
    if radius > 0 and _works(gentler):
        yield f"bends of {radius:g} mm instead of {net.bend_radius:g} (tried)", gentler


def _left_over(board: Board) -> str:
    """Lays nets in several orders, longest alone first and last among them; the first net without a way where most
    nets lie. Leaves those on the board."""
    best: tuple[int, str, dict[str, object]] = (-1, "", {})
    wall = dict.fromkeys(board.names, np.inf)
    by_length = sorted(board.names, key=lambda n: board.alone[n])
    for order in (by_length, by_length[::-1], list(board.names)):
        board.laid = {}
        failed = ""
        for name in order:
            ways = board.try_lay(name, wall)
            if ways is None:
                failed = failed or name
            else:
                board.lay(name, ways)
        if failed and len(board.laid) > best[0]:
            best = (len(board.laid), failed, dict(board.laid))
    if best[1]:
        board.laid = best[2]  # type: ignore[assignment]
    return best[1]


def _across(board: Board, name: str) -> list[str]:
    """Laid nets that the net's cheapest way would cut through."""
    was = dict(board.laid)
    board.laid.pop(name, None)
    ways = board.try_lay(name, dict.fromkeys(board.names, 1.0))
    if ways is None:
        return []
    board.lay(name, ways)
    found = board.in_the_way(name)
    board.laid = was
    board.laid.pop(name, None)
    return found


def narrowest(board: Board, name: str, others: list[str]) -> Pinch:
    """The widest way of a net among all that stands still and the other nets named, and its tightest place."""
    g, net = board.g, board.nets[name]
    spare = board.spare(net)
    for other in others:
        spare = np.minimum(spare, board.laid[other].off - board.need(name, other) + board.slack)
    flat = spare.ravel()
    s = g.steps
    over = np.minimum(flat[s.rows], flat[s.cols])
    ends = [board.end_nodes(t.at, t.level) for t in net.terminals]
    low, high = -200.0, float(flat.max())
    for _ in range(16):
        mid = (low + high) / 2
        low, high = (mid, high) if _joined(s.rows, s.cols, over >= mid, g.nodes, ends) else (low, mid)
    kept = over >= low
    cost = np.where(g.steps.length > 0, g.steps.length, 1.0)[kept] * (1 + 4 * np.maximum(0, 8 - flat[s.rows][kept]))
    graph = csr_matrix((cost, (s.rows[kept], s.cols[kept])), (g.nodes, g.nodes))
    worst = min((n for a, b in pairwise(ends) for n in _way(graph, a, b)), key=lambda n: flat[n])
    return Pinch(g.place(worst), worst // g.plane, float(flat[worst]))


def _joined(rows: Array, cols: Array, kept: Array, nodes: int, ends: list[list[int]]) -> bool:
    graph = csr_matrix((np.ones(int(kept.sum()), np.int8), (rows[kept], cols[kept])), (nodes, nodes))
    _, label = connected_components(graph, directed=False)
    return all({label[n] for n in a} & {label[n] for n in b} for a, b in pairwise(ends))


def _way(graph: csr_matrix, begin: list[int], ends: list[int]) -> list[int]:
    cost, before, _ = dijkstra(graph, indices=begin, min_only=True, return_predecessors=True)
    out = [min(ends, key=lambda n: cost[n])]
    while before[out[-1]] >= 0:
        out.append(int(before[out[-1]]))
    return out


def _sides(problem: Problem, board: Board, net: Net, pinch: Pinch, others: list[str]) -> tuple[Pinch, list[str]]:
    """The two things that a narrow place lies between, and its true width where they stand opposite each other."""
    keeps: list[Keep] = [*Limits(problem, board.g.region).still(net, pinch.level)]
    for other in others:
        line = _line(board, other, pinch.level)
        if line is not None:
            keeps.append(Keep(other, line, board.need(net.name, other) - board.slack, ()))
    here = shapely.Point(pinch.at)
    near = sorted(keeps, key=lambda k: float(here.distance(k.shape)) - k.distance)[:6]
    first = near[0]
    for k in near[1:]:
        a, b = (shapely.get_coordinates(shapely.shortest_line(here, v.shape))[1] - pinch.at for v in (first, k))
        if float(a @ b) < -0.2 * float(np.hypot(*a) * np.hypot(*b)):
            spare = (float(first.shape.distance(k.shape)) - first.distance - k.distance) / 2
            if here.distance(k.shape) < k.distance + 2 * board.g.pitch:
                return replace(pinch, spare=spare), list(dict.fromkeys([first.name, k.name]))
    return pinch, [first.name]


def _line(board: Board, name: str, level: int) -> Any:
    ways = [[board.g.place(n) for n in w if n // board.g.plane == level] for w in board.laid[name].ways]
    lines = [w for w in ways if len(w) > 1]
    return shapely.MultiLineString(lines) if lines else None


class Trials:
    """Tries changed problems, until the time for it is used up: then none is said to work any more."""

    def __init__(self, seconds: float) -> None:
        self.until = time.process_time() + seconds

    def __call__(self, problem: Problem, fine: bool = False) -> bool:
        return time.process_time() < self.until and _works(problem, fine)


def _without(problem: Problem, pinch: Pinch, works: Trials) -> list[str]:
    """The first of the obstacles nearest to the narrow place without which all nets find a way."""
    here = shapely.Point(pinch.at)

    def far(o: Obstacle) -> float:
        if isinstance(o.shape, Circle):
            return math.dist(o.shape.centre, pinch.at) - o.shape.radius
        return float(here.distance(shapely.Polygon(o.shape.points)))

    for o in sorted((o for o in problem.obstacles if o.on(pinch.level)), key=far)[:NEAREST]:
        if works(replace(problem, obstacles=tuple(v for v in problem.obstacles if v.name != o.name))):
            return [o.name]
    return []


def cures(
    problem: Problem, net: Net, blockers: tuple[str, ...], pinch: Pinch, works: Trials
) -> Iterator[Cure]:
    """Changes that let all nets through, each tried; one of a kind."""
    if net.pins and works(free := _with_net(problem, replace(net, pins=()))):
        yield f"{net.name} without its pins, or other pins (tried without)", free
    lack = max(-pinch.spare, 0.0) + 0.05
    if problem.levels == 1 and works(two := replace(problem, levels=2)):
        yield "a second level (tried)", two
    for less in (0.0, 0.5, 1.0):
        thin = math.floor((net.width - 2 * lack + 0.1 - less) * 2 + 1e-6) / 2
        thinner = _with_net(problem, replace(net, width=thin))
        if thin >= max(2.0, 0.4 * net.width) and works(thinner, True):
            yield f"a channel of {net.name} {thin:g} mm wide instead of {net.width:g} (tried)", thinner
            break
    wall = math.floor((problem.wall - lack - 0.2) * 10) / 10
    if wall >= LEAST_WALL and works(tighter := _less_wall(problem, problem.wall - wall), True):
        yield f"walls and clearances of {wall:g} mm instead of {problem.wall:g} (tried)", tighter
    yield from _moved(problem, net, blockers, pinch, works)


def _works(problem: Problem, fine: bool = True) -> bool:
    from .router import solve

    try:
        solve(problem, thorough=False, fine=fine)
    except NoRoute:
        return False
    return True


def _with_net(problem: Problem, net: Net) -> Problem:
    return replace(problem, nets=tuple(net if n.name == net.name else n for n in problem.nets))


def _less_wall(problem: Problem, by: float) -> Problem:
    obstacles = tuple(replace(o, clearance=max(0.0, o.clearance - by)) for o in problem.obstacles)
    wall = problem.wall - by
    return replace(problem, wall=wall, wall_same=min(problem.wall_same, wall), obstacles=obstacles)


def _moved(
    problem: Problem, net: Net, blockers: tuple[str, ...], pinch: Pinch, works: Trials
) -> Iterator[Cure]:
    """The smallest of a few moves of the port nearest to the narrow place that helps."""
    names = {net.name, *blockers} - set(problem.given)
    near = [(n, t) for n in problem.nets if n.name in names for t in n.terminals]
    n, t = min(near, key=lambda v: math.dist(v[1].at, pinch.at))
    away = np.array(t.at) - np.array(pinch.at)
    away = away / np.hypot(*away) if np.hypot(*away) > 1e-6 else np.array([1.0, 0.0])
    axes = sorted([(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)], key=lambda d: -float(away @ np.array(d)))
    for by in MOVES:
        for dx, dy in axes[:3]:
            there = Terminal(t.name, (t.at[0] + by * dx, t.at[1] + by * dy), t.radius, t.level)
            moved = replace(n, terminals=tuple(there if v.name == t.name else v for v in n.terminals))
            changed = _with_net(problem, moved)
            if _stands_clear(changed, moved, there) and works(changed):
                yield f"{t.name} moved by {by:g} mm to x {there.at[0]:g}, y {there.at[1]:g} (tried)", changed
                return


def _stands_clear(problem: Problem, net: Net, t: Terminal) -> bool:
    """Whether a moved port still keeps its distances."""
    from .flat import outline_polygon

    region = outline_polygon(problem.outline)
    point = shapely.Point(t.at)
    if not region.contains(point):
        return False
    extra = t.radius + net.margin - net.half
    keeps = Limits(problem, region).still(net, t.level or 0, max(extra, 0.0))
    return all(point.distance(k.shape) >= k.distance for k in keeps)
