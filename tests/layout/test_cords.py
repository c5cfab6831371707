"""Rings of cord and their cuts: how long, where the joint lies, and as few reels as can be."""

from __future__ import annotations

import csv
import io
import itertools
import math
import random
from typing import Any

import pytest

from jobs import named, raw, written
from rillwright.export.tables import CORD_COLUMNS, cord_table
from rillwright.layout.cords import TRIM, cuts, nested
from rillwright.layout.job_layout import JobLayout
from rillwright.layout.joints import Ring, joint_of
from rillwright.pipeline import plan
from rillwright.spec.messages import SpecError
from rillwright.spec.reservoir import CordStock


def laid(folder: Any, name: str = "lab-triple", **more: Any) -> JobLayout:
    return plan(written(folder, {**raw(name), **more})).layout


def rows(layout: JobLayout) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(cord_table(layout))))


def fewest(lengths: list[float], reel: float) -> int:
    """Smallest number of reels by trying every way, apart from the code under test."""
    for n in range(1, len(lengths) + 1):
        for way in itertools.product(range(n), repeat=len(lengths)):
            if all(sum(x for x, w in zip(lengths, way, strict=True) if w == k) <= reel + 1e-9 for k in range(n)):
                return n
    raise AssertionError


def test_first_fit_alone_would_waste_a_reel() -> None:
    # 4 + 3 + 3 twice fills two reels of 10; first-fit decreasing puts both fours together and needs three.
    found = nested([4, 4, 3, 3, 3, 3], 10)
    assert len(found) == 2
    assert sorted(i for row in found for i in row) == list(range(6))


def test_as_few_reels_as_trying_every_way() -> None:
    draw = random.Random(4)
    for _ in range(60):
        lengths = [float(draw.randint(2, 9)) for _ in range(draw.randint(1, 6))]
        found = nested(lengths, 10)
        assert len(found) == fewest(lengths, 10), lengths
        assert all(sum(lengths[i] for i in row) <= 10 for row in found)


def test_many_pieces_stay_within_the_published_bound() -> None:
    draw = random.Random(5)
    lengths = [draw.uniform(50, 600) for _ in range(80)]
    found = nested(lengths, 1000)
    assert sorted(i for row in found for i in row) == list(range(80))
    assert all(sum(lengths[i] for i in row) <= 1000 + 1e-6 for row in found)
    assert len(found) <= 11 / 9 * math.ceil(sum(lengths) / 1000) + 6 / 9  # Dósa 2007, from memory


def test_no_piece_longer_than_the_reel() -> None:
    with pytest.raises(ValueError, match="at most 10 mm"):
        nested([11], 10)
    assert nested([], 10) == []


def test_every_ring_has_its_row(tmp_path: Any) -> None:
    found = rows(laid(tmp_path))
    assert list(found[0]) == list(CORD_COLUMNS)
    assert len(found) == 6
    assert {(r["seal"], r["plate"]) for r in found} == {
        (f"{tube}.cord", plate) for plate in ("upper", "lower") for tube in ("left", "middle", "right")
    }
    first = found[0]
    assert float(first["cut_mm"]) == pytest.approx(math.pi * (60 - 5), abs=0.05)  # middle of the tube's wall
    assert (first["cord_mm"], first["material"], first["shore_a"]) == ("2", "epdm", "70")
    assert first["joint_beside"] == "left.strut-1.screw"
    # The first strut stands at 270°, below the tube's middle at (-150, 0).
    assert (float(first["joint_x_mm"]), float(first["joint_y_mm"])) == pytest.approx((-150, -27.5))
    assert first["reel"] == first["reel_left_mm"] == ""


def test_with_a_reel_cuts_follow_each_other_without_overlap(tmp_path: Any) -> None:
    found = rows(laid(tmp_path, cord_reel=600))  # three rings of 172.8 mm a reel
    assert [r["reel"] for r in found] == ["1", "1", "1", "2", "2", "2"]
    for reel in ("1", "2"):
        mine = [r for r in found if r["reel"] == reel]
        at = TRIM
        for r in mine:
            assert float(r["from_mm"]) == pytest.approx(at, abs=0.06)
            at += math.pi * 55
        assert float(mine[0]["reel_left_mm"]) == pytest.approx(600 - at, abs=0.06)


def test_cords_of_two_kinds_come_from_reels_of_their_own(tmp_path: Any) -> None:
    job = raw("lab-triple")
    named(job["reservoirs"], "right")["channel"]["cord"]["hardness"] = 60
    layout = plan(written(tmp_path, {**job, "cord_reel": "10 m"})).layout
    found = cuts(layout.rings, 10_000)
    assert {(c.ring.cord.hardness, c.reel, c.start) for c in found if c.start == TRIM} == {(70, 1, TRIM), (60, 1, TRIM)}
    assert len(found) == 6


def test_struts_inside_have_rings_that_lie_against_the_inner_wall(tmp_path: Any) -> None:
    job = raw("bench-single")
    tube = job["reservoirs"][0]
    tube["struts"] |= {"place": "inside", "diameter": 16, "seal": {}}
    tube["struts"].pop("pitch_circle", None)
    layout = plan(written(tmp_path, job)).layout
    ring = next(r for r in layout.rings if r.seal.endswith("strut-1.cord"))
    groove = next(f for p in layout.plates for f in p.features if f.role == "strut-groove")
    assert ring.length == pytest.approx(math.tau * (groove.facts["inner_radius"] + 1))  # cord of 2 mm
    assert ring.beside == "tube.strut-1.screw"


@pytest.mark.parametrize(("reel", "told"), [(100, "more than a reel of 100 mm"), (-1, "greater than 0")])
def test_a_reel_that_cannot_be_is_refused_with_its_line(reel: float, told: str, tmp_path: Any) -> None:
    with pytest.raises(SpecError, match="cord_reel") as error:
        laid(tmp_path, cord_reel=reel)
    assert told in str(error.value)


@pytest.mark.parametrize("degrees", [0, 90, 200, 315])
def test_angle_of_a_joint_is_that_from_the_ring_s_middle(degrees: float) -> None:
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    cord = CordStock(diameter=2, material="epdm", hardness=70)
    ring = Ring("tube.cord", "upper", cord, 100.0, (27.5 * c, 27.5 * s), "strut-1.screw", (-s, c))
    assert joint_of(ring).angle == pytest.approx(degrees)
