"""Drillings chosen for all nets together keep their walls, by exact distances of axes, and join every port."""

from __future__ import annotations

import math
import random
from itertools import combinations

import pytest

from rillwright.layout.geometry import Segment, segment_distance
from rillwright.layout.routing.drilled import Block, Hole, NoSet, Ports, Tree, choose


def strewn(seed: int) -> Block:
    rng = random.Random(seed)
    at: list[tuple[float, float]] = []
    while len(at) < 9:
        p = (float(rng.randint(-125, 125)), float(rng.randint(-55, 55)))
        if all(math.dist(p, q) > 24 for q in at):
            at.append(p)
    parts = [at[:2], at[2:4], at[4:6], at[6:]]
    nets = tuple(Ports(f"n{k}", f"loop-{k}", 8.0, tuple(p)) for k, p in enumerate(parts))
    holes: list[Hole] = []
    while len(holes) < 8:
        p = (rng.uniform(-140, 140), rng.uniform(-70, 70))
        if all(math.dist(p, q) > 16 for q in at):
            holes.append(Hole(f"h{len(holes)}", p, 2.5))
    return Block(300, 160, 30, nets, tuple(holes), 3.0, 3.0)


def axes(block: Block, net: Ports, tree: Tree) -> list[Segment]:
    begin = {"left": (-block.length / 2, None), "right": (block.length / 2, None),
             "front": (None, -block.width / 2), "back": (None, block.width / 2)}  # fmt: skip
    out: list[Segment] = []
    for r in tree.runs:
        x, y = begin[r.edge]
        out.append(((r.to[0] if x is None else x, r.to[1] if y is None else y, r.z), r.to))
    return out + [((x, y, 0.0), (x, y, tree.z)) for x, y in net.at]


@pytest.mark.parametrize("seed", range(4))
def test_walls_are_kept_and_ports_joined(seed: int) -> None:
    block = strewn(seed)
    try:
        trees = choose(block)
    except NoSet:
        return
    lines = [axes(block, n, t) for n, t in zip(block.nets, trees, strict=True)]
    for a, b in combinations(range(len(lines)), 2):
        assert min(segment_distance(p, q) for p in lines[a] for q in lines[b]) >= 8.0 + 3.0 - 1e-6
    for of in lines:
        for h in block.holes:
            hole = ((*h.at, -30.0), (*h.at, 0.0))
            assert min(segment_distance(p, hole) for p in of) >= 4.0 + 2.5 + 3.0 - 1e-6
        for n in range(1, len(of)):
            assert min(segment_distance(of[n], q) for m, q in enumerate(of) if m != n) < 1e-9  # none stands alone


def test_two_ports_in_line_need_one_drilling() -> None:
    block = Block(200, 100, 20, (Ports("a", "hot", 8.0, ((-60.0, 10.0), (-20.0, 10.0))),), (), 3.0, 3.0)
    (tree,) = choose(block)
    assert [(r.edge, r.along, r.length) for r in tree.runs] == [("left", 10.0, 80.0)]


def test_nets_that_cannot_be_drilled_are_named() -> None:
    cross = (Ports("a", "hot", 8.0, ((-40.0, 40.0), (40.0, 40.0))), Ports("b", "cold", 8.0, ((0.0, 0.0),)))
    ring = tuple(Hole(f"h{i}", (22 * math.cos(i * 0.5), 22 * math.sin(i * 0.5)), 3.0) for i in range(13))
    with pytest.raises(NoSet) as failed:
        choose(Block(200, 100, 20, cross, ring, 3.0, 3.0))
    assert failed.value.nets == ("b",)


def test_a_plate_too_thin_for_the_drill_has_no_set() -> None:
    with pytest.raises(NoSet, match="a: "):
        choose(Block(200, 100, 12, (Ports("a", "hot", 8.0, ((-40.0, 0.0), (40.0, 5.0))),), (), 3.0, 3.0))
