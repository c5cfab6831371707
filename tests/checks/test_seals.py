"""Tube seals at the worst tolerance: who answers for what, and what is told."""

from __future__ import annotations

import math
from typing import Any

import pytest
from pydantic import ValidationError

from rillwright.checks.finding import Outcome
from rillwright.checks.plan.clamp_record import crosswise
from rillwright.checks.plan.clamping import clamp_checks, clamp_records
from rillwright.checks.plan.seals import seal_checks, seal_records
from rillwright.layout.job import LayoutError, job_layout
from rillwright.layout.job_layout import JobLayout
from rillwright.spec.job import Job

PLATE = {"stock": {"thickness": 12}, "outline": {"length": 130, "width": 130}}
READ = {"value": 2.0, "gauge": 0.02}


def planned(reservoir: dict[str, Any] | None = None, **job: Any) -> tuple[JobLayout, Job]:
    """One tube of 203 between struts of 200 on seats 3 mm above the floors: a gap of 1.5 mm for 2 mm cord."""
    tube = {"name": "tube", "loop": "main", "at": [0, 0], "tube": {"length": 203}, "struts": {"length": 200}}
    tube |= reservoir or {}
    model = Job.model_validate(
        {"job": "bench", "loops": {"main": {}}, "reservoirs": [tube], "plates": {"upper": PLATE, "lower": PLATE}, **job}
    )
    return job_layout(model), model


def outcomes(reservoir: dict[str, Any] | None = None, **job: Any) -> dict[str, Outcome]:
    layout, model = planned(reservoir, **job)
    found = [*seal_checks(layout, model.limits), *clamp_checks(layout, model.limits)]
    return {o.rule: o for o in found}


def record(reservoir: dict[str, Any] | None = None, **job: Any) -> dict[str, Any]:
    layout, model = planned(reservoir, **job)
    return seal_records(layout, model.limits)[0]


def severities(o: Outcome) -> set[str]:
    return {f.severity for f in o.findings}


def test_nominal_squeeze() -> None:
    o = outcomes()["seal.squeeze"]
    assert o.holds
    assert o.worst == 25


@pytest.mark.parametrize(("length", "squeeze", "limit", "gap"), [(204, 50, 30, "1.00"), (202, 0, 20, "2.00")])
def test_a_tube_1_mm_off_fails_with_both_figures(length: float, squeeze: float, limit: float, gap: str) -> None:
    (f,) = outcomes({"tube": {"length": length}})["seal.squeeze"].findings
    assert f.severity == "error"
    assert (f.measured, f.limit) == (squeeze, limit)
    assert f"the gap is {gap} mm for a cord of 2 mm" in f.what
    assert f.remedy == f"cut the tube to 203.00 mm, or the struts to {length - 3:.2f} mm"


def test_a_class_of_cord_alone_is_a_warning_that_says_what_to_measure() -> None:
    o = outcomes()["seal.squeeze-range"]
    assert o.holds
    assert severities(o) == {"warning"}
    assert all("measure the cord and write it as measured.cord of 'tube'" in f.remedy for f in o.findings)


def test_the_same_range_stated_by_the_user_is_an_error() -> None:
    o = outcomes({"tolerances": {"cord": 0.35, "tube_length": 0.2}})["seal.squeeze-range"]
    assert not o.holds
    assert {f.features[-1]: f.severity for f in o.findings} == {"least": "error", "most": "warning"}


def test_a_measured_cord_shrinks_the_range_to_one_that_seals() -> None:
    o = outcomes({"measured": {"cord": READ}})["seal.squeeze-range"]
    assert o.findings == ()


def test_measured_but_bad_is_an_error_at_every_rule() -> None:
    found = outcomes({"measured": {"tube_length": {"value": 204, "gauge": 0.05}}})
    assert not found["seal.squeeze"].holds
    assert not found["seal.squeeze-range"].holds


def test_worst_case_by_hand() -> None:
    # E2 cord 2 ± 0.35 (ISO 3302-1), tube ± 0.2, struts ± 0.1, four depths ± 0.05: the gap is 1.5 ± 0.25.
    squeeze = record()["conditions"][0]["squeeze"]
    assert squeeze["worst"] == pytest.approx([100 * (1 - 1.75 / 1.65), 100 * (1 - 1.25 / 2.35)], abs=1e-3)


