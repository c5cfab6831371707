"""Covered faces with one thing wrong each: the rule that it breaks finds it, measures it, and no other rule does."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from covered import bent, box, channel, face, groove, hole
from rillwright.checks.finding import Outcome
from rillwright.checks.plan.cover_checks import cover_checks
from rillwright.checks.plan.cover_face import CoverFace
from rillwright.layout import paths
from rillwright.layout.features import Line
from rillwright.layout.pockets import Path, Pocket
from rillwright.layout.sealing.ring import ring
from rillwright.layout.sealing.screws import screws_along
from rillwright.spec.job import Limits

PLATE = box(400, 200)


def laid(pockets: list[Pocket], loop: str) -> Pocket:
    return groove(f"groove-{loop}", ring(pockets, PLATE, 2, 2.8, 2, 2, 6).path, loop=loop)


A = channel("a1", [(-100, -50), (100, -50)])
B = channel("b1", [(-100, 20), (100, 20)], loop="b")
GA, GB = laid([A], "a"), laid([B], "b")
HOLES = [hole(f"s{i}", x, y) for i, (x, y) in enumerate(screws_along([g.shape.path for g in (GA, GB)], 45, (6, 9), 4).at)]


def broken(f: CoverFace, limits: Limits | None = None) -> dict[str, Outcome]:
    return {o.rule: o for o in cover_checks([f], limits or Limits()) if not o.holds}


def test_a_sound_face_holds() -> None:
    f = face([A, B, GA, GB], HOLES, pitch=45)
    outcomes = {o.rule: o for o in cover_checks([f], Limits())}
    assert not broken(f)
    assert outcomes["cover.groove-corner"].worst == pytest.approx(3)
    assert outcomes["cover.land"].worst == pytest.approx(2)
    assert outcomes["cover.screw-pitch"].worst <= 45
    assert all(o.cases for o in outcomes.values() if o.rule != "cover.bond")


def test_no_covered_face_no_rule() -> None:
    assert cover_checks([], Limits()) == []


def test_channels_of_two_loops_too_near() -> None:
    """Legs 8 wide, 10.4 mm between their middle lines: 2.4 between them, exactly."""
    f = face([channel("x", [(-90, 0), (90, 0)]), channel("y", [(-50, 10.4), (60, 10.4)], loop="b")], bond=1)
    found = broken(f)
    assert list(found) == ["cover.wall"]
    (hit,) = found["cover.wall"].findings
    assert (hit.measured, set(hit.features), hit.nets) == (pytest.approx(2.4), {"x", "y"}, ("a", "b"))


def test_distance_to_a_bend_is_that_of_its_arc() -> None:
    """A bend of radius 20 round (30, 20), and a bore 3.1 mm wide at 45° outside of it: 26 − 20 − 4 − 1.55 = 0.45."""
    bend = channel("bend", [(0, 0), (50, 0), (50, 60)], bend=20)
    k = 26 * math.sqrt(0.5)
    f = face([bend], [hole("peg", 30 + k, 20 - k, 1.55)], bond=0.2)
    (hit,) = broken(f)["cover.wall"].findings
    assert hit.measured == pytest.approx(0.45, abs=1e-4)


def test_a_web_between_two_folds_of_one_loop() -> None:
    """A channel that runs back beside itself, legs 10.5 apart and 8 wide: a web of 2.5 under a limit of 3."""
    fold = channel("fold", [(30, 30), (90, 30), (90, 40.5), (40, 40.5)])
    found = broken(face([fold], bond=1), Limits(wall_same=3))
    assert list(found) == ["cover.web"]
    assert found["cover.web"].findings[0].measured == pytest.approx(2.5, abs=2e-3)
    assert not broken(face([fold], bond=1), Limits(wall_same=2.4))
    fan = channel("fan", [(30, 30), (90, 30), (90, 39.5), (40, 42)])  # 1.7 at its root, where the legs' sides are x = 86
    found = broken(face([fan], bond=1), Limits(wall_same=3))
    assert found["cover.web"].findings[0].measured == pytest.approx(1.75, abs=0.08)
    two = [channel("one", [(0, 0), (50, 0)]), channel("two", [(20, 10), (20, 60)])]  # an end 2 mm before a side
    assert broken(face(two, bond=1), Limits(wall_same=3))["cover.web"].findings[0].measured == pytest.approx(2, abs=2e-3)


def test_the_wedge_where_two_channels_meet_is_no_web() -> None:
    fork = [channel("stem", [(0, 0), (50, 0)]), channel("twig", [(0, 0), (50, 25)])]
    assert not broken(face(fork, bond=1), Limits(wall_same=3))


def test_one_groove_round_two_loops() -> None:
    around = groove("round-both", ring([replace(B, loop="a"), A], PLATE, 2, 2.8, 2, 2, 6).path)
    found = broken(face([A, B, around], pitch=1e6))
    assert list(found) == ["cover.sealed"]
    assert "no groove parts loop 'a' from loop 'b'" in found["cover.sealed"].findings[0].what


def test_a_loop_without_a_groove_reaches_the_edge() -> None:
    hits = broken(face([A, B, GA], pitch=1e6))["cover.sealed"].findings
    assert {h.what for h in hits} == {"coolant of loop 'b' reaches the plate's edge"}


def test_a_screw_within_the_groove_leaks() -> None:
    """Beside a channel bent round it, and on an island that the channel leaves standing: the face joins both."""
    u = channel("u", [(-60, 30), (-60, -30), (60, -30), (60, 30)])
    lid = channel("lid", [(-60, 30), (60, 30)])
    around = groove("g", ring([u, lid], PLATE, 2, 2.8, 2, 2, 6).path)
    for pockets in ([u, around], [u, lid, around]):
        (hit,) = broken(face(pockets, [hole("peg", 0, 0)], pitch=1e6))["cover.sealed"].findings
        assert (hit.what, hit.features[1]) == ("coolant of loop 'a' reaches a dry hole", "peg")


def test_a_groove_with_tight_or_sharp_corners() -> None:
    narrow = channel("narrow", [(-100, -50), (100, -50)], 4)
    tight = groove("tight", ring([narrow], PLATE, 1.5, 2.8, 2, 2, 4.5).path, cord=2.0)
    (hit,) = broken(face([narrow, tight], pitch=1e6))["cover.groove-corner"].findings
    assert hit.measured == pytest.approx(4.5 / 2)
    legs = (Line((115, -65)), Line((115, -35)), Line((-115, -35)), Line((-115, -65)))
    sharp = groove("sharp", Path((-115, -65), legs, True))
    assert broken(face([A, sharp], pitch=1e6))["cover.groove-corner"].findings[0].measured == 0


def test_narrow_lands() -> None:
    near = hole("near", 0, -50 + 7.4 + 1.4 + 1.2 + 2)
    (hit,) = broken(face([A, GA], [near], pitch=1e6))["cover.land"].findings
    assert (hit.measured, set(hit.features)) == (pytest.approx(1.2, abs=1e-4), {"groove-a", "near"})
    small = box(230, 200)
    (hit,) = broken(face([A, GA], outline=small, pitch=1e6, land=6.5))["cover.land"].findings[:1]
    assert "groove-a" in hit.features


def test_a_groove_that_crosses_itself_or_is_open() -> None:
    eight = bent([(-120, -80), (120, -20), (120, -80), (-120, -20), (-120, -80)], 0)
    found = broken(face([A, groove("eight", Path(eight.start, eight.pieces, True))], pitch=1e6))
    assert "crosses or touches itself" in found["cover.groove-simple"].findings[0].what
    gap = groove("gap", Path(GA.shape.path.start, GA.shape.path.pieces[:-1], False))
    assert "not closed" in broken(face([A, gap], pitch=1e6))["cover.groove-simple"].findings[0].what


def test_a_missing_screw_and_none_at_all() -> None:
    without = [h for h in HOLES if h.name != "s5"]
    (hit,) = broken(face([A, B, GA, GB], without, pitch=45))["cover.screw-pitch"].findings
    assert 45 < hit.measured < 91
    bare = broken(face([A, GA], pitch=45))["cover.screw-pitch"].findings[0]
    assert bare.measured == pytest.approx(paths.length(GA.shape.path), abs=1e-3)


@pytest.mark.parametrize("x", [-20.0, -20.03, -19.9, -3.333])
def test_distances_of_screws_along_a_groove_to_a_micrometre(x: float) -> None:
    path = GA.shape.path  # type: ignore[union-attr]
    y = max(p.end[1] for p in path.pieces) + 5
    both = [hole("s1", x, y), hole("s2", x + 40.1, y)]
    (hit,) = broken(face([A, GA], both, pitch=30))["cover.screw-pitch"].findings
    assert hit.measured == pytest.approx(paths.length(path) - 40.1, abs=2e-3)


def test_a_bonded_flat_too_narrow_towards_the_edge() -> None:
    low = channel("low", [(-100, -92), (100, -92)])
    (hit,) = broken(face([low], bond=5))["cover.bond"].findings
    assert hit.measured == pytest.approx(4)
