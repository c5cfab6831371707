"""Coupons of seals on flat faces: the same cord, groove, thread and spotface as the job's, found in what is built."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from jobs import Job, raw, written
from rillwright import pipeline
from rillwright.cli import main
from rillwright.coupon import CouponError, coupon_job
from rillwright.layout.job import job_layout
from rillwright.spec.job import Job as Model


def strutted() -> Job:
    job = raw("bench-single")
    job["reservoirs"][0]["tube"]["outside_diameter"] = 90
    job["reservoirs"][0]["struts"] = {
        "count": 3, "place": "inside", "diameter": 16, "screw": {"length": 16}, "seal": {"cord": {"diameter": 2.5}},
    }  # fmt: skip
    return job


def coupon(folder: Path, job: Job, seal: str, disc: bool = False) -> Model:
    planned = pipeline.plan(written(folder, job))
    return coupon_job(planned.loaded.model, planned.layout, seal, disc)


def test_every_strut_has_a_seal_of_its_own_name(tmp_path: Path) -> None:
    made = coupon(tmp_path, strutted(), "tube.strut-3.cord")
    assert made.job == "bench-single-coupon-tube-strut-3-cord"
    assert made.reservoirs[0].struts.seal is not None
    assert {g.seal for g in job_layout(made).glands} == {"tube.strut-1.cord"}  # told once, the others alike


def test_a_disc_on_the_groove_of_a_strut(tmp_path: Path) -> None:
    """Face-groove table: cord 2.5 wants 1.90 deep, 3.40 wide."""
    layout = job_layout(coupon(tmp_path, strutted(), "tube.strut-1.cord", disc=True))
    (gland,) = layout.glands
    assert [p.name for p in layout.plates] == ["body", "body-cover"]
    assert (gland.nominal("groove depth"), gland.nominal("groove width")) == (1.9, 3.4)  # as written in its file
    assert gland.stock.diameter == 2.5
    assert not any("cover" in m for f in layout.plates[1].features if f.role in ("port", "drilling") for m in f.mouths)


@pytest.mark.parametrize(("job", "seal", "thread"), [
    ("lab-triple", "upper.a-in.seal", "G1/4"), ("lab-triple", "lower.b-out.seal", "G1/4"),
    ("lab-triple", "lower.s-cross.plug.seal", "G1/8"),
])  # fmt: skip
def test_a_block_has_the_thread_and_spotface_of_its_port(job: str, seal: str, thread: str, tmp_path: Path) -> None:
    base = pipeline.plan(written(tmp_path, raw(job))).layout
    plate, name = seal.removesuffix(".seal").split(".", 1)
    own = next(f for p in base.plates if p.name == plate for f in p.features if f.name == name)
    (block,) = job_layout(coupon(tmp_path, raw(job), seal)).plates
    found = next(f for f in block.features if f.name == "proved")
    assert found.thread == own.thread == thread
    for fact in ("spotface_radius", "spotface_depth", "bore_radius"):
        assert found.facts[fact] == own.facts[fact]
    assert block.thickness == 25


def test_a_disc_coupon_builds_and_holds(tmp_path: Path) -> None:
    """Cord of class E2 may not seal at its worst: measured cord, as one would use."""
    path, out = written(tmp_path, strutted()), tmp_path / "out"
    assert main(["coupon", str(path), "--seal", "tube.strut-1.cord", "--disc", "--out", str(out)]) == 0
    answer = json.loads((out / "checks.json").read_text(encoding="utf-8"))
    assert answer["holds"]
    (gland,) = answer["glands"]
    assert gland["groove"]["depth"] == 1.9
    (ring,) = csv.DictReader((out / "cord-cuts.csv").open(encoding="utf-8"))
    assert float(ring["cut_mm"]) == pytest.approx(gland["line"], abs=0.06)


@pytest.mark.parametrize(("seal", "disc", "word"), [
    ("tube.cord", True, "squeezed by its tube"), ("tube.strut-9.cord", False, "no seal of this name"),
])  # fmt: skip
def test_what_cannot_be_is_told(seal: str, disc: bool, word: str, tmp_path: Path) -> None:
    with pytest.raises(CouponError, match=word):
        coupon(tmp_path, strutted(), seal, disc)


def test_a_thin_sheet_has_no_room_for_the_test_port(tmp_path: Path) -> None:
    port = {"name": "in", "loop": "bench", "on": "outer", "at": [0, 0], "thread": "G1/8", "depth": 8}
    plate = {"stock": {"thickness": 12}, "outline": {"length": 60, "width": 60}, "ports": [port]}
    job = {"job": "thin", "loops": {"bench": {}}, "plates": {"block": plate}}
    with pytest.raises(CouponError, match=r"no room for a test port.*finished plates"):
        coupon(tmp_path, job, "block.in.seal")
