"""Can it be cut: tools, travel, wandering drills, webs and the flip, on jobs changed for one question each."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from jobs import SHIPPED, named, raw, written
from rillwright.checks.finding import Finding, Outcome
from rillwright.checks.plan.wandering import incidence
from rillwright.pipeline import check

Job = dict[str, Any]


def outcomes(folder: Path, job: Job) -> dict[str, Outcome]:
    return {o.rule: o for o in check(written(folder, job)).outcomes}


def found(folder: Path, job: Job, rule: str) -> list[Finding]:
    return list(outcomes(folder, job)[rule].findings)


def block(**machine: Any) -> Job:
    """A block with one drilling between two ports of one loop."""
    return {
        "job": "block", "loops": {"main": {}}, "machine": machine,
        "plates": {"block": {
            "stock": {"material": "pmma-cast", "thickness": 30}, "outline": {"length": 120, "width": 80},
            "ports": [{"name": "in", "loop": "main", "on": "back", "at": [0, -15]},
                      {"name": "top", "loop": "main", "on": "seal", "at": [0, 0], "depth": 10, "tip": "flat"}],
            "drillings": [{"name": "riser", "from": "top", "to": [0, 0, -18], "diameter": 6},
                          {"name": "feed", "from": "in", "to": "riser", "diameter": 6}],
        }},
    }  # fmt: skip


@pytest.mark.parametrize("name", SHIPPED)
def test_shipped_jobs_can_be_cut(tmp_path: Path, name: str) -> None:
    """Only the sheet's thickness is warned of: it is not measured yet."""
    every = outcomes(tmp_path, raw(name))
    bad = {r for r, o in every.items() if r.startswith(("machining", "flip")) and o.findings}
    assert bad <= {"machining.thickness"}
    assert all(every[r].cases for r in ("machining.width", "machining.reach", "flip.wall", "flip.dowels"))


def test_a_channel_narrower_than_every_cutter(tmp_path: Path) -> None:
    """Tube wall 5 and 0.25 on both sides: 5.5 mm wide, and the thinnest cutter is 6 mm."""
    job = raw("bench-single") | {"machine": {"cutters": [{"diameter": 6, "reach": 20}]}}
    bad = found(tmp_path, job, "machining.width")
    assert {f.features for f in bad} == {("tube.tube-channel",)}
    assert {f.measured for f in bad} == {5.5}
    assert {f.severity for f in bad} == {"error"}
    job["machine"]["cutters"][0]["diameter"] = 5.5
    assert not found(tmp_path, job, "machining.width")


def test_tools_that_the_job_does_not_list_only_warn(tmp_path: Path) -> None:
    job = raw("bench-single")
    job["reservoirs"][0]["tube"] |= {"wall": 0.3}
    job["reservoirs"][0]["channel"] = {"clearance_inside": 0.1, "clearance_outside": 0.1}
    bad = found(tmp_path, job, "machining.width")
    assert {(f.severity, round(f.measured or 0, 3), f.limit) for f in bad} == {("warning", 0.5, 1)}


def test_a_cutter_that_fits_but_does_not_reach(tmp_path: Path) -> None:
    job = raw("bench-single") | {"machine": {"cutters": [{"diameter": 10, "reach": 40}, {"diameter": 5, "reach": 4}]}}
    bad = [f for f in found(tmp_path, job, "machining.reach") if f.features == ("tube.tube-channel",)]
    assert [(f.measured, f.limit) for f in bad] == [(4, 6), (4, 6)]
    assert bad[0].remedy.startswith("make it 2.00 mm shallower")


def test_a_slender_cutter(tmp_path: Path) -> None:
    """6 mm deep with a cutter of 1 mm: six diameters, four asked for."""
    job = raw("bench-single") | {"machine": {"cutters": [{"diameter": 10, "reach": 40}, {"diameter": 1, "reach": 7}]}}
    bad = found(tmp_path, job, "machining.ratio")
    assert {(f.features, f.measured, f.limit) for f in bad} == {(("tube.tube-channel",), 6, 4)}


def test_a_drilling_longer_than_the_longest_drill(tmp_path: Path) -> None:
    """From the back at y = 40 to the riser at y = 0."""
    assert not found(tmp_path, block(drills={"reach": 40}), "machining.reach")
    bad = found(tmp_path, block(drills={"reach": 39}), "machining.reach")
    assert [(f.features, f.measured, f.limit, f.severity) for f in bad] == [(("feed",), 39, 40, "error")]


def test_a_drill_that_is_not_there(tmp_path: Path) -> None:
    """The riser is short enough to be milled, the feed is not: only it lacks its drill."""
    bad = found(tmp_path, block(drills={"diameters": [5.8, 8, 11.8]}), "machining.drill-size")
    assert [(f.features, f.measured) for f in bad] == [(("feed",), pytest.approx(0.2))]
    assert "Ø5.8" in bad[0].remedy


