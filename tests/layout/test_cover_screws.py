"""Screws along grooves: the pitch kept by another way of measuring, few of them, and the proof where there are none."""

from __future__ import annotations

import math
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from covered import box, channel, face, groove, hole, tree
from rillwright.checks.plan.cover_groove import pitches
from rillwright.layout import paths
from rillwright.layout.pockets import Path
from rillwright.layout.sealing.obstacles import Obstacle
from rillwright.layout.sealing.ring import InTheWay, ring
from rillwright.layout.sealing.screws import NoPlace, Screws, screws_along

WIDE = box(1000, 1000)
REACH = (5.5, 9.0)


def longest(made: Screws, tracks: list[Path]) -> float:
    holes = [hole(f"s{i}", x, y) for i, (x, y) in enumerate(made.at)]
    worst = pitches([face([groove(f"g{i}", p) for i, p in enumerate(tracks)], holes, WIDE, reach=REACH[1], pitch=1)]).worst
    assert worst is not None
    return worst


def nearest(made: Screws) -> float:
    return min((math.dist(p, q) for i, p in enumerate(made.at) for q in made.at[:i]), default=math.inf)


def straight(y: float, loop: str = "a") -> Path:
    return ring([channel("c", [(-150, y), (150, y)], loop=loop)], WIDE, 2, 2.8, 2, 2, 6).path


def attempt(track: Path, pitch: float, blocks: list[Obstacle]) -> Screws | NoPlace:
    try:
        return screws_along([track], pitch, REACH, 4.0, blocks)
    except NoPlace as e:
        return e


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 10**6), st.sampled_from([30.0, 45.0, 60.0]))
def test_within_one_of_the_bound_and_all_rules_kept(seed: int, pitch: float) -> None:
    rng = random.Random(seed)
    track = ring(tree(seed), WIDE, 2, 2.8, 2, 2, 6).path
    walked = paths.along(track, 25)
    blocks: list[Obstacle] = [
        (f"fitting-{i}", (rng.choice(walked)[1], rng.uniform(1, 8)), 1.0) for i in range(rng.randint(0, 4))
    ]
    made = attempt(track, pitch, blocks)
    if isinstance(made, NoPlace):
        assert made.proved
        assert made.stretch > pitch - 0.1
        return
    assert made.bound <= len(made.at) <= made.bound + 1
    assert len(made.at) >= math.ceil(paths.length(track) / pitch - 1e-9)
    assert longest(made, [track]) <= pitch + 0.26
    assert max(made.gaps[0]) <= pitch
    assert nearest(made) >= 8 - 1e-6
    inside = paths.polygon(track)
    import shapely

    assert not any(inside.contains(shapely.Point(p)) for p in made.at)
    assert all(math.dist(p, c) >= r + 5 - 1e-5 for p in made.at for _, (c, r), _ in blocks)
    assert all(REACH[0] - 3e-3 <= paths.distance(track, p) <= REACH[1] + 1e-6 for p in made.at)


def test_even_spacing_on_a_ring_without_obstacles() -> None:
    made = screws_along([straight(0)], 45, REACH, 4.0)
    assert len(made.at) == math.ceil(paths.length(straight(0)) / 45)
    assert max(made.gaps[0]) - min(made.gaps[0]) < 2.1


def test_one_row_of_screws_serves_two_grooves() -> None:
    tracks = [straight(0), straight(26)]  # 11.2 mm between the middle lines: a row 5.6 from both
    made = screws_along(tracks, 45, REACH, 3.0)
    alone = sum(len(screws_along([t], 45, REACH, 3.0).at) for t in tracks)
    assert longest(made, tracks) <= 45.26
    assert len(made.at) <= made.bound + 1
    assert len(made.at) <= alone - 5


def test_given_screws_are_kept_and_others_set_between() -> None:
    given_ = [(-40.0, 14.0), (37.0, -13.5)]
    made = screws_along([straight(0)], 45, REACH, 4.0, given=given_)
    assert list(made.at[:2]) == given_
    assert longest(made, [straight(0)]) <= 45.26
    assert nearest(made) >= 8 - 1e-6


def test_a_given_screw_on_the_groove_or_within_it_is_refused() -> None:
    for at in ((0.0, 8.0), (0.0, 0.0)):
        with pytest.raises(InTheWay, match=r"given at x 0, y .* too near to a groove, or inside"):
            screws_along([straight(0)], 45, REACH, 4.0, given=[at])


def test_the_stretch_without_room_is_the_proof_and_names_what_stands_there() -> None:
    bar = paths.polygon(box(60, 12))
    import shapely

    wall = shapely.affinity.translate(bar, 10, 13)  # x from −20 to 40 beside the upper leg
    with pytest.raises(NoPlace) as e:
        screws_along([straight(0)], 45, REACH, 4.0, [("rib", wall, 1.0), ("far", ((0.0, -80.0), 5.0), 1.0)])
    assert e.value.who == "rib"
    assert e.value.stretch == pytest.approx(60 + 2 * 5, abs=2.1)
    assert sorted(p[0] for p in e.value.ends) == pytest.approx([-25, 45], abs=1.6)
    assert screws_along([straight(0)], 75, REACH, 4.0, [("rib", wall, 1.0)]).bound


def test_the_plates_edge_in_the_way_is_named() -> None:
    with pytest.raises(NoPlace, match="the plate's edge is in the way"):
        screws_along([straight(0)], 45, REACH, 4.0, outline=box(400, 30), edge=1.0)


def test_grooves_that_leave_a_screw_between_them_too_little_are_named() -> None:
    tracks = [straight(0), straight(25.4)]  # 10.6 mm between the middle lines, two times 5.5 needed
    with pytest.raises(NoPlace, match=r"30\d\.\d mm of it, pitch 45 at most; a groove is in the way"):
        screws_along(tracks, 45, REACH, 3.0)


def test_the_same_every_time() -> None:
    tracks = [straight(0), straight(26)]
    assert screws_along(tracks, 45, REACH, 3.0) == screws_along(tracks, 45, REACH, 3.0)
