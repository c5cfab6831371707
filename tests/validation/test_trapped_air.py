"""Air that stays and coolant that does not drain, on shapes with exact answers and by a second algorithm."""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import ndimage
from skimage.morphology import reconstruction

from rillwright.checks.solid.air import turned
from rillwright.checks.solid.pockets_of_air import kept, places, pockets, reached, trapped, volume
from rillwright.checks.solid.voxels import Grid, cells


def grid(*shape: int) -> Grid:
    return np.zeros(shape, bool)


def u_leg() -> tuple[Grid, Grid]:
    """Two legs 5 × 50 high on a foot; the left one is open at its top."""
    wet, mouth = grid(60, 3, 60), grid(60, 3, 60)
    wet[5:10, 1, :50] = wet[50:55, 1, :50] = wet[5:55, 1, :5] = True
    mouth[5:10, 1, 49] = True
    return wet, mouth


def test_a_blind_leg_keeps_its_air_above_the_foot() -> None:
    wet, mouth = u_leg()
    held = kept(places(wet), mouth)
    assert held.sum() == 5 * 45
    assert held[50:55, 1, 5:50].all()


def test_two_blind_legs_on_one_foot_are_two_pockets() -> None:
    wet, mouth = u_leg()
    wet[30:35, 1, :20] = True
    net = places(wet)
    number = pockets(net, net.at(mouth))[net.number]
    left, right = number[30:35, 1, 5:20], number[50:55, 1, 5:50]
    assert {int(left.min()), int(right.min())} == {int(left.max()), int(right.max())} == {1, 2}
    assert (number > 0).sum() == left.size + right.size == volume(net, net.at(mouth))


def test_cells_that_nothing_joins_to_a_mouth_are_left_out() -> None:
    wet, mouth = u_leg()
    wet[20:25, 1, 30:40] = True
    net = places(wet)
    seen = reached(net, net.at(mouth))
    assert net.cells.sum() - seen.cells.sum() == 50
    assert not seen.number[20:25, 1, 30:40].any()
    assert volume(seen, seen.at(mouth)) == 5 * 45


def test_an_inverted_u_keeps_the_coolant_of_its_blind_leg() -> None:
    wet, mouth = (g[:, :, ::-1].copy() for g in u_leg())
    assert kept(places(wet), mouth, up=False).sum() == 5 * 45


@pytest.mark.parametrize("degrees", [10, 20, 35])
def test_a_tilted_box_keeps_a_wedge(degrees: float) -> None:
    # Box 60 × 20 × 40, its mouth the top's left edge: tilted to the right about y, the air above the level through that
    # edge stays: a triangle of base 60 and height 60 tan(tilt) (prism area), as long as that is less than 40 high.
    box = trimesh.creation.box((60.0, 20.0, 40.0))
    lean = math.radians(degrees)
    up = (math.sin(lean), 0.0, math.cos(lean))
    turn = turned(up)
    found = cells(np.asarray(box.vertices) @ turn.T, np.asarray(box.faces), 0.5)
    middle = found.middles(found.full) @ turn  # back in the box's frame
    mouth = np.zeros_like(found.full)
    mouth[found.full] = (middle[:, 0] < -29.0) & (middle[:, 2] > 19.0)
    exact = 60.0 * 60.0 * math.tan(lean) / 2 * 20.0
    # Half a cell of the level's area (60 / cos × 20), and the mouth's own width of 1 mm.
    slack = 60.0 / math.cos(lean) * 20.0 * 0.9
    assert abs(kept(places(found.full), mouth).sum() * 0.125 - exact) < slack


@pytest.mark.parametrize("up", [(0, 0, 1), (1, 2, 3), (-1, -1, 0.2)])
def test_a_dome_keeps_its_cap(up: tuple[float, float, float]) -> None:
    # Ball of radius 20, its mouth a ring at height 8: what stays is the cap above, π h² (3 R − h)/3 with h = 12.
    ball = trimesh.creation.icosphere(5, 20.0)
    found = cells(np.asarray(ball.vertices) @ turned(up).T, np.asarray(ball.faces), 0.5)
    middle = found.middles(found.full)
    mouth = np.zeros_like(found.full)
    mouth[found.full] = (np.abs(middle[:, 2] - 8.0) < 0.5) & (np.hypot(middle[:, 0], middle[:, 1]) > 17.0)
    held = kept(places(found.full), mouth).sum() * 0.125
    assert held == pytest.approx(math.pi * 12**2 * (60 - 12) / 3, abs=math.pi * (20**2 - 8**2) * 0.6)


