"""STL files read back, held against a mesh library: sound ones, holed, turned over, in parts, cut short."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st

from rillwright.checks.solid.stl import StlError, StlMesh, read_stl


def by_library(path: Path) -> trimesh.Trimesh:
    mesh = trimesh.load_mesh(path, file_type="stl", process=False)
    mesh.merge_vertices(digits_vertex=5)
    return mesh


def agree(path: Path) -> StlMesh:
    own, other = read_stl(path), by_library(path)
    assert np.array_equal(own.vertices, other.vertices)
    assert np.array_equal(own.faces, other.faces)
    assert np.array_equal(own.triangles, other.triangles)
    assert own.areas == pytest.approx(other.area_faces, abs=1e-9)
    assert own.closed() == (other.is_watertight, other.is_winding_consistent)
    if all(own.closed()):  # an open surface encloses nothing, and each formula gives another figure
        assert own.volume == pytest.approx(other.volume, rel=1e-9, abs=1e-9)
    assert own.bodies == other.body_count
    return own


def written(folder: Path, mesh: trimesh.Trimesh) -> Path:
    path = folder / "part.stl"
    mesh.export(path)
    return path


def test_a_sound_body(tmp_path: Path) -> None:
    m = agree(written(tmp_path, trimesh.creation.icosphere(3, 20.0)))
    assert m.closed() == (True, True)
    assert m.bodies == 1


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 2**32 - 1), st.sampled_from(["hole", "turned", "twice", "flat", "apart", "noise"]))
def test_every_fault_is_seen(tmp_path_factory: pytest.TempPathFactory, seed: int, fault: str) -> None:
    rng = np.random.default_rng(seed)
    ball = trimesh.creation.icosphere(2, 5.0)
    faces, at = ball.faces.copy(), rng.integers(len(ball.faces))
    vertices = ball.vertices + rng.uniform(-100, 100, 3)
    if fault == "hole":
        faces = np.delete(faces, at, axis=0)
    elif fault == "turned":
        faces[at] = faces[at, ::-1]
    elif fault == "twice":
        faces = np.vstack([faces, faces[at]])
    elif fault == "flat":
        faces[at, 1] = faces[at, 0]
    elif fault == "apart":
        faces = np.vstack([faces, faces + len(vertices)])
        vertices = np.vstack([vertices, vertices + np.array([30.0, 0, 0])])
    else:  # corners that are one to 1e-5 mm, and some that are not
        vertices = vertices + rng.uniform(-2e-5, 2e-5, vertices.shape)
    mesh = trimesh.Trimesh(vertices, faces, process=False)
    m = agree(written(tmp_path_factory.mktemp("stl"), mesh))
    if fault in ("hole", "twice"):
        assert not m.closed()[0]
    if fault == "turned":
        assert m.closed() == (True, False)
    assert m.bodies == (2 if fault == "apart" else 1)


def test_inside_out(tmp_path: Path) -> None:
    ball = trimesh.creation.icosphere(2, 5.0)
    ball.invert()
    assert agree(written(tmp_path, ball)).volume < 0


@pytest.mark.parametrize("bytes_left", [0, 60, 84, 100, -1])
def test_a_file_cut_short(tmp_path: Path, bytes_left: int) -> None:
    path = written(tmp_path, trimesh.creation.box((1, 2, 3)))
    path.write_bytes(path.read_bytes()[:bytes_left])
    with pytest.raises(StlError, match="no binary STL"):
        read_stl(path)
