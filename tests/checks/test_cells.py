"""Cells of a closed mesh against the half-spaces of a turned box, which knows of no triangles."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from rillwright.checks.solid.voxels import cells

CORNERS = np.array([[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)], float)
SIDES = np.array([[0, 1, 3, 2], [4, 6, 7, 5], [0, 4, 5, 1], [2, 3, 7, 6], [0, 2, 6, 4], [1, 5, 7, 3]])
TRIANGLES = np.array([t for a, b, c, d in SIDES for t in ((a, b, c), (a, c, d))])


@settings(max_examples=40, deadline=None)
@given(st.tuples(*[st.floats(0.3, 30)] * 3), st.integers(0, 2**16), st.floats(0.4, 3))
def test_a_turned_box_fills_the_cells_whose_middles_lie_in_it(half: tuple[float, ...], seed: int, pitch: float) -> None:
    turn, _ = np.linalg.qr(np.random.default_rng(seed).normal(size=(3, 3)))
    found = cells(CORNERS * half @ turn.T, TRIANGLES, pitch)
    inside = np.abs(found.middles(np.ones_like(found.full)) @ turn)
    clear = (np.abs(inside - half) > 1e-6).all(axis=1)  # a middle in a side itself may count either way
    assert ((inside < half).all(axis=1) == found.full.reshape(-1))[clear].all()
