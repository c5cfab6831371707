"""A coupon is a job like any, and carries the seal of the job it was derived from: measured on its files."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import trimesh
from ruamel.yaml import YAML

from jobs import PARAMS, Built, Job, named, raw, written
from rillwright import pipeline
from rillwright.cli import main
from rillwright.coupon import coupon_job, coupon_name, coupon_text, edited
from rillwright.pipeline import plan
from rillwright.spec.quantity import NAME_LENGTH

TWIN = PARAMS / "studio-twin.yaml"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("coupon") / "left"
    assert main(["coupon", str(TWIN), "--seal", "left.cord", "--out", str(out)]) == 0
    return out


def derived(folder: Path, job: Job, seal: str) -> tuple[pipeline.Planned, pipeline.Planned]:
    """A job and its coupon, both placed."""
    base = plan(written(folder, job))
    path = folder / "coupon.yaml"
    path.write_text(coupon_text(base, seal), encoding="utf-8")
    return base, plan(path)


def parts(folder: Path) -> dict[str, dict[str, str]]:
    with (folder / "parts.csv").open(encoding="utf-8") as stream:
        return {row["part"]: row for row in csv.DictReader(stream)}


def ring(stl: Path, centre: tuple[float, float], side: float) -> tuple[float, float, float]:
    """Inner and outer radius and depth of the tube channel: corners of the mesh round the tube's wall, mm."""
    points = trimesh.load(stl, process=False).vertices
    away = np.linalg.norm(points[:, :2] - centre, axis=1)
    depth = -side * points[:, 2]
    near = (away > 20) & (away < 32) & (depth > 1e-3) & (depth < 10)
    floor = depth[near].max()
    rim = away[near & (depth > floor - 1e-3)]
    return float(rim.min()), float(rim.max()), float(floor)


def test_every_check_of_the_coupon_holds_and_all_files_are_there(folder: Path) -> None:
    checks = json.loads((folder / "checks.json").read_text(encoding="utf-8"))
    assert checks["holds"]
    assert [n["loop"] for n in checks["nets"]] == ["processor"]
    names = {p.name for p in folder.iterdir()}
    assert {"upper.step", "lower.step", "upper.stl", "lower.stl", "assembly.glb", "manifest.json"} <= names
    manifest = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
    assert manifest["input"]["name"] == "studio-twin-coupon-left-cord.yaml"
    assert manifest["input"]["name"] in {f["name"] for f in manifest["files"]}


def test_channel_gap_and_screws_on_the_files_are_the_jobs(folder: Path, shipped: Callable[[str], Built]) -> None:
    base = shipped("studio-twin").folder
    at = YAML(typ="safe").load(folder / "studio-twin-coupon-left-cord.yaml")["reservoirs"][0]["at"]
    gaps = []
    for where, centre in ((base, (-70.0, 0.0)), (folder, tuple(at))):
        upper, lower = ring(where / "upper.stl", centre, -1), ring(where / "lower.stl", centre, 1)
        assert upper == pytest.approx((24.75, 30.25, 6), abs=0.02)  # 60 and 50 mm of glass, 0.25 mm of gap each side
        assert lower == pytest.approx(upper, abs=1e-3)
        bought = parts(where)
        strut, tube = (float(bought[f"left.{p}"]["length_mm"]) for p in ("strut-1", "tube"))
        gaps.append((strut + 2 * 3 + upper[2] - 6 + lower[2] - 6 - tube) / 2)  # channel 3 mm below the seat, twice
    assert gaps == pytest.approx([1.5, 1.5], abs=0.005)  # 25 % off a cord of 2 mm
    ours, theirs = parts(folder), parts(base)
    screws = [p for p in ours if ours[p]["kind"] == "screw"]
    assert len(screws) == 6
    assert all(ours[p] == theirs[p] for p in screws)
    assert float(ours["left.tube"]["length_mm"]) == 60


def test_the_file_in_the_folder_is_built_again_and_stays(folder: Path) -> None:
    path = folder / "studio-twin-coupon-left-cord.yaml"
    text = path.read_text(encoding="utf-8")
    assert not edited(text)
    path.write_text(text.replace("squeeze: 25", "squeeze: 26"), encoding="utf-8")
    assert edited(path.read_text(encoding="utf-8"))
    # What was edited is not lost to the same command.
    assert main(["coupon", str(TWIN), "--seal", "left.cord", "--out", str(folder)]) == 2
    assert main(["build", str(path), "--out", str(folder)]) == 0
    assert "squeeze: 26" in path.read_text(encoding="utf-8")