def test_drawn_range_lies_in_the_worst_case_and_near_the_root_sum_square() -> None:
    r = record()
    squeeze, drawn = r["conditions"][0]["squeeze"], r["drawn"]["squeeze"]
    assert squeeze["worst"][0] < drawn["all"][0] < drawn["most"][0]
    assert drawn["most"][1] < drawn["all"][1] < squeeze["worst"][1]
    # Three deviations of the draws span the root-sum-square but for the cut tails and the curvature of 1/d.
    assert 6 * drawn["deviation"] == pytest.approx(squeeze["rss"][1] - squeeze["rss"][0], rel=0.05)
    assert r["drawn"]["draws"] >= 100_000


def test_every_draw_of_a_good_seal_seals() -> None:
    exact = {"measured": {"cord": READ}, "tolerances": {"tube_length": 0.05, "strut_length": 0.05}}
    assert record(exact)["conditions"][0]["yield_seals"] == 100
    assert record()["conditions"][0]["yield_within_limits"] < 90


def test_what_contributes_and_what_to_measure() -> None:
    r = record()
    assert r["dominant"] == "cord"
    assert r["measure"]["length"] == "cord"
    assert sum(r["contributions"].values()) == pytest.approx(100, abs=0.01)
    r = record({"measured": {"cord": READ}})
    assert r["dominant"] == r["measure"]["length"] == "tube length"


def test_where_each_tolerance_comes_from() -> None:
    own = {"tolerances": {"tube_length": 0.3}, "measured": {"channel_depth": {"upper": {"value": 6.1, "gauge": 0.01}}}}
    lengths = {d["name"]: d for d in record(own, tolerances={"tube_length": 9, "strut_length": 0.07})["lengths"]}
    assert lengths["cord"]["source"] == "ISO 3302-1 class E2"
    assert (lengths["tube length"]["origin"], lengths["tube length"]["plus"]) == ("stated", 0.3)
    assert (lengths["strut length"]["origin"], lengths["strut length"]["plus"]) == ("stated", 0.07)
    upper, lower = lengths["upper channel depth"], lengths["lower channel depth"]
    assert (upper["origin"], upper["nominal"], upper["minus"]) == ("measured", 6.1, 0.01)
    assert (lower["origin"], lower["nominal"]) == ("default", 6)


def test_struts_left_out_follow_the_measured_tube_and_cord() -> None:
    # Gap wanted: 25 % of a 1.9 mm cord; struts 202.8 − 6 + 2·1.425 = 199.65.
    r = {"struts": {}, "measured": {"cord": {"value": 1.9, "gauge": 0.02}, "tube_length": {"value": 202.8, "gauge": 0.05}}}
    got = record(r)
    assert got["conditions"][0]["squeeze"]["nominal"] == pytest.approx(25)
    assert next(d["nominal"] for d in got["lengths"] if d["name"] == "strut length") == pytest.approx(199.65)


def test_cord_length_and_joint() -> None:
    r = record({"at": [10, 20], "struts": {"length": 200, "start_angle": 180}})
    assert r["cut_length"] == pytest.approx(math.pi * 55, abs=0.005)  # tube Ø60 × 5: middle of its wall at Ø55
    assert r["joint"] == {"at": [10 - 27.5, 20], "angle": 180, "beside": "tube.strut-1"}
    assert r["pieces"] == 2


def test_hot_loses_squeeze_and_cold_gains() -> None:
    filling, hottest, coldest, settled = (c["squeeze"]["nominal"] for c in record()["conditions"])
    assert 0 < settled < hottest < filling < coldest
    o = outcomes(temperatures={"hottest": 90})["seal.drift"]
    assert o.holds
    assert severities(o) == {"warning"}
    for f in o.findings:
        assert f"{f.limit - f.measured:.1f} points more" in f.remedy


@pytest.mark.parametrize("length", [202, 204])
def test_a_squeeze_that_is_out_at_filling_is_not_laid_to_the_temperature(length: float) -> None:
    found = outcomes({"tube": {"length": length}})
    assert not found["seal.squeeze"].holds
    assert not found["seal.drift"].findings


def test_hottest_is_never_below_the_coolant() -> None:
    assert record(coolant={"temperature": 65})["conditions"][1]["celsius"] == 65


def test_fill_by_nominal_lengths_is_an_error_by_tolerances_a_warning() -> None:
    # 4 mm cord squeezed to 3 mm: π 16/(4 · 5.5 · 3) = 76 % in a channel 5.5 wide, 100 % in one 4.2 wide.
    thick: dict[str, Any] = {"channel": {"cord": {"diameter": 4}}, "tube": {"length": 200}}
    o = outcomes(thick)["seal.fill"]
    assert o.holds
    assert severities(o) == {"warning"}
    thick["tube"]["wall"], thick["channel"]["clearance_inside"], thick["channel"]["clearance_outside"] = 4, 0.1, 0.1
    assert not outcomes(thick)["seal.fill"].holds


