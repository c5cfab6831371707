"""Grooves in faces and how cords lie in them: by hand, and who answers for what."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rillwright.checks.finding import Outcome
from rillwright.checks.plan.fitting_faces import face_records
from rillwright.checks.plan.seal_chain import analyse, draw
from rillwright.checks.plan.seals import gland_records, seal_checks, seal_records
from rillwright.layout.features import Arc, Line, Outline, PlateLayout
from rillwright.layout.gland import Bed, Gland, face_gland, pocket_gland
from rillwright.layout.job import job_layout
from rillwright.layout.job_layout import JobLayout
from rillwright.layout.pockets import Path, Pocket, Stroke
from rillwright.spec.job import Job
from rillwright.spec.reservoir import CordStock
from rillwright.spec.tolerances import Reading

PLATE = {"stock": {"thickness": 20}, "outline": {"length": 140, "width": 140}}
STRUTS = {"count": 3, "place": "inside", "diameter": 14, "length": 200, "seal": {"cord": {"diameter": 2}}}
RING = {"inside_diameter": 14, "section": 1.5, "groove": {"inside_diameter": 14.2, "depth": 1.1, "width": 2.1}}


def planned(reservoir: dict[str, Any] | None = None, **job: Any) -> tuple[JobLayout, Job]:
    """A tube of Ø90 with three struts inside, each on a groove for 2 mm cord: inner radius 2.25 + 0.5."""
    tube = {"name": "tube", "loop": "main", "at": [0, 0], "tube": {"outside_diameter": 90, "length": 203}, "struts": STRUTS}
    plates = {"upper": PLATE, "lower": PLATE}
    base = {"job": "bench", "loops": {"main": {}}, "reservoirs": [tube | (reservoir or {})], "plates": plates}
    model = Job.model_validate(base | job)
    return job_layout(model), model


def outcomes(reservoir: dict[str, Any] | None = None, **job: Any) -> dict[str, Outcome]:
    layout, model = planned(reservoir, **job)
    return {o.rule: o for o in seal_checks(layout, model.limits)}


def fitted(seal: dict[str, Any] | None) -> tuple[JobLayout, Job]:
    port = {"name": "in", "loop": "main", "on": "outer", "at": [0, 0]} | ({"seal": seal} if seal else {})
    model = Job.model_validate({"job": "bench", "loops": {"main": {}}, "plates": {"block": PLATE | {"ports": [port]}}})
    return job_layout(model), model


def test_strut_gland_by_hand() -> None:
    layout, model = planned()
    (r, other) = gland_records(layout, model.limits)
    assert (r["plate"], other["plate"], r["pieces"]) == ("upper", "lower", 3)
    now = r["conditions"][0]
    assert now["squeeze"]["nominal"] == pytest.approx(25)
    assert now["fill"]["nominal"] == pytest.approx(74.8, abs=0.05)  # seal suppliers' housing table
    # E2 cord 2 ± 0.35, depth 1.5 ± 0.05, strut's end up to 0.03 off, cord cut 23.56 ± 0.5: corners by hand.
    line = math.tau * 3.75
    thin, thick = 1.65 * math.sqrt((line - 0.5) / line), 2.35 * math.sqrt((line + 0.5) / line)
    assert now["squeeze"]["worst"] == pytest.approx([100 * (1 - 1.58 / thin), 100 * (1 - 1.45 / thick)], abs=0.02)
    longest, shortest = line / (line + 0.5) - 1, line / (line - 0.5) - 1
    assert r["stretch"]["worst"] == pytest.approx([100 * longest, 100 * shortest], abs=2e-3)
    assert r["corner"] == {"radius": 2.75, "over_cord": 1.38, "least": 3, "best": 6, "circular": True}
    assert r["joint"]["name"] == "tube.strut-1.upper.cord.joint"


def test_draws_lie_within_the_worst_case() -> None:
    layout, _ = planned()
    for seal in (*layout.seals, *layout.glands):
        a, drawn = analyse(seal), draw(seal, (0.2, 0.3), (0.05, 0.45))
        for spread, scatter in ((a.filling.squeeze, drawn.squeeze), (a.extrusion, drawn.extrusion)):
            assert spread.worst_low - 1e-12 <= scatter.low <= scatter.high <= spread.worst_high + 1e-12
        assert len(drawn.yields) == len(a.conditions) == 4


def test_a_measured_cord_leaves_its_gauge_only() -> None:
    layout, model = planned({"measured": {"strut_cord": {"value": 1.95, "gauge": 0.02}}})
    cord = next(d for d in gland_records(layout, model.limits, draws=False)[0]["lengths"] if d["name"] == "cord")
    assert (cord["nominal"], cord["plus"], cord["origin"]) == (1.95, 0.02, "measured")
    warned = outcomes()["seal.squeeze-range"].findings
    assert any("measured.strut_cord of 'tube'" in f.remedy for f in warned)


def test_bent_too_sharply_is_a_warning_for_a_round_ring_and_nothing_for_a_moulded_one() -> None:
    found = outcomes()["seal.corner"]
    assert found.holds
    assert {f.severity for f in found.findings} == {"warning"}
    assert found.worst == pytest.approx(2.75 / 2)
    moulded = STRUTS | {"seal": {"cord": {"diameter": 2}, "ring_inside": 5.5}}
    layout, model = planned({"struts": moulded})
    assert {o.rule: o for o in seal_checks(layout, model.limits)}["seal.corner"].findings == ()
    assert not [r for r in layout.rings if "strut" in r.seal]  # nothing to cut
    assert all(g.stock.moulded and g.joint is None for g in layout.glands)


def test_a_groove_with_a_sharp_corner_is_an_error() -> None:
    gland = milled(3.0)
    assert gland.corner == pytest.approx(3.0 - 1.4)
    assert not corner_of(gland).holds
    assert corner_of(milled(8.0)).holds


def test_floor_radius_is_held_against_the_table() -> None:
    """Seal suppliers' housing table: 0.3 mm at most for cord of 2."""
    for radius, holds in ((0.3, True), (0.5, False)):
        gland = milled(8.0, floor=radius)
        layout = JobLayout("bench", (), (), {}, glands=(gland,))
        _, model = planned()
        found = {o.rule: o for o in seal_checks(layout, model.limits)}["seal.floor-radius"]
        assert (found.holds, found.worst, found.limit) == (holds, radius, 0.3)