def test_the_grid_has_the_volume_of_the_solid() -> None:
    ball = trimesh.creation.icosphere(5, 10.0)
    for up in ((0, 0, 1), (1, 1, 1)):
        found = cells(np.asarray(ball.vertices) @ turned(up).T, np.asarray(ball.faces), 0.5)
        assert found.volume == pytest.approx(ball.volume, rel=5e-3)


def test_a_hollow_is_left_out_of_the_grid() -> None:
    outer, inner = trimesh.creation.box((20.0, 20.0, 20.0)), trimesh.creation.box((10.0, 10.0, 10.0))
    inner.invert()
    both = trimesh.util.concatenate([outer, inner])
    found = cells(np.asarray(both.vertices), np.asarray(both.faces), 1.0)
    assert found.volume == pytest.approx(20**3 - 10**3, rel=1e-9)


blocks = st.lists(
    st.tuples(*(st.integers(low, high) for low, high in ((0, 9), (0, 5), (0, 9), (1, 6), (1, 4), (1, 6)))),
    min_size=1, max_size=8,
)  # fmt: skip


def built(of: list[tuple[int, ...]]) -> Grid:
    wet = grid(14, 8, 14)
    for x, y, z, dx, dy, dz in of:
        wet[x : x + dx, y : y + dy, z : z + dz] = True
    return wet


@given(blocks, st.integers(0, 10_000))
@settings(max_examples=60, deadline=None)
def test_filling_is_draining_upside_down(of: list[tuple[int, ...]], pick: int) -> None:
    wet = built(of)
    mouth = np.zeros_like(wet)
    mouth[tuple(np.argwhere(wet)[pick % wet.sum()])] = True
    air = kept(places(wet), mouth)
    turned_over = kept(places(wet[:, :, ::-1].copy()), mouth[:, :, ::-1].copy(), up=False)
    assert (air == turned_over[:, :, ::-1]).all()


@given(blocks, st.integers(0, 10_000))
@settings(max_examples=60, deadline=None)
def test_a_second_algorithm_finds_the_same_pockets(of: list[tuple[int, ...]], pick: int) -> None:
    # Grey reconstruction of scikit-image: the best way's lowest point from every cell, by dilation under a mask.
    wet = built(of)
    mouth = np.zeros_like(wet)
    mouth[tuple(np.argwhere(wet)[pick % wet.sum()])] = True
    net = places(wet)
    held = kept(net, mouth)
    assert (held == _by_reconstruction(wet, mouth)).all()
    assert volume(net, net.at(mouth)) == held.sum()
    label, count = ndimage.label(held)
    numbers = pockets(net, net.at(mouth))[net.number][held]
    assert len(np.unique(numbers)) == count == len(np.unique(np.column_stack([numbers, label[held]]), axis=0))


def _by_reconstruction(wet: Grid, mouth: Grid) -> npt.NDArray[np.bool_]:
    height = np.broadcast_to(np.arange(1.0, wet.shape[2] + 1), wet.shape)
    mask = np.where(wet, height, 0.0)
    seed = np.where(mouth, mask, 0.0)
    level = reconstruction(seed, mask, method="dilation", footprint=ndimage.generate_binary_structure(3, 1))
    depth = np.where(wet, np.where(level > 0, mask - level, 100.0), 0.0)  # level 0: no way at all
    label, count = ndimage.label(depth > 0)
    deep = [n for n in range(1, count + 1) if depth[label == n].max() > 1]
    return np.isin(label, deep)


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 2**32 - 1), st.floats(0.3, 0.8), st.booleans())
def test_trapped_is_the_volume_of_what_is_reached(seed: int, full: float, open_: bool) -> None:
    rng = np.random.default_rng(seed)
    wet = rng.random((8, 7, 9)) < full
    mouth = wet & (rng.random(wet.shape) < 0.02) if open_ else np.zeros_like(wet)
    net = places(wet)
    at = net.at(mouth)
    assert trapped(net, at) == volume(reached(net, at), at)
