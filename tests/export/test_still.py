"""Still pictures: read back from their files, and a machine that cannot draw costs a line of text only."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from rillwright.export.still import Drawing, Order, drawing, picture_names
from rillwright.export.still_scene import TINTS, by_loop, read_glb
from rillwright.layout.job_layout import JobLayout
from rillwright.pipeline import build, plan
from rillwright.spec.job import Tint

JOB = Path(__file__).parents[2] / "params" / "bench-single.yaml"
PNG = b"\x89PNG\r\n\x1a\n"  # ISO/IEC 15948, 5.2


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, JobLayout, list[str]]:
    folder, said = tmp_path_factory.mktemp("still") / "out", list[str]()
    build(JOB, folder, said.append)
    return folder, plan(JOB).layout, said


def test_every_picture_is_there_or_a_line_says_why_not(built: tuple[Path, JobLayout, list[str]]) -> None:
    folder, layout, said = built
    made = {p.name for p in folder.glob("*.png")}
    lines = [s for s in said if "pictures" in s]
    if lines:
        assert made < set(picture_names(layout))
        assert len(lines) == 1
        assert "\n" not in lines[0]
    else:
        assert made == set(picture_names(layout))


def test_pictures_have_the_size_and_show_the_loop(built: tuple[Path, JobLayout, list[str]]) -> None:
    folder, layout, said = built
    if any("cannot draw" in s for s in said):
        pytest.skip("no OpenGL library on this machine; another test holds what a build says then")
    for name in picture_names(layout):
        raw = (folder / name).read_bytes()
        assert raw[:8] == PNG
        assert (int.from_bytes(raw[16:20], "big"), int.from_bytes(raw[20:24], "big")) == (1200, 900)
        pixels = _pixels(folder / name).astype(float)
        red, green, blue = pixels[:, 0], pixels[:, 1], pixels[:, 2]
        blueish = (blue > red + 60) & (green > red + 15)  # sky, the tint of the only loop
        assert blueish.mean() > 0.004, name
        # never an empty sheet, and never one filled to its corners
        assert 0.05 < (np.abs(pixels - pixels[0]).max(axis=1) > 25).mean() < 0.9, name


def _pixels(path: Path) -> np.ndarray:
    """(n, 3) of a PNG file, first pixel lower left. VTK has the reader; it is loaded here only."""
    from vtkmodules.util.numpy_support import vtk_to_numpy
    from vtkmodules.vtkIOImage import vtkPNGReader

    reader = vtkPNGReader()
    reader.SetFileName(str(path))
    reader.Update()
    return np.asarray(vtk_to_numpy(reader.GetOutput().GetPointData().GetScalars()))[:, :3]


def test_wet_surface_of_a_through_port_is_that_of_its_profile(built: tuple[Path, JobLayout, list[str]]) -> None:
    # Pappus: area of a surface of revolution = sum over the profile of 2 pi r_mean × length. The lower plate of this
    # job has one through port and the tube channel as its only wet features, and nothing crosses them.
    folder, layout, _ = built
    plate = next(p for p in layout.plates if p.name == "lower")
    part = next(p for p in read_glb(folder / "assembly.glb") if p.name == "lower")
    pieces = by_loop(plate, part, 0.02)
    assert set(pieces) == {None, "bench"}
    wet = pieces["bench"]
    a, b, c = (wet.points[wet.triangles[:, k]] for k in range(3))
    area = float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2)
    expected = sum(_revolved_area(f.profile, plate.thickness) for f in plate.features if f.wet)
    assert area == pytest.approx(expected, rel=0.005)  # chords of 0.02 mm


def _revolved_area(profile: tuple[tuple[float, float], ...], thickness: float) -> float:
    """Area (mm²) of the profile's turned surface inside a plate of this thickness, cut at its two faces."""
    area = 0.0
    for (r0, z0), (r1, z1) in zip(profile, [*profile[1:], profile[0]], strict=True):
        if z0 == z1:
            area += abs(np.pi * (r1**2 - r0**2)) if 1e-9 < z0 < thickness - 1e-9 else 0.0
            continue
        t0, t1 = sorted(np.clip([(0 - z0) / (z1 - z0), (thickness - z0) / (z1 - z0)], 0, 1))
        ra, rb = r0 + (r1 - r0) * t0, r0 + (r1 - r0) * t1
        area += np.pi * (ra + rb) * np.hypot(r1 - r0, z1 - z0) * (t1 - t0)
    return float(area)


