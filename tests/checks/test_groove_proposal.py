"""What groove is proposed for a cord, and when the channel floor should be stepped."""

from __future__ import annotations

from typing import Any

import pytest

from rillwright.checks.plan.groove_proposal import ABOVE_FLOOR, propose
from rillwright.checks.plan.seals import seal_records
from rillwright.layout.job import job_layout
from rillwright.spec.job import Job

PLATE = {"stock": {"thickness": 12}, "outline": {"length": 130, "width": 130}}


def proposed(**reservoir: Any) -> dict[str, Any]:
    tube = {"name": "tube", "loop": "main", "at": [0, 0], "tube": {"length": 203}, "struts": {"length": 200}, **reservoir}
    plates = {"upper": PLATE, "lower": PLATE}
    model = Job.model_validate({"job": "bench", "loops": {"main": {}}, "reservoirs": [tube], "plates": plates})
    found: dict[str, Any] = seal_records(job_layout(model), model.limits, draws=False)[0]["proposal"]
    return found


# Housing table, axial installation: cord, depth, width, squeeze and fill in per cent.
@pytest.mark.parametrize(
    ("cord", "depth", "width", "squeeze", "fill"),
    [(1.78, 1.3, 2.6, 27.0, 73.6), (2.0, 1.5, 2.8, 25.0, 74.8), (2.62, 2.0, 3.8, 23.7, 70.9), (3.53, 2.7, 5.0, 23.5, 72.5)],
)
def test_a_listed_cord_gets_the_published_groove(
    cord: float, depth: float, width: float, squeeze: float, fill: float
) -> None:
    g = propose(cord, 70)
    assert (g.depth, g.width, g.basis) == (depth, width, "table")
    assert (100 * g.squeeze, 100 * g.fill) == pytest.approx((squeeze, fill), abs=0.05)


def test_a_cord_by_class_alone_takes_up_the_whole_range() -> None:
    # 2 mm of class E2 (± 0.35, ISO 3302-1) in 1.5 +0.1 by 2.8: 3.0 to 36.2 %, and up to 103 % fill, worked by hand.
    g = propose(2.0, 70, off=0.35)
    assert [100 * v for v in g.squeeze_worst] == pytest.approx([3.0, 36.2], abs=0.05)
    assert 100 * g.fill_worst == pytest.approx(103.3, abs=0.05)


def test_a_measured_cord_keeps_squeeze_and_fill_of_its_nominal_one() -> None:
    asked, g = propose(2.0, 70), propose(2.0, 70, measured=2.2, off=0.03)
    assert (g.depth, g.width, g.basis) == (1.65, 3.08, "scaled")
    assert (g.squeeze, g.fill) == pytest.approx((asked.squeeze, asked.fill), abs=1e-3)
    assert g.squeeze_worst[0] > 0.19


def test_a_cord_that_is_not_listed_is_fitted_to_the_limits() -> None:
    g = propose(2.2, 70)
    assert g.basis == "limits"
    assert (100 * g.squeeze, 100 * g.fill) == pytest.approx((25, 75), abs=0.3)  # middle of 20 to 30 %; 75 % nominal


def test_a_harder_cord_presses_harder_in_the_same_groove() -> None:
    soft, hard = propose(2.0, 70), propose(2.0, 90)
    assert (soft.depth, soft.width) == (hard.depth, hard.width)
    assert hard.force[0] / soft.force[0] == pytest.approx(20.84 / 5.52, rel=1e-3)  # moduli by Gent 1958
    assert soft.force[1] > soft.force[0]


@pytest.mark.parametrize(("cord", "hardness", "off"), [(0, 70, 0), (2, 10, 0), (2, 70, 2)])
def test_what_is_no_cord_is_refused(cord: float, hardness: float, off: float) -> None:
    with pytest.raises(ValueError, match=r"cord|shore_a"):
        propose(cord, hardness, off=off)


def test_thin_cord_under_a_thick_wall_wants_a_step() -> None:
    # Channel 5.5 wide (wall 5, 0.25 each side), cord flattened to 2.416: it may lie (5.5 - 2.416)/2 = 1.54 off.
    p = proposed()
    assert (p["floor"], p["wander"]) == ("stepped", pytest.approx(1.542, abs=1e-3))
    step = p["step"]
    assert step["depth"] == pytest.approx(1.5 - ABOVE_FLOOR)
    assert step["outer_radius"] - step["inner_radius"] == pytest.approx(2.8)
    assert (step["outer_radius"] + step["inner_radius"]) / 2 == pytest.approx((60 - 5) / 2)
    # The gap is 1.5 now; with 0.3 under each end the tube grows by 2 × 1.2.
    assert p["tube_length"] == pytest.approx(203 + 2.4)


def test_thick_cord_needs_no_step_and_keeps_the_floor() -> None:
    p = proposed(channel={"cord": {"diameter": 3}}, tube={"length": 201.4})
    assert (p["floor"], p["step"], p["depth"]) == ("plain", None, 2.3)
    assert p["tube_length"] == pytest.approx(201.4)  # gap (200 + 6 - 201.4)/2 = 2.3 already


def test_a_step_that_leaves_no_shoulder_is_not_proposed() -> None:
    # A cord of 1.2 in a channel 3.7 wide has room for a groove of 0.6 × 2.8 in the middle. In the lopsided channel the
    # cord of 2 wanders by (4.75 - 2.416)/2 = 1.17, but its groove would leave 3.25/2 - 1.4 = 0.25 mm on the inner side.
    thin = {"cord": {"value": 1.2, "gauge": 0.03}}
    p = proposed(tube={"length": 203, "wall": 3.2}, measured=thin)
    assert (p["floor"], p["width"]) == ("stepped", 1.68)
    lopsided = {"clearance_inside": 0.05, "clearance_outside": 1.5}
    q = proposed(tube={"length": 203, "wall": 3.2}, channel=lopsided)
    assert q["floor"] == "plain"
    assert "too little floor" in q["why"]


def test_measuring_the_cord_turns_the_proposal() -> None:
    p = proposed(measured={"cord": {"value": 2.2, "gauge": 0.03}})
    assert (p["basis"], p["cord"]) == ("scaled", 2.2)
    assert (p["depth"], p["width"]) == (1.65, 3.08)  # 1.1 times 1.5 and 2.8
