"""Faces as runs of points, boxes of pockets, and that one corner off its surface leaves its faces unexplained."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs import PARAMS
from rillwright.checks.solid.attribution import groups_of
from rillwright.checks.solid.patches import LOOKED_AT, patches
from rillwright.checks.solid.pocket_faces import plan_box
from rillwright.layout import paths
from rillwright.layout.paths import Bow, Piece, Straight
from rillwright.layout.pockets import Path, Pocket, Stroke
from rillwright.pipeline import plan
from rillwright.solids.build import plate_solid
from rillwright.solids.meshing import mesh


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(1, 6), st.integers(1, 40))
def test_patches_against_loops(seed: int, count: int, more: int) -> None:
    rng = np.random.default_rng(seed)
    vertices = rng.normal(size=(30, 3))
    triangles = rng.integers(0, 30, (count + more, 3))
    faces = np.r_[np.arange(count), rng.integers(0, count, more)]
    p = patches(vertices, triangles, faces)
    assert len(p) == count
    low, high = p.boxes
    for i in range(count):
        own = vertices[np.unique(triangles[faces == i])]
        assert np.array_equal(p.points_of(i), own)
        assert np.array_equal(low[i], own.min(axis=0))
        assert np.array_equal(high[i], own.max(axis=0))
        corner = vertices[triangles[faces == i]]
        size = np.linalg.norm(np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]), axis=1)
        assert np.array_equal(p.middles_of(i), corner[np.argsort(-size, kind="stable")[:LOOKED_AT]].mean(axis=1))
        assert all((own == q).all(axis=1).any() for q in p.few(np.array([i]))[0])
    inside = p.points[:, 0] < 1.0
    assert p.all_of(inside).tolist() == [bool((p.points_of(i)[:, 0] < 1.0).all()) for i in range(count)]
    at = np.flatnonzero(rng.random(count) < 0.5)
    part = p.only(at)
    assert len(part) == len(at)
    for k, i in enumerate(at.tolist()):
        assert np.array_equal(part.points_of(k), p.points_of(i))
        assert np.array_equal(part.middles_of(k), p.middles_of(i))


def line(seed: int) -> Path:
    """Straights and arcs in turn, without corners."""
    rng = np.random.default_rng(seed)
    at, heading = (float(rng.uniform(-50, 50)), float(rng.uniform(-50, 50))), float(rng.uniform(0, math.tau))
    out: list[Piece] = []
    for _ in range(3):
        long, r, sweep = (float(v) for v in (rng.uniform(1, 30), rng.uniform(1, 20), rng.uniform(-5, 5)))
        end = (at[0] + long * math.cos(heading), at[1] + long * math.sin(heading))
        sign = math.copysign(1.0, sweep)
        centre = (end[0] - sign * r * math.sin(heading), end[1] + sign * r * math.cos(heading))
        bow = Bow(centre, r, math.atan2(end[1] - centre[1], end[0] - centre[0]), sweep)
        out += [Straight(at, end), bow]
        at, heading = bow.end, heading + sweep
    return paths.path(out)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 2**32 - 1), st.floats(0.5, 12))
def test_box_of_a_stroke(seed: int, width: float) -> None:
    path = line(seed)
    box = plan_box(Pocket("p", "channel", "seal", Stroke(path, width), 3.0, ("seal",)))
    points = np.array([q for _, q, _ in paths.along(path, 0.01)])
    assert box[:2] == pytest.approx(points.min(axis=0) - width / 2, abs=1e-4)  # chords of 0.01 mm on arcs of 1 mm
    assert box[2:] == pytest.approx(points.max(axis=0) + width / 2, abs=1e-4)
    assert (np.array(box[:2]) <= points.min(axis=0) - width / 2 + 1e-9).all()
    assert (np.array(box[2:]) >= points.max(axis=0) + width / 2 - 1e-9).all()


def test_a_corner_off_its_surface() -> None:
    plate = plan(PARAMS / "bench-single.yaml").layout.plates[0]
    m = mesh(plate_solid(plate), 0.05)
    vertices, faces = m.vertices * [1, 1, plate.side], m.face_of_triangle
    sound = groups_of(plate, vertices, m.triangles, faces, 0.1)
    assert None not in sound
    passages = [i for i, g in enumerate(sound) if g is not None and g.kind == "passage"]
    for i in passages[:: len(passages) // 12]:
        n = m.triangles[faces == i][0, 0]
        own = np.unique(faces[(m.triangles == n).any(axis=1)])
        off = vertices.copy()
        off[n] += [0.004, 0.003, 0.006]  # more than 0.001 mm off all that meets there
        found = groups_of(plate, off, m.triangles, faces, 0.1)
        assert found[i] is None
        assert all(found[k] is not None for k in range(len(found)) if k not in own)
