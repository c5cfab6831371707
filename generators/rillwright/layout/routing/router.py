"""The whole way: grid, ways round, taut strings, bends, and the answer."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import partial

import numpy as np

from .bends import smooth, through_pins, too_tight
from .board import Board, Laid
from .flat import path_line
from .folds import apart
from .grid import FAR, PITCH, Grid
from .limits import Limits, spare
from .problem import Closest, Net, NoRoute, Problem, RoutedLeg, Routing, TightBend, Unexplained
from .ripup import in_order, negotiate, shorten
from .taut import CLOSE, Loom, knots

ROUNDS = 3
ATTEMPTS = 10  # and no more than two a net, one in each manner: few nets have few orders
TURNS, TURNS_A_NET = 80, 16  # that nets are laid again in one attempt
QUICK = 4  # attempts where only a cure is tried
ENOUGH = 3  # ways round that were found
SHORTENED = 2  # of them that are shortened
GOOD = 1.06  # times the nets' lengths alone: such a way round ends the search
POOR = 1.2  # such a one is not yet good enough
LONG = 1.25  # times the nets' lengths alone: one that is longer is looked for on the strict board too
WIDER = 4  # times that nets are led as if they were wider where a bend found no room
PULLED = 2  # of those that are pulled tight at most, the shortest first


def solve(problem: Problem, thorough: bool = True, explained: bool = True, fine: bool = True) -> Routing:
    """Routes every net that is not given; raises NoRoute, or Unexplained where the reason is not wanted yet.

    Without `thorough` the first way round that can be pulled tight will do, and a failure is not explained. Without `fine`
    gaps that lie between the nodes of the coarse grid may be missed.
    """
    from .blame import explain

    coarse = Grid(problem, PITCH)
    board = Board(problem, coarse, loose=True)
    best, tight = _shortest(board, thorough)
    if best is not None and (not thorough or _over(best) <= LONG):
        return best
    if best is not None or tight:  # else nothing was found where more is let through
        other, tight = _shortest(Board(problem, coarse), thorough)
        best = _shorter(best, other)
    if best is not None:
        return best
    if not fine:
        raise NoRoute(_named(tight), (), (0.0, 0.0), 0.0, ())
    board = Board(problem, Grid(problem, PITCH / 2))  # it finds narrow gaps that lie between the nodes of the coarse one
    best, tight = _shortest(board, thorough)
    if best is not None:
        return best
    name, bend = _named(tight), tight if isinstance(tight, TightBend) else None
    if not thorough:
        raise NoRoute(name, (), (0.0, 0.0), 0.0, ())
    if not explained:
        raise Unexplained(partial(explain, problem, board, name, bend))
    raise explain(problem, board, name, bend)


def _named(tight: str | TightBend) -> str:
    return tight.net if isinstance(tight, TightBend) else tight


def _over(r: Routing) -> float:
    """Its length over that of the nets alone."""
    return sum(r.length.values()) / max(sum(r.steiner.values()), CLOSE)


def _shorter(a: Routing | None, b: Routing | None) -> Routing | None:
    """The shorter of two, with the shorter of their estimates of each net alone."""
    if a is None or b is None:
        return a or b
    least = {n: min(v, b.steiner[n]) for n, v in a.steiner.items()}
    return replace(min(a, b, key=lambda r: sum(r.length.values())), steiner=least)


def _shortest(board: Board, thorough: bool) -> tuple[Routing | None, str | TightBend]:
    """The shortest of the ways round that can be pulled tight, or the net or bend that could not last.

    Where a bend finds no room, its net is led as if it were wider: that keeps its way out of narrow places, and the line
    itself is then pulled with its true width.
    """
    limits = Limits(board.p, board.g.region)
    best, tight = _pulled(board, board, limits, thorough)
    more: dict[str, float] = {}
    for _ in range(WIDER):
        if best is not None or not isinstance(tight, TightBend):
            break
        radius = board.nets[tight.net].bend_radius or 0.0
        more[tight.net] = more.get(tight.net, 0.0) + (radius - tight.radius) / 2
        wide = [replace(n, margin=n.margin + more.get(n.name, 0.0)) for n in board.p.nets]
        best, other = _pulled(board, Board(replace(board.p, nets=tuple(wide)), board.g, board.loose), limits, thorough)
        tight = other or tight
    if best is None:
        return None, tight
    return replace(best, steiner=alone(board.p, board, limits)), ""


def _pulled(board: Board, led: Board, limits: Limits, thorough: bool) -> tuple[Routing | None, str | TightBend]:
    """The shortest of the ways round on the board `led`, pulled tight in the plate of the other."""
    best: Routing | None = None
    tight: str | TightBend = ""
    for laid in found(led, np.random.default_rng(board.p.seed), thorough):
        board.laid = laid
        routing, tight = woven(board.p, board, limits)
        if routing is not None and (best is None or sum(routing.length.values()) < sum(best.length.values())):
            best = routing
            if not thorough:
                break
    return best, tight


def found(board: Board, rng: np.random.Generator, thorough: bool) -> list[dict[str, Laid]]:
    """Ways round on the grid, shortest first; none where a net has no way even alone.

    Where the shortest has great detours, as many again are looked for; one that has hardly any ends the search.
    """
    if any(v >= FAR for v in board.alone.values()):
        return []
    least = sum(board.alone.values())
    if not thorough:
        return [laid for _, laid in _ways(board, rng, range(QUICK), 1, 0.0)]
    out: list[tuple[float, dict[str, Laid]]] = []
    tries = min(ATTEMPTS, 2 * len(board.names))
    for begin in (0, tries):
        ways = _ways(board, rng, range(begin, begin + tries), ENOUGH, GOOD * least)
        out = _different([*out, *(_shortened(board, rng, laid) for _, laid in _different(ways)[:SHORTENED])])
        if not out or out[0][0] <= POOR * least:
            break  # also where nothing was found: as many tries again find hardly ever more
    return [laid for _, laid in out[:PULLED]]


def _ways(
    board: Board, rng: np.random.Generator, attempts: range, enough: int, good: float
) -> list[tuple[float, dict[str, Laid]]]:
    """So many ways round, or those up to the first that is no longer than `good`."""
    out: list[tuple[float, dict[str, Laid]]] = []
    turns = min(TURNS, TURNS_A_NET * len(board.names))
    for attempt in attempts:
        if negotiate(board, rng, turns) if attempt % 2 == 0 else in_order(board, rng, 10):
            out.append((board.length, dict(board.laid)))
            if len(out) == enough or board.length <= good:
                break
    return out


def _different(ways: list[tuple[float, dict[str, Laid]]]) -> list[tuple[float, dict[str, Laid]]]:
    """Shortest first, of equal lengths one."""
    out: list[tuple[float, dict[str, Laid]]] = []
    for length, laid in sorted(ways, key=lambda v: v[0]):
        if not out or length > out[-1][0] + 1e-6:
            out.append((length, laid))
    return out


def _shortened(board: Board, rng: np.random.Generator, laid: dict[str, Laid]) -> tuple[float, dict[str, Laid]]:
    board.laid = dict(laid)
    shorten(board, rng, 25)
    return board.length, dict(board.laid)


def woven(problem: Problem, board: Board, limits: Limits) -> tuple[Routing | None, str | TightBend]:
    """The ways on the board pulled tight and bent; None with the net, or the bend, that did not fit where one did not."""
    loom = Loom(problem, limits, {n: knots(board, board.g, n) for n in board.names})
    for _ in range(ROUNDS):
        for name in board.names:
            loom.pull(name)
    for name in board.names:
        if _goes_back(loom, name) or not all(s.tight for s in loom.nets[name].strands) or not apart(loom, name):
            return None, name
        through_pins(loom, name)
        smooth(loom, name)
        if not all(path_line(s.path).is_simple for s in loom.nets[name].strands):
            return None, name
        if (bend := too_tight(loom, name)) is not None:
            return None, bend
    closest = measured(loom)
    if closest.spare < -2 * CLOSE:
        return None, closest.between[0]
    paths = {n.name: _legs(problem, loom, n) for n in problem.nets}
    length = {n: k.length for n, k in loom.nets.items()}
    return Routing(paths, tuple(loom.vias()), length, {}, closest), ""


def _goes_back(loom: Loom, name: str) -> bool:
    """Whether a net comes to a way point and leaves it the way it came: a dead end."""
    k = loom.nets[name]
    return any(sum(pin in (s.a, s.b) for s in k.strands) == 1 for pin in k.pins)


def _legs(problem: Problem, loom: Loom, net: Net) -> tuple[RoutedLeg, ...]:
    if net.name in problem.given:
        return problem.given[net.name]
    return tuple(RoutedLeg(s.path, s.level, (s.a, s.b)) for s in loom.nets[net.name].strands)


def measured(loom: Loom) -> Closest:
    """The tightest place of all channels and vias, by distances of lines."""
    least = Closest(math.inf, ("", ""), (0.0, 0.0))
    for n, k in loom.nets.items():
        for s in k.strands:
            left, other, at = spare(path_line(s.path), loom.keeps(k.net, s.level))
            least = min(least, Closest(left, (n, other), at), key=lambda c: c.spare)
    return min(least, loom.tightest_via(), key=lambda c: c.spare)


def alone(problem: Problem, board: Board, limits: Limits) -> dict[str, float]:
    """Length of each net's shortest tree when no other channel lies, pulled tight, mm."""
    out = {}
    for name in board.names:
        ways = board.alone_ways[name]
        board.laid = {}
        board.lay(name, ways)
        loom = Loom(problem, limits, {name: knots(board, board.g, name)})
        for _ in range(2):
            loom.pull(name)
        out[name] = loom.nets[name].length
    return out