def test_a_plate_larger_than_the_travel_standing_on_its_edge(tmp_path: Path) -> None:
    """120 × 80 × 30: flat it fits, standing on its front edge it is 80 high."""
    bad = found(tmp_path, block(work_area=[80, 120, 70]), "machining.work-area")
    assert [(f.features, f.measured) for f in bad] == [(("back",), 10)]
    assert not found(tmp_path, block(work_area=[80, 120, 80]), "machining.work-area")
    assert {f.measured for f in found(tmp_path, block(work_area=[80, 110, 80]), "machining.work-area")} == {10}


def cornered(corner: list[Any], thickness: float = 12, **machine: Any) -> Job:
    """An L of 100 × 60 whose hollow corner stands at (0, 0) of a polygon that is not centred: (50, 30) less its middle."""
    return {
        "job": "cornered", "machine": machine,
        "plates": {"l": {
            "stock": {"material": "pom-c", "thickness": thickness},
            "outline": {"polygon": [[-50, -30], [50, -30], [50, 0], *corner, [0, 30], [-50, 30]]},
        }},
    }  # fmt: skip


HALF = 4 * (1 - math.sqrt(0.5))  # mm: the middle of a quarter circle of 4 mm from its corner, along x and y
ROUND = [[4, 0], {"through": [HALF, HALF], "to": [0, 4]}]


def test_a_hollow_corner_that_no_cutter_goes_into(tmp_path: Path) -> None:
    """A sharp one takes none; one of 4 mm takes a cutter of 8 mm, no larger one."""
    bad = found(tmp_path, cornered([[0, 0]]), "machining.width")
    assert [(f.plate, f.features, f.measured, f.limit, f.severity) for f in bad] == [("l", ("outline",), 0, 1, "warning")]
    assert bad[0].at == ((0, 0, 0),)
    assert bad[0].remedy.startswith("round it by 0.5 mm or more")
    assert not found(tmp_path, cornered(ROUND), "machining.width")
    eight, nine = ([{"diameter": d, "reach": 40}] for d in (8, 9))
    assert not found(tmp_path, cornered(ROUND, cutters=eight), "machining.width")
    (tight,) = found(tmp_path, cornered(ROUND, cutters=nine), "machining.width")
    assert (tight.measured, tight.limit, tight.severity) == (8, 9, "error")
    assert tight.at[0] == pytest.approx((HALF, HALF, 0))
    square = block(cutters=[{"diameter": 50, "reach": 60}])  # no hollow corner: any cutter goes round
    assert ("outline",) not in [f.features for f in found(tmp_path, square, "machining.width")]


def test_an_outline_deeper_than_the_cutters_that_go_round_it(tmp_path: Path) -> None:
    """30 mm is the longest reach of common cutters, of one of 10 mm; into a corner of 4 mm goes one of 8 mm, 25 mm deep."""
    assert not found(tmp_path, cornered(ROUND, 25), "machining.outline")
    (deep,) = found(tmp_path, cornered(ROUND, 26), "machining.outline")
    assert (deep.features, deep.measured, deep.limit, deep.severity) == (("outline",), 25, 26, "warning")
    assert deep.remedy.startswith("add a cutter with a reach of 26 mm, cut half of it from each face, or saw it out")
    (deeper,) = found(tmp_path, cornered(ROUND, 60), "machining.outline")
    assert "each face" not in deeper.remedy
    assert not found(tmp_path, block(), "machining.outline")  # 30 mm, no hollow corner


def test_a_window_with_a_sharp_corner_takes_no_cutter(tmp_path: Path) -> None:
    job = cornered(ROUND, windows=None)
    del job["machine"]
    job["plates"]["l"]["windows"] = [{"name": "eye", "at": [-20, -10], "length": 20, "width": 10, "corner_radius": 0}]
    (bad,) = found(tmp_path, job, "machining.width")
    assert (bad.features, bad.measured) == (("eye",), 0)


def test_a_machine_that_does_not_hold_a_seat(tmp_path: Path) -> None:
    bad = found(tmp_path, raw("bench-single") | {"machine": {"depth": 0.08}}, "machining.accuracy")
    assert {(f.plate, f.measured, f.limit) for f in bad} == {("upper", 0.08, 0.05), ("lower", 0.08, 0.05)}


def test_a_sheet_as_thick_as_its_standard_allows(tmp_path: Path) -> None:
    """M4 × 16 through 9 mm: 7 mm of thread, 6 wanted, so 1 mm thicker at most; ISO 7823-1 allows 0.4 + 10 %."""
    bad = found(tmp_path, raw("bench-single"), "machining.thickness")
    assert [(f.features, f.measured, f.limit) for f in bad] == [(("tube",), 1, pytest.approx(1.6))] * 2
    assert not found(tmp_path, raw("bench-single") | {"machine": {"sheet": 0.2}}, "machining.thickness")


@pytest.mark.parametrize(
    ("between", "offset", "expected"),
    [(90, 0, 0), (90, 1.5, 30), (45, 0, 45), (90, 3, 90), (90, 9, 90),
     (60, 3 * math.sin(math.radians(30)), math.degrees(math.acos(0.75)))],
)  # fmt: skip
def test_slope_of_the_wall_a_drill_meets(between: float, offset: float, expected: float) -> None:
    """A bore of radius 3: asin(offset / 3) across, the complement of the angle of the axes along."""
    assert incidence(between, offset, 3) == pytest.approx(expected, abs=1e-9)


