"""Blind screw holes over and inside a tube, and struts too short for two screws: thin or touching, and told."""

from __future__ import annotations

from pathlib import Path

import pytest

from jobs import Job, measured, raw, written
from rillwright.checks.plan.hardware import tip
from rillwright.pipeline import plan


def with_hole(cut_from: str, depth: float) -> Job:
    """The smallest job (plates of 12 mm) with one tapped M4 hole in the middle of the tube, between both ports."""
    job = raw("bench-single")
    job["plates"]["upper"]["holes"] = [
        {"name": "blind", "kind": "tapped", "thread": "M4", "from": cut_from, "depth": depth, "at": [[0, 20]]}
    ]
    return job


@pytest.mark.parametrize(
    ("cut_from", "rule", "face"), [("outer", "wall.wet-dry", "seal face"), ("seal", "wall.outside", "outer face")]
)
def test_floor_between_a_blind_hole_and_coolant_is_a_wall(tmp_path: Path, cut_from: str, rule: str, face: str) -> None:
    """12 mm less 9 of full bore less the 118° point of the 3.3 mm tap drill: 1.65 / tan 59° = 0.991, leaves 2.009."""
    found = measured(tmp_path, with_hole(cut_from, 9)).one(rule, "blind", face)
    assert found.measured == pytest.approx(12 - 9 - 0.991, abs=2e-3)
    assert found.limit == 3


def test_screws_from_both_ends_of_a_short_strut_meet(tmp_path: Path) -> None:
    """A tube of 15 wants struts of 12; 16 mm screws in 12 mm plates hold 7 mm at each end, and 7 + 7 is 2 too many."""
    job = raw("bench-single")
    job["reservoirs"][0]["tube"]["length"] = 15
    planned = plan(written(tmp_path, job))
    outcome = tip(planned.layout, planned.loaded.model.limits)
    assert outcome.worst == pytest.approx(-2)
    assert all("other end" in f.what for f in outcome.findings)
    assert not outcome.holds


def test_long_struts_keep_the_figure_of_their_thread(tmp_path: Path) -> None:
    planned = plan(written(tmp_path, raw("bench-single")))
    assert tip(planned.layout, planned.loaded.model.limits).worst == pytest.approx(5)


def beside(gap: float) -> Job:
    """Two risers of 6 mm into one tube, `gap` mm of web between them; only the second is met by the port's feed."""
    job = raw("bench-single")
    job["reservoirs"][0]["struts"]["screw"] = {"counterbore": "auto"}
    upper = job["plates"]["upper"]
    upper["stock"]["thickness"] = 25
    upper["ports"] = [{"name": "fill", "loop": "bench", "on": "back", "at": [0, -15], "thread": "G1/4"}]
    riser = {"loop": "bench", "from": "seal", "depth": 15, "diameter": 6}
    upper["drillings"] = [
        riser | {"name": "far", "at": [6 + gap, 0]},
        riser | {"name": "near", "at": [0, 0]},
        {"name": "feed", "from": "fill", "to": "near", "diameter": 6},
    ]
    return job


def test_thin_web_between_passages_of_one_loop_is_told(tmp_path: Path) -> None:
    found = measured(tmp_path, beside(0.05)).one("wall.same-loop", "far", "near")
    assert found.measured == pytest.approx(0.05, abs=1e-6)


def test_passages_of_one_loop_that_meet_owe_no_web(tmp_path: Path) -> None:
    m = measured(tmp_path, beside(-1))
    assert not [f for f in m.findings("wall.same-loop") if {"far", "near"} <= set(f.features)]
