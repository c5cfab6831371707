"""The stage's cords against the kernel's solids of the same parts."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.spatial import cKDTree

from rillwright.export.report.cord_mesh import cord_mesh
from rillwright.layout.job_layout import JobLayout
from rillwright.pipeline import plan
from rillwright.solids.build import hardware_solid
from rillwright.solids.keep import packed_mesh, unpacked_mesh
from rillwright.solids.meshing import mesh

PARAMS = Path(__file__).parents[3] / "params"


@pytest.fixture(scope="module")
def layout() -> JobLayout:
    return plan(PARAMS / "valve-board.yaml").layout


def test_a_cord_is_closed_and_where_the_solid_is(layout: JobLayout) -> None:
    cords = [h for h in layout.hardware if h.path is not None and h.path.closed]
    assert cords
    for cord in cords[:3]:
        ours, theirs = cord_mesh(cord), mesh(hardware_solid(cord), 0.05, 0.2)
        sides = np.sort(np.concatenate([ours.triangles[:, [i, (i + 1) % 3]] for i in range(3)]), axis=1)
        assert (np.unique(sides, axis=0, return_counts=True)[1] == 2).all()
        assert ours.volume == pytest.approx(theirs.volume, rel=0.08)  # a section of a dozen corners, chords of 0.15 mm
        apart, _ = cKDTree(theirs.vertices[:, :2]).query(ours.vertices[:, :2])
        assert np.abs(ours.vertices.min(axis=0) - theirs.vertices.min(axis=0)).max() < 0.25
        assert np.abs(ours.vertices.max(axis=0) - theirs.vertices.max(axis=0)).max() < 0.25
        assert np.median(apart) < 1.0


def test_an_open_line_is_refused(layout: JobLayout) -> None:
    screw = next(h for h in layout.hardware if h.path is None)
    with pytest.raises(ValueError, match="closed"):
        cord_mesh(screw)


def test_a_mesh_comes_back_as_it_was(layout: JobLayout) -> None:
    cord = next(h for h in layout.hardware if h.path is not None and h.path.closed)
    for made in (cord_mesh(cord), mesh(hardware_solid(cord), 0.15, 0.7)):
        back = unpacked_mesh(packed_mesh(made))
        for name in ("vertices", "triangles", "face_of_triangle"):
            assert np.array_equal(getattr(back, name), getattr(made, name))
        assert len(back.edges) == len(made.edges)
        assert all(np.array_equal(a, b) for a, b in zip(back.edges, made.edges, strict=True))