def milled(radius: float, floor: float = 0.3) -> Gland:
    """A groove 2.8 wide and 1.5 deep along a rectangle of 80 × 60 with rounded corners."""
    x, y, c, s = 40.0, 30.0, radius, radius * (1 - math.sqrt(0.5))
    path = Path((-x + c, -y), (
        Line((x - c, -y)), Arc((x - s, -y + s), (x, -y + c)), Line((x, y - c)), Arc((x - s, y - s), (x - c, y)),
        Line((-x + c, y)), Arc((-x + s, y - s), (-x, y - c)), Line((-x, -y + c)), Arc((-x + s, -y + s), (-x + c, -y)),
    ), closed=True)  # fmt: skip
    pocket = Pocket("ring", "groove", "seal", Stroke(path, 2.8), 1.5, ("seal",), floor_radius=floor)
    square = Outline((-50.0, -50.0), (Line((50, -50)), Line((50, 50)), Line((-50, 50)), Line((-50, -50))))
    plate = PlateLayout("panel", square, 12.0, "pmma-cast", True, 0.0, (), pockets=(pocket,))
    _, model = planned()
    gland = pocket_gland("panel.cord", pocket, plate, CordStock(), model, measured=Reading(value=2.0, gauge=0.02))
    assert gland.line == pytest.approx(2 * (80 + 60) - 8 * radius + math.tau * radius)
    return gland


def corner_of(gland: Gland) -> Outcome:
    layout = JobLayout("bench", (), (), {}, glands=(gland,))
    _, model = planned()
    return {o.rule: o for o in seal_checks(layout, model.limits)}["seal.corner"]


def test_a_ring_of_a_fitting_by_hand() -> None:
    layout, model = fitted(RING)
    (r,) = gland_records(layout, model.limits)
    # Pressure from inside puts the ring of 1.5 against the outer wall, Ø14.2 + 2 · 2.1: its middle at Ø16.9.
    assert r["stretch"]["nominal"] == pytest.approx(100 * (16.9 / 15.5 - 1), abs=1e-3)
    thin = 1.5 * math.sqrt(15.5 / 16.9)
    assert r["conditions"][0]["squeeze"]["nominal"] == pytest.approx(100 * (1 - 1.1 / thin), abs=1e-3)
    found = {o.rule: o for o in seal_checks(layout, model.limits)}
    assert not found["seal.stretch"].holds  # 9 %, of 5 % at most
    # Land: groove Ø14.2 on a thread of Ø13.157 (ISO 228-1, G1/4); groove Ø18.4 on a spotface of Ø19 (DIN 3852-2).
    assert found["seal.land"].worst == pytest.approx((19 - 18.4) / 2)