def test_parts_come_back_in_mm_with_z_up(built: tuple[Path, JobLayout, list[str]]) -> None:
    folder, layout, _ = built
    upper = next(p for p in read_glb(folder / "assembly.glb") if p.name == "upper")
    plate = next(p for p in layout.plates if p.name == "upper")
    low, high = upper.points.min(axis=0), upper.points.max(axis=0)
    # from the parameter file: 130 × 130 × 12, and the seal face of an upper plate looks down
    np.testing.assert_allclose(low, [-65, -65, plate.height], atol=1e-3)
    np.testing.assert_allclose(high, [65, 65, plate.height + 12], atol=1e-3)
    assert upper.colour == pytest.approx((0.78, 0.88, 0.92, 0.35), abs=1e-3)


def test_every_tint_of_a_file_has_a_colour() -> None:
    assert set(TINTS) == set(Tint.__args__)


def _drawn_by(tmp_path: Path, program: str, patience: float = 20) -> tuple[str, Drawing]:
    order = Order(tmp_path, plan(JOB).layout, 0.02)
    with drawing(order, [sys.executable, "-c", program]) as pictures:
        return pictures.collect(patience), pictures


@pytest.mark.parametrize(
    ("program", "words"),
    [
        ("import os, signal; os.kill(os.getpid(), signal.SIGSEGV)", "cannot draw without a display"),
        ("import sys; print('noise\\npicture: no paint', file=sys.stderr); sys.exit(1)", "no paint"),
        ("pass", "cannot draw"),
    ],
)
def test_a_child_that_fails_is_one_line(tmp_path: Path, program: str, words: str) -> None:
    said, _ = _drawn_by(tmp_path, program)
    assert said.startswith("left out 6 of 6 pictures: ")
    assert words in said
    assert "\n" not in said


def test_half_made_pictures_are_removed_and_finished_ones_kept(tmp_path: Path) -> None:
    (tmp_path / "assembly.png").write_bytes(PNG)
    (tmp_path / "section.png").write_bytes(PNG[:3])
    said, _ = _drawn_by(tmp_path, "print('assembly.png', flush=True); import os; os._exit(11)")
    assert said.startswith("left out 5 of 6 pictures: ")
    assert [p.name for p in tmp_path.iterdir()] == ["assembly.png"]


def test_a_child_that_hangs_is_ended(tmp_path: Path) -> None:
    said, pictures = _drawn_by(tmp_path, "import time; time.sleep(60)", patience=0.2)
    assert "longer than 0.2 s" in said
    assert pictures.process is not None
    assert pictures.process.poll() is not None


def test_no_child_outlives_a_failed_build(tmp_path: Path) -> None:
    order = Order(tmp_path, plan(JOB).layout, 0.02)
    with (
        pytest.raises(ZeroDivisionError),
        drawing(order, [sys.executable, "-c", "import time; time.sleep(60)"]) as pictures,
    ):
        raise ZeroDivisionError
    assert pictures.process is not None
    assert pictures.process.poll() is not None


def test_a_program_that_cannot_start_is_one_line(tmp_path: Path) -> None:
    with drawing(Order(tmp_path, plan(JOB).layout, 0.02), [str(tmp_path / "none")]) as pictures:
        assert "no process for them could be started" in pictures.collect()


def test_drawing_modules_load_no_kernel() -> None:
    code = "import rillwright.export.still_child, sys; assert 'OCP' not in sys.modules and 'cadquery' not in sys.modules"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
