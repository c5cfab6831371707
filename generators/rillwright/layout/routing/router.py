"""The whole way: grid, ways round, taut strings, bends, and the answer."""

from __future__ import annotations

import numpy as np

from .flat import path_line
from .grid import Grid
from .limits import Limits, spare
from .problem import Closest, NoRoute, Problem, RoutedLeg, Routing
from .ripup import Board, Laid, in_order, negotiate, shorten
from .taut import Loom, knots

ROUNDS = 3


def solve(problem: Problem) -> Routing:
    """Routes every net that is not given; raises NoRoute."""
    grid = Grid(problem)
    board = Board(problem, grid)
    rng = np.random.default_rng(problem.seed)
    limits = Limits(problem, grid.region)
    for laid in found(board, rng):
        board.laid = laid
        loom = Loom(problem, limits, {n: knots(board, grid, n) for n in board.names})
        for _ in range(ROUNDS):
            for name in board.names:
                loom.pull(name)
        if all(s.tight for k in loom.nets.values() for s in k.strands):
            return answer(problem, board, loom)
    raise NoRoute("?", (), (0.0, 0.0), 0.0, ())


def found(board: Board, rng: np.random.Generator) -> list[dict[str, Laid]]:
    """Ways round, shortest first."""
    out: list[tuple[float, dict[str, Laid]]] = []
    for attempt in range(6):
        done = negotiate(board, rng, 80) if attempt % 2 == 0 else in_order(board, rng, 10)
        if done:
            out.append((board.length, dict(board.laid)))
    out.sort(key=lambda v: v[0])
    best = []
    for _, laid in out[:2]:
        board.laid = dict(laid)
        shorten(board, rng, 30)
        best.append((board.length, dict(board.laid)))
    best.sort(key=lambda v: v[0])
    return [laid for _, laid in best + out[2:]]


def answer(problem: Problem, board: Board, loom: Loom) -> Routing:
    paths = {n: tuple(RoutedLeg(s.path, s.level, (s.a, s.b)) for s in k.strands) for n, k in loom.nets.items()}
    paths.update(problem.given)
    closest = [Closest(1e9, ("", ""), (0.0, 0.0))]
    for n, k in loom.nets.items():
        for s in k.strands:
            left, other, at = spare(path_line(s.path), loom.keeps(k.net, s.level))
            closest.append(Closest(left, (n, other), at))
    length = {n: k.length for n, k in loom.nets.items()}
    return Routing(paths, tuple(loom.vias()), length, dict(board.alone), min(closest, key=lambda c: c.spare))