def test_what_is_known_of_a_face_without_its_fitting() -> None:
    layout, _ = fitted(None)
    (r,) = face_records(layout)
    assert r["land"] == pytest.approx((19 - 13.157) / 2, abs=1e-3)  # DIN 3852-2 and ISO 228-1
    assert (r["finish"], r["finish_gas"]) == (0.8, 0.4)  # Ra, µm: seal suppliers' handbooks
    assert r["seal"] is None
    assert layout.glands == ()


def test_land_beside_a_tube_channel() -> None:
    hole = {"name": "near", "kind": "clearance", "thread": "M4", "at": [[0, 47.8]]}
    found = outcomes(plates={"upper": PLATE | {"holes": [hole]}, "lower": PLATE})["seal.land"]
    (f,) = found.findings
    assert f.measured == pytest.approx(47.8 - 4.5 / 2 - 45.25, abs=1e-4)  # M4 clearance, ISO 273 medium; channel Ø90.5
    assert f.features == ("tube.tube-channel", "near")


def test_extrusion_gap_is_told_by_what_makes_it() -> None:
    layout, model = planned()
    r = seal_records(layout, model.limits)[0]["extrusion"]
    assert r["nominal"] == pytest.approx(0.5)
    assert r["worst"] == pytest.approx([0.05, 0.95])  # channel ± 0.1, tube ± 0.35
    assert r["measure"] == "tube outside"
    layout, model = planned({"measured": {"tube_outside": {"value": 90.1, "gauge": 0.02}}})
    r = seal_records(layout, model.limits)[0]["extrusion"]
    assert r["worst"] == pytest.approx([0.28, 0.52])
    assert {f.severity for f in outcomes()["seal.extrusion"].findings} == {"note"}


def test_a_tube_that_stands_on_the_floor_beside_its_groove() -> None:
    """Floors 206 apart: a tube of 205.4 stands 0.3 above each; the worst of ± 0.25 and the cold still leave room."""
    stepped = {"channel": {"groove": "auto"}, "struts": {"length": 200}}
    tube = {"outside_diameter": 90, "length": 205.4}
    found = outcomes(stepped | {"tube": tube})
    assert found["seal.squeeze"].worst == pytest.approx(25)
    assert found["seal.floor"].cases == 1
    long = outcomes(stepped | {"tube": tube | {"length": 206.2}})["seal.floor"]
    assert not long.holds
    assert "stand on the channel's floor" in long.findings[0].what


def test_a_stepped_groove_needs_a_floor_beside_it() -> None:
    from rillwright.layout.job import LayoutError

    with pytest.raises(LayoutError, match=r"leaves no floor in a channel 5\.5 mm wide"):
        planned({"channel": {"groove": {"depth": 1.2, "width": 5.6}}, "struts": {"length": 200}})


@settings(max_examples=25, deadline=None)
@given(
    cord=st.floats(1.5, 6), share=st.floats(0.6, 0.95), wide=st.floats(1.1, 1.6), off=st.floats(0, 0.1),
    stretch=st.floats(-0.02, 0.05),
)  # fmt: skip
def test_nominal_lies_within_the_worst_and_worst_within_more_tolerance(
    cord: float, share: float, wide: float, off: float, stretch: float
) -> None:
    _, model = planned()
    spreads = []
    for more in (off, off + 0.05):
        bed = Bed(cord * share, cord * wide, 200.0, 20.0, depth_off=(more, more), opening_off=(0, more))
        read = Reading(value=cord, gauge=0.02)
        gland = face_gland("a.cord", "cover", "a", "main", ("a.groove",), bed, CordStock(diameter=2), model,
                           measured=read, ring_length=200 / (1 + stretch))  # fmt: skip
        s = analyse(gland).filling.squeeze
        assert s.worst_low <= s.nominal + 1e-12
        assert s.nominal <= s.worst_high + 1e-12
        spreads.append(s)
    assert spreads[1].worst_low <= spreads[0].worst_low
    assert spreads[1].worst_high >= spreads[0].worst_high