def test_a_drill_that_breaks_in_off_the_middle(tmp_path: Path) -> None:
    """The port stands 2.4 mm beside the riser of 3 mm radius: asin(0.8) = 53.13°, and 45° are allowed."""
    job = block()
    named(job["plates"]["block"]["ports"], "in")["at"] = [2.4, -15]
    bad = found(tmp_path, job, "machining.breakthrough")
    assert [(f.features, f.severity) for f in bad] == [(("feed", "riser"), "warning")]
    assert bad[0].measured == pytest.approx(53.1301, abs=1e-3)
    assert bad[0].remedy.startswith(f"bring the axes {2.4 - 3 * math.sqrt(0.5):.2f} mm nearer")
    named(job["plates"]["block"]["ports"], "in")["at"] = [2.1, -15]
    assert not found(tmp_path, job, "machining.breakthrough")


def test_a_drill_that_starts_on_a_slope(tmp_path: Path) -> None:
    job = block()
    job["plates"]["block"]["drillings"].append(
        {"name": "slant", "loop": "main", "from": "outer", "at": [20, 0], "to": [0, 0, -10], "diameter": 3}
    )
    bad = found(tmp_path, job, "machining.entry")
    assert [(f.features, f.measured) for f in bad] == [(("slant",), pytest.approx(45))]


def test_a_web_that_is_thin_while_the_next_side_is_cut(tmp_path: Path) -> None:
    """Limits are lowered so that 0.5 mm between two holes is no finding of the walls."""
    job = block() | {"limits": {"wall_dry": 0.3}}
    job["plates"]["block"]["holes"] = [
        {"name": "pair", "kind": "clearance", "thread": "M4", "at": [[40, 20], [45, 20]]}
    ]
    bad = found(tmp_path, job, "machining.web")
    assert [(f.features, f.measured, f.limit) for f in bad] == [(("pair-1", "pair-2"), pytest.approx(0.5), 0.8)] * len(bad)
    assert bad


def test_a_flip_error_larger_than_the_strut_can_follow(tmp_path: Path) -> None:
    bad = found(tmp_path, raw("bench-single") | {"machine": {"flip": 0.2}}, "flip.concentric")
    assert len(bad) == 8
    assert {(f.measured, round(f.limit or 0, 6)) for f in bad} == {(0.2, 0.1)}
    assert "0.10 mm more clearance" in bad[0].remedy


def test_a_flip_error_that_takes_the_wall_between_both_sides(tmp_path: Path) -> None:
    """A tapped hole from outside stands 6.1 mm beside the channel: 0.9 × 6 asked for after a shift of 1 mm."""
    job = raw("bench-single") | {"machine": {"flip": 1}}
    job["plates"]["upper"]["holes"] = [
        {"name": "knob", "kind": "tapped", "thread": "M5", "from": "outer", "depth": 7, "at": [[38.45, 0]]}
    ]
    bad = [f for f in found(tmp_path, job, "flip.wall") if "knob" in f.features]
    assert [(f.features, f.measured, f.limit) for f in bad] == [
        (("tube.tube-channel", "knob"), pytest.approx(5.1), pytest.approx(5.4))
    ]
    job["machine"]["flip"] = 0.1
    assert not found(tmp_path, job, "flip.wall")


def test_dowels_of_the_job_that_let_the_plate_be_turned_round(tmp_path: Path) -> None:
    twins = [{"at": [-70, 0], "diameter": 6}, {"at": [70, 0], "diameter": 6}]
    bad = found(tmp_path, raw("bench-single") | {"machine": {"dowels": twins}}, "flip.dowels")
    assert [f.measured for f in bad] == [2, 2]
    assert "turned half round and flipped about y" in bad[0].what
    twins[1]["diameter"] = 8
    assert not found(tmp_path, raw("bench-single") | {"machine": {"dowels": twins}}, "flip.dowels")


def test_dowels_on_the_diagonal_do_not_fit_after_the_flip(tmp_path: Path) -> None:
    pins = [{"at": [-70, -60], "diameter": 6}, {"at": [70, 60], "diameter": 8}]
    bad = found(tmp_path, raw("bench-single") | {"machine": {"dowels": pins}}, "flip.dowels")
    assert "does not go over the dowels" in bad[0].what


def test_a_measured_sheet_is_told_as_measured_and_its_cure_holds(tmp_path: Path) -> None:
    """16 − (12 − 3) = 7 mm of thread, 6 wanted: 1 mm to spare, 1.3 mm asked for by the file's own figure."""
    job = raw("bench-single") | {"machine": {"sheet": 1.3}}
    (bad,) = {f.remedy: f for f in found(tmp_path, job, "machining.thickness")}.values()
    assert "as machine.sheet allows" in bad.what
    assert "0.3 mm longer" in bad.remedy
    job["reservoirs"][0]["struts"]["screw"]["counterbore"] = 0.3
    assert not found(tmp_path, job, "machining.thickness")
