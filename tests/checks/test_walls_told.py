"""Which walls are measured exactly: every one that could be too thin, and the thinnest; whatever boxes put aside first."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rillwright.checks.solid import walls
from rillwright.checks.solid.attribution import Group
from rillwright.checks.solid.walls import SEARCH, Wall

SLACK = 0.05


class Fake:
    """A mesh that knows the true gap of each wall to within its slack; of some it lacks a group."""

    slack = SLACK

    def __init__(self, by_mesh: dict[str, float], lacking: set[str]) -> None:
        self.by_mesh, self.lacking = by_mesh, lacking

    def distance(self, a: Group, _: Group) -> float:
        return 0.0 if a.name in self.lacking else self.by_mesh[a.name]

    def has(self, w: Wall) -> bool:
        return w.a.name not in self.lacking


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(1, 30))
def test_no_wall_that_matters_is_put_aside(seed: int, count: int) -> None:
    rng = np.random.default_rng(seed)
    true = {f"g{i}": float(v) for i, v in enumerate(rng.uniform(0, rng.choice([SEARCH, 30.0]), count))}
    boxes = {name: float(v * rng.choice([0.0, 0.5, 1.0])) for name, v in true.items()}
    by_mesh = {name: max(0.0, v + float(rng.uniform(-SLACK, SLACK)) * 0.99) for name, v in true.items()}
    lacking = {name for name in true if rng.random() < 0.05}
    other: Any = None
    limits = rng.uniform(1, 5, count).tolist()
    found = [
        Wall(Group(n, None, "passage"), other, "wall.dry", limit, boxes[n], (), other, other)
        for n, limit in zip(true, limits, strict=True)
    ]
    order = sorted(range(count), key=lambda n: found[n].measured - found[n].limit)

    def exact_of(w: Wall, *_: object) -> Wall:
        return replace(w, measured=true[w.a.name], at=((0.0, 0.0, 0.0),))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(walls, "_exact", exact_of)
        mesh: Any = Fake(by_mesh, lacking)
        told = walls._told({n: found[n] for n in order}, mesh, 1.0)
    assert sorted(told) == list(range(count))
    exact = [w for w in told.values() if w.at]
    margins = {w.a.name: true[w.a.name] - w.limit for w in found}
    assert {n for n, m in margins.items() if m < 0} <= {w.a.name for w in exact}
    assert {n for n in lacking if boxes[n] <= SEARCH} <= {w.a.name for w in exact}
    assert all(w.measured <= true[w.a.name] + SLACK for w in told.values())
    if max(true.values()) <= SEARCH and not lacking:  # beyond it a box's gap is answer enough
        least = min(margins.values())
        assert any(margins[w.a.name] <= least + 2 * SLACK for w in exact)