@pytest.mark.parametrize(("job", "seal"), [("bench-single", "tube.cord"), ("lab-triple", "middle.cord")])
def test_same_seal_from_every_shipped_job(job: str, seal: str, tmp_path: Path) -> None:
    base, coupon = derived(tmp_path, raw(job), seal)
    now = next(s for s in base.layout.seals if f"{s.reservoir}.cord" == seal)
    (then,) = coupon.layout.seals
    assert then.channel == now.channel
    assert (then.line_radius, then.cord_material, then.hardness) == (now.line_radius, now.cord_material, now.hardness)
    alike = {d.name: (d.nominal, d.minus, d.plus) for d in now.dimensions if d.name not in ("tube length", "strut length")}
    assert {d.name: (d.nominal, d.minus, d.plus) for d in then.dimensions if d.name in alike} == alike
    assert now.nominal("tube length") - now.nominal("strut length") == pytest.approx(
        then.nominal("tube length") - then.nominal("strut length"), abs=1e-4
    )
    assert pipeline.check(tmp_path / "coupon.yaml").holds


def test_what_was_measured_on_long_parts_shapes_the_gap_of_the_short_ones(tmp_path: Path) -> None:
    job = raw("studio-twin")
    left = named(job["reservoirs"], "left")
    left["measured"] = {"tube_length": {"value": 203.1, "gauge": 0.02}, "strut_length": {"value": 200.04, "gauge": 0.02},
                        "channel_depth": {"upper": {"value": 6.03, "gauge": 0.01}},
                        "cord": {"value": 1.97, "gauge": 0.02}}  # fmt: skip
    _, coupon = derived(tmp_path, job, "left.cord")
    gap = (200.04 + 3.03 + 3 - 203.1) / 2
    assert coupon.layout.stacks[0].gap == pytest.approx(gap, abs=1e-4)
    kept = coupon.loaded.model.reservoirs[0].measured
    assert kept.cord is not None
    assert kept.cord.value == 1.97
    assert kept.tube_length is None
    assert not kept.channel_depth


def test_a_port_stands_clear_of_struts_inside_the_tube(tmp_path: Path) -> None:
    job = raw("bench-single")
    struts = {"count": 3, "place": "inside", "pitch_circle": 30, "diameter": 11, "seal": {"cord": {"diameter": 1.5}}}
    job["reservoirs"][0] |= {"tube": {"outside_diameter": 90, "wall": 5, "length": 153}, "struts": struts}
    for plate in job["plates"].values():
        plate["ports"], plate["holes"] = [], []
    _, coupon = derived(tmp_path, job, "tube.cord")
    upper = coupon.layout.plates[0]
    test, tube = (next(f for f in upper.features if f.role == role) for role in ("port", "tube-channel"))
    assert test.origin[:2] != tube.origin[:2]  # the middle is taken up by the heads round it
    for f in (f for f in upper.features if f.role == "strut-screw"):
        apart = np.hypot(f.origin[0] - test.origin[0], f.origin[1] - test.origin[1])
        assert apart >= f.radius + test.facts["spotface_radius"] + 3 - 0.01


def test_an_unknown_seal_is_told_with_the_nearest_and_all(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert main(["coupon", str(TWIN), "--seal", "lefd.cord", "--out", str(tmp_path / "x")]) == 2
    words = capsys.readouterr().err
    assert 'got "lefd.cord"' in words
    assert 'did you mean "left.cord"?' in words
    assert "left.cord, right.cord" in words
    assert not (tmp_path / "x").exists()


def test_a_tube_too_narrow_for_a_port_is_refused_in_words(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    job = raw("bench-single")
    job["reservoirs"][0]["tube"] = {"outside_diameter": 14, "wall": 2, "length": 153}
    for plate in job["plates"].values():
        plate["ports"] = []
    assert main(["coupon", str(written(tmp_path, job)), "--seal", "tube.cord", "--out", str(tmp_path / "x")]) == 2
    assert "no port of G1/4 or G1/8 finds room inside the tube of 'tube'" in capsys.readouterr().err


def test_names_that_would_be_too_long_are_cut_and_stay_apart() -> None:
    assert coupon_name("studio-twin", "left.cord") == "studio-twin-coupon-left-cord"
    long = [coupon_name("a" * 39 + end, "left.cord") for end in "ab"]
    assert len(set(long)) == 2
    assert all(len(n) == NAME_LENGTH for n in long)


def test_the_derived_job_leaves_the_rest_behind() -> None:
    base = plan(TWIN)
    made = coupon_job(base.loaded.model, base.layout, "right.cord")
    assert list(made.loops) == ["graphics"]
    assert [r.name for r in made.reservoirs] == ["right"]
    assert all(not p.holes and not p.drillings for p in made.plates.values())
    assert [p.name for p in made.plates["upper"].ports] == ["test"]
    assert not made.plates["lower"].ports
