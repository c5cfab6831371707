"""Which way round: nets on the grid, ripped up and laid again until none is in another's way, then shortened.

Nets are laid one by one where others cost a growing price; those that stand in the way are ripped up and wait for
their turn. What is found is shortened: a net with a detour is laid as if others were cheap, those in its way are laid
again round it, and the change stays if all became shorter. All by one random generator: the same seed, the same ways.
"""

from __future__ import annotations

import numpy as np

from .board import Board, Laid
from .grid import Array

PRICE = 2.0
CHEAP = (0.3, 1.0, 3.0)  # prices of others where a shorter way is looked for


def negotiate(board: Board, rng: np.random.Generator, turns: int) -> bool:
    """Lays all nets, each ripping up what stands in its way, whose price grows each time; False after `turns`."""
    board.laid.clear()
    queue = [board.names[i] for i in rng.permutation(len(board.names))]
    price = dict.fromkeys(board.names, PRICE)
    history = np.zeros(board.g.nodes)
    while queue and turns:
        turns -= 1
        name = queue.pop(0)
        ways = board.try_lay(name, price, history)
        if ways is None:
            return False
        laid = board.lay(name, ways)
        for other in board.in_the_way(name):
            _remember(board, history, laid, other, name)
            del board.laid[other]
            price[other] += PRICE
            queue.append(other)
    return not queue


def _remember(board: Board, history: Array, laid: Laid, other: str, name: str) -> None:
    """Ground that was fought over becomes dearer for all."""
    nodes = np.unique([n for w in board.laid[other].ways for n in w])
    level, place = nodes // board.g.plane, nodes % board.g.plane
    history[nodes[laid.off[level, place] < board.need(name, other)]] += 0.3


def in_order(board: Board, rng: np.random.Generator, tries: int) -> bool:
    """Lays nets in an order, others being walls; a net without a way goes first in the next try."""
    order = [board.names[i] for i in rng.permutation(len(board.names))]
    wall = dict.fromkeys(board.names, np.inf)
    for n in range(tries):
        board.laid.clear()
        failed = ""
        for name in order:
            ways = board.try_lay(name, wall)
            if ways is None:
                failed = name
                break
            board.lay(name, ways)
        if not failed:
            return True
        order.remove(failed)
        order.insert(0, failed)
        if n % 3 == 2:
            order = [board.names[i] for i in rng.permutation(len(board.names))]
    return False


def shorten(board: Board, rng: np.random.Generator, turns: int) -> None:
    """Nets with a detour are laid again, others giving way where that makes the whole shorter.

    What was tried in vain is not tried again until something else has changed; with nothing left to try it ends.
    """
    vain: set[tuple[str, float]] = set()
    for _ in range(turns):
        excess = np.array([max(0.0, board.laid[n].length - board.alone[n]) for n in board.names])
        if excess.sum() < 0.01 * board.length:
            return
        left = [(k, v) for k, n in enumerate(board.names) for v in CHEAP if excess[k] > 0 and (n, v) not in vain]
        if not left:
            return
        weight = excess[[k for k, _ in left]]
        k, value = left[int(rng.choice(len(left), p=weight / weight.sum()))]
        before, was = dict(board.laid), board.length
        if _again(board, rng, board.names[k], dict.fromkeys(board.names, value)) and board.length < was - 1e-6:
            vain.clear()
        else:
            board.laid = before
            vain.add((board.names[k], value))


def _again(board: Board, rng: np.random.Generator, name: str, price: dict[str, float]) -> bool:
    del board.laid[name]
    ways = board.try_lay(name, price)
    if ways is None:
        return False
    board.lay(name, ways)
    ripped = board.in_the_way(name)
    if len(ripped) > 3:
        return False
    for other in ripped:
        del board.laid[other]
    wall = dict.fromkeys(board.names, np.inf)
    for other in rng.permutation(np.array(ripped, dtype=object)):
        ways = board.try_lay(str(other), wall)
        if ways is None:
            return False
        board.lay(str(other), ways)
    return True
