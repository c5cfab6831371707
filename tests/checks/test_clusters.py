"""What may share volume: never parted where plan regions overlap (by shapely), parted where they stand clearly apart."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point

from rillwright.checks.solid.clusters import clusters, within
from rillwright.layout import paths
from rillwright.layout.features import Cut, Feature, Line, Outline, PlateLayout
from rillwright.layout.paths import Bow, Piece, Straight
from rillwright.layout.pockets import Area, Path, Pocket, Stroke

THICK, DEEP = 12.0, 3.0


def rectangle(x: float, y: float, long: float, wide: float) -> Outline:
    a, b, c, d = (x, y), (x + long, y), (x + long, y + wide), (x, y + wide)
    return Outline(a, (Line(b), Line(c), Line(d), Line(a)))


def plate(features: tuple[Feature, ...], pockets: tuple[Pocket, ...]) -> PlateLayout:
    return PlateLayout("p", rectangle(-100, -100, 200, 200), THICK, "pmma-cast", True, 0.0, features, pockets=pockets)


def stroke(rng: np.random.Generator, name: str) -> Pocket:
    at, turn = (float(rng.uniform(-60, 60)), float(rng.uniform(-60, 60))), float(rng.uniform(0, math.tau))
    out: list[Piece] = []
    for _ in range(2):
        long, r, sweep = (float(v) for v in (rng.uniform(2, 40), rng.uniform(6, 20), rng.uniform(-3, 3)))
        end = (at[0] + long * math.cos(turn), at[1] + long * math.sin(turn))
        sign = math.copysign(1.0, sweep)
        c = (end[0] - sign * r * math.sin(turn), end[1] + sign * r * math.cos(turn))
        bow = Bow(c, r, math.atan2(end[1] - c[1], end[0] - c[0]), sweep)
        out += [Straight(at, end), bow]
        at, turn = bow.end, turn + sweep
    return Pocket(name, "channel", "seal", Stroke(paths.path(out), float(rng.uniform(1, 10))), DEEP, ("seal",))


def hole(rng: np.random.Generator, name: str) -> Feature:
    r = float(rng.uniform(0.5, 6))
    where = (float(rng.uniform(-60, 60)), float(rng.uniform(-60, 60)), 0.0)
    return Feature(name, "screw", where, (0.0, 0.0, -1.0), ((0.0, 0.0), (r, 0.0), (r, 8.0), (0.0, 8.0)), "seal", ("seal",))


def run(rng: np.random.Generator, name: str) -> Feature:
    """A drilling along the plate at half the pockets' depth."""
    r, a = 1.0, float(rng.uniform(0, math.tau))
    where, long = (float(rng.uniform(-40, 40)), float(rng.uniform(-40, 40)), -DEEP / 2), float(rng.uniform(5, 60))
    profile = ((0.0, 0.0), (r, 0.0), (r, long), (0.0, long))
    return Feature(name, "drilling", where, (math.cos(a), math.sin(a), 0.0), profile, "left", ("left",))


def region(c: Cut) -> Any:
    if isinstance(c, Pocket):
        return paths.region(c.shape, 1e-4)
    if abs(c.axis[2]) > 0.9:
        return Point(c.origin[:2]).buffer(c.radius, 256)
    return LineString([c.origin[:2], c.at(c.depth)[:2]]).buffer(c.radius, cap_style="flat")


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_against_regions(seed: int) -> None:
    rng = np.random.default_rng(seed)
    x, y = (float(v) for v in rng.uniform(-60, 30, 2))
    area = Pocket("a", "recess", "seal", Area(rectangle(x, y, 30, 25)), DEEP, ("seal",))
    pockets = (*(stroke(rng, f"s{i}") for i in range(2)), area)
    features = (*(hole(rng, f"h{i}") for i in range(4)), run(rng, "r"))
    p = plate(features, pockets)
    found = clusters(p)
    assert sorted(c.name for g in found for c in g) == sorted(c.name for c in p.cuts)
    of = {c.name: i for i, g in enumerate(found) for c in g}
    near = {c.name: {c.name} for c in p.cuts}  # what may stand together, by distances with some to spare
    for a, b in combinations(p.cuts, 2):
        apart = region(a).distance(region(b))
        if region(a).intersection(region(b)).area > 1e-3:
            assert of[a.name] == of[b.name], (a.name, b.name)
        lines = not (isinstance(a, Feature) and isinstance(b, Feature))  # two features are told by their boxes
        if apart < 2.0 or not lines:  # a drilling's flat ends are taken for round ones, 1 mm further
            for x, y in ((a, b), (b, a)):
                near[x.name].add(y.name)
    for g in found:
        reached, todo = {g[0].name}, [g[0].name]
        while todo:
            new = near[todo.pop()] - reached
            reached |= new
            todo += new
        assert {c.name for c in g} <= reached


@pytest.mark.parametrize(("gap", "together"), [(0.05, False), (-0.001, True)])
def test_a_groove_and_the_screw_inside_it(gap: float, together: bool) -> None:
    ring = paths.circle((0.0, 0.0), 40.0)
    groove = Pocket("g", "groove", "seal", Stroke(ring, 3.0), 2.0, ("seal",))
    r = 40.0 - 1.5 - gap - 30.0
    profile = ((0.0, 0.0), (r, 0.0), (r, 8.0), (0.0, 8.0))
    screw = Feature("s", "screw", (30.0, 0.0, 0.0), (0.0, 0.0, -1.0), profile, "seal", ("seal",))
    assert (len(clusters(plate((screw,), (groove,)))) == 1) == together


@pytest.mark.parametrize(("gap", "inner"), [(5.0, True), (0.1, True), (0.0, False), (-0.5, False)])
def test_a_pocket_at_the_edge(gap: float, inner: bool) -> None:
    line = Path((-50.0, 100.0 - 4.0 - gap), (Line((50.0, 100.0 - 4.0 - gap)),))
    slot = Pocket("s", "slot", "seal", Stroke(line, 8.0), 2.0, ("seal",))
    p = plate((), (slot,))
    assert within(slot, p.outline) == inner
    area = replace(slot, shape=Area(rectangle(-50, 80.0 - gap, 20, 20)))
    assert within(area, p.outline) == inner
    assert not within(replace(slot, shape=Area(rectangle(300, 0, 20, 20))), p.outline)
