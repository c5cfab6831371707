"""Grooves round what is wet: held against the checks of covered faces, and what they say where there is no room."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from covered import box, channel, face, groove, pockets, tree
from rillwright.checks.finding import Outcome
from rillwright.checks.plan.cover_groove import corners, lands
from rillwright.checks.plan.cover_seal import sealed, simple
from rillwright.layout import paths
from rillwright.layout.pockets import Pocket
from rillwright.layout.sealing.plate import rings
from rillwright.layout.sealing.ring import InTheWay, Lands, around_plate, ring

WIDE = box(1000, 1000)
LANDS = Lands(cord=2, width=2.8, land_inner=2, land_outer=2, corner=6)
GLANDS = [(2.0, 2.8, 2.0), (3.0, 4.0, 3.0), (2.5, 3.4, 1.5)]


def faults(outcomes: list[Outcome]) -> list[str]:
    return [f"{x.rule} {f.measured} {f.features}" for x in outcomes for f in x.findings]


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10**6), st.sampled_from(GLANDS), st.booleans())
def test_rings_of_random_trees_pass_the_checks(seed: int, gland: tuple[float, float, float], wide: bool) -> None:
    wet, (d, width, land) = tree(seed), gland
    r = ring(wet, WIDE, d, width, land, land, 3 * d, hollows=None if wide else 3 * d)
    channels, bores = pockets(wet)
    f = face([*channels, groove("ring", r.path, width, d)], bores, WIDE, land)
    assert faults([sealed([f]), simple([f]), corners([f]), lands([f])]) == []
    assert all(isinstance(p, paths.Straight | paths.Bow) for p in paths.pieces(r.path))
    assert len(r.path.pieces) < 20 + 20 * len(wet)  # arcs, not hundreds of chords


def test_a_hollow_that_turns_almost_back_is_still_laid() -> None:
    """Two sides that meet in a spike of 7°: chords put its tip 0.02 mm off, the true arcs do not."""
    r = ring(tree(1734), WIDE, 2, 2.8, 2, 2, 6)
    assert max(p.sweep for p in paths.pieces(r.path) if isinstance(p, paths.Bow) and p.radius > 13) < 0
    assert min(p.sweep for p in paths.pieces(r.path) if isinstance(p, paths.Bow)) == pytest.approx(-3.015, abs=1e-3)


def test_the_land_is_used_up_beside_a_straight_channel() -> None:
    r = ring([channel("c", [(-50, 0), (50, 0)])], WIDE, 2, 2.8, 2, 2, 6)
    assert paths.distance(r.path, (0, 0)) == pytest.approx(4 + 2 + 1.4)


def test_a_hollow_is_rounded_by_six_cords_and_by_three_where_a_screw_stands() -> None:
    ell = [channel("c", [(60, 0), (0, 0), (0, 60)])]
    assert max(p.radius for p in paths.pieces(ring(ell, WIDE, 2, 2.8, 2, 2, 6).path) if p.length < 30) > 13
    tight = ring(ell, WIDE, 2, 2.8, 2, 2, 6, [("screw", ((13.4, 13.4), 2.0), 1.0)])
    assert paths.distance(tight.path, (13.4, 13.4)) >= 2 + 1 + 1.4 - 1e-6
    assert sorted({round(p.radius, 6) for p in paths.pieces(tight.path) if isinstance(p, paths.Bow)})[-1] < 13


def test_a_screw_beside_the_channel_is_named_with_the_room_there() -> None:
    with pytest.raises(InTheWay) as e:
        ring([channel("c", [(-50, 0), (50, 0)])], WIDE, 2, 2.8, 2, 2, 6, [("screw-7", ((10.0, 12.0), 2.5), 2.0)])
    assert (e.value.who, e.value.room, e.value.wanted) == ("screw-7", pytest.approx(5.5, abs=1e-3), pytest.approx(6.8))
    assert e.value.at == pytest.approx((10, 4), abs=0.2)
    assert "5.50 mm between it and what is wet, 6.8 needed" in str(e.value)


def test_a_screw_in_a_corner_too_tight_for_the_cord_is_named() -> None:
    ell = [channel("c", [(60, 0), (0, 0), (0, 60)])]
    with pytest.raises(InTheWay, match="'peg' stands where a corner of 6 mm inside radius has to pass"):
        ring(ell, WIDE, 2, 2.8, 2, 2, 6, [("peg", ((11.0, 11.0), 1.0), 0.5)])


def test_a_peg_that_the_groove_would_go_round_is_named() -> None:
    """A channel round a peg, its mouth too narrow for a cord to turn in."""
    cup = [channel("cup", [(-4, 40), (-30, 40), (-30, 0), (30, 0), (30, 40), (4, 40)])]
    with pytest.raises(InTheWay, match="would go round 'peg' too"):
        ring(cup, WIDE, 2, 2.8, 2, 2, 6, [("peg", ((0.0, 20.0), 3.0), 2.0)])


def test_the_plates_edge_is_named() -> None:
    with pytest.raises(InTheWay) as e:
        ring([channel("c", [(-50, 0), (95, 0)])], box(200, 100), 2, 2.8, 2, 2, 6)
    assert e.value.who == "the plate's edge"
    assert e.value.room == pytest.approx(1, abs=1e-3)


def test_areas_apart_are_joined_past_a_screw() -> None:
    two = [channel("c1", [(-50, 0), (50, 0)]), channel("c2", [(-50, 40), (50, 40)])]
    r = ring(two, WIDE, 2, 2.8, 2, 2, 6, [("screw", ((0.0, 20.0), 3.0), 2.0)])
    assert len(r.bridges) == 1
    assert abs(r.bridges[0][0][0]) > 3 + 2 + 6
    assert set(r.inside) == {"c1", "c2"}


def test_loops_side_by_side_get_a_groove_each() -> None:
    wets = {"a": [channel("a1", [(-50, 0), (50, 0)])], "b": [channel("b1", [(-50, 20), (50, 20)], loop="b")],
            "c": [channel("c1", [(-50, 50), (-20, 50)], loop="c"), channel("c2", [(20, 50), (50, 50)], loop="c")],
            }  # fmt: skip
    made = rings(wets, box(200, 150), LANDS)
    assert [len(made[k]) for k in "abc"] == [1, 1, 2]
    grooves = [groove(f"{k}-{i}", r.path, loop=k) for k, rs in made.items() for i, r in enumerate(rs)]
    f = face([*grooves, *(w for ws in wets.values() for w in ws if isinstance(w, Pocket))], outline=box(200, 150))
    assert faults([sealed([f]), lands([f]), corners([f])]) == []
    assert len(rings(wets, box(200, 150), LANDS, joined=True)["c"]) == 1


def test_loops_too_near_for_two_grooves_are_named() -> None:
    wets = {"a": [channel("a1", [(-50, 0), (50, 0)])], "b": [channel("b1", [(-50, 18), (50, 18)], loop="b")]}
    with pytest.raises(InTheWay, match=r"10\.00 mm between it and what is wet, 11\.6 needed") as e:
        rings(wets, box(200, 150), LANDS)
    assert e.value.who == "b1"


def test_a_plate_too_small_for_a_groove_round_it() -> None:
    with pytest.raises(InTheWay, match="does not fit the plate"):
        around_plate(box(40, 30), 10, 2.8, 6)