def test_a_tube_that_stands_on_the_floor_is_told_not_crashed_on() -> None:
    found = outcomes({"tube": {"length": 207}})
    assert not found["seal.squeeze"].holds
    assert not found["seal.fill"].holds
    assert record({"tube": {"length": 207}})["conditions"][0]["fill"] is None


def test_clamping_by_hand() -> None:
    layout, _ = planned()
    r = clamp_records(layout)[0]
    # 0.5 bar up to Ø55: 0.05 · π 55²/4 = 118.8 N. Head ISO 10642 M4 at least Ø7.53 on Ø4.5: 28.63 mm² · 10.3 MPa.
    assert r["load"]["pressure"] == pytest.approx(118.8, abs=0.1)
    assert r["plates"][0]["preload"] == pytest.approx(28.63 * 10.3, abs=0.2)
    assert r["plates"][0]["limited_by"] == "plate"
    assert r["tightening"]["steps"][-1] == pytest.approx(r["plates"][0]["torque"])
    assert r["load"]["cord_upper"] > 2 * r["load"]["cord"]
    # Three screws, the most loaded one bears a quarter more than its share; half of the preload stays in acrylic.
    each = 1.25 * (r["load"]["cord"] + r["load"]["pressure"]) / 3
    assert r["load"]["per_screw"] == pytest.approx(each, abs=0.1)
    assert r["plates"][0]["separation"] == pytest.approx(28.63 * 10.3 / 2 / each, abs=2e-3)


def test_what_clamps_warns_in_acrylic_and_holds_in_aluminium() -> None:
    found = outcomes()
    assert found["clamp.bearing"].holds
    assert severities(found["clamp.bearing"]) == severities(found["clamp.separation"]) == {"warning"}
    metal = {"stock": {"material": "aluminium-6082-t6", "thickness": 12}, "outline": PLATE["outline"]}
    found = outcomes(plates={"upper": metal, "lower": metal})
    assert found["clamp.bearing"].findings == found["clamp.separation"].findings == ()


def test_screws_that_are_proposed_have_the_heads_of_those_there_and_would_do() -> None:
    strut = {"length": 200, "diameter": 14}
    (f,) = outcomes({"struts": strut})["clamp.separation"].findings
    assert "ISO 10642" in f.remedy
    assert "cap" not in f.remedy
    larger = f.remedy.split("ISO 10642 ")[1].split()[0]
    assert outcomes({"struts": strut | {"thread": larger}})["clamp.separation"].findings == ()


def test_more_pressure_than_a_head_bears_or_the_glass_stands() -> None:
    found = outcomes(coolant={"pressure": 10})
    assert not found["clamp.bearing"].holds
    thin = {"tube": {"length": 203, "wall": 1}, "channel": {"cord": {"diameter": 2}}}
    (f,) = outcomes(thin, coolant={"pressure": 3})["glass.pressure"].findings
    assert f.limit == pytest.approx(140 * 1 / 59)  # EN 1595


@pytest.mark.parametrize("count", [2, 3, 4, 5, 6, 8])
def test_crosswise_takes_every_screw_once_and_starts_with_the_opposite(count: int) -> None:
    order = crosswise(count)
    assert sorted(order) == list(range(1, count + 1))
    assert order[1] == 1 + count // 2


def test_tolerances_that_leave_nothing_are_refused() -> None:
    with pytest.raises(LayoutError, match="± 2 mm leaves nothing of 2 mm"):
        planned({"tolerances": {"cord": 2}})
    with pytest.raises(ValidationError, match="says nothing of 2 mm"):
        planned({"measured": {"cord": {"value": 2, "gauge": 3}}})


def test_a_head_without_plate_under_it_is_refused() -> None:
    with pytest.raises(LayoutError, match="nothing under it: the strut's seat is 9 mm below"):
        planned({"struts": {"length": 200, "screw": {"counterbore": 9}}})


@pytest.mark.parametrize(("clearance", "over"), [(0.25, 0.5), (0.5, 0.0), (0.6, -0.2), (3, -5.0)])
def test_a_cord_must_not_lie_beside_the_tube(clearance: float, over: float) -> None:
    """Cord 2, clearance c all round: the tube pushed over leaves 2 c, of which half the cord is covered: 1 − 2 c."""
    layout, model = planned({"channel": {"clearance_outside": clearance, "clearance_inside": clearance}})
    outcome = next(o for o in seal_checks(layout, model.limits) if o.rule == "seal.cover")
    assert outcome.worst == pytest.approx(over, abs=1e-9)
    assert outcome.holds is (over >= 0)
