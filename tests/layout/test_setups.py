"""Setups: what is cut in which clamping, in which order, with which tool; dowels and the ways they allow."""

from __future__ import annotations

import pytest

from jobs import PARAMS, SHIPPED
from rillwright.layout.dowels import WAYS, Dowels, Pin, fits
from rillwright.layout.operations import milled
from rillwright.layout.setups import PlateSetups, cut_after, plate_setups
from rillwright.pipeline import plan
from rillwright.spec.machine import Cutter, Machine


def setups(name: str, plate: str) -> PlateSetups:
    layout = plan(PARAMS / f"{name}.yaml").layout
    return plate_setups(next(p for p in layout.plates if p.name == plate), Machine())


@pytest.mark.parametrize("name", SHIPPED)
def test_every_feature_is_cut_and_every_cut_has_its_tool(name: str) -> None:
    for p in plan(PARAMS / f"{name}.yaml").layout.plates:
        made = [o for s in plate_setups(p, Machine()).setups for o in s.operations]
        assert {o.feature for o in made} == {f.name for f in p.features}
        assert all(o.tool for o in made if o.kind not in ("thread", "countersink"))


def test_seal_face_first_then_outer_face_then_edges() -> None:
    assert [s.face for s in setups("studio-twin", "lower").setups] == ["seal", "outer", "back", "right"]


def test_plates_stand_on_their_edges() -> None:
    assert [s.size for s in setups("studio-twin", "lower").setups] == [
        (300, 130, 25), (300, 130, 25), (300, 25, 130), (130, 25, 300)
    ]  # fmt: skip


def test_seats_and_channels_need_accuracy_and_come_first() -> None:
    seal = setups("bench-single", "upper").setups[0]
    assert set(seal.accurate) == {"tube.tube-channel", *(f"tube.strut-{i}.seat" for i in range(1, 5))}
    accurate = [o.accurate for o in seal.operations]
    assert accurate == sorted(accurate, reverse=True)


def test_a_strut_screw_is_drilled_with_its_seat_and_countersunk_from_outside() -> None:
    s = setups("bench-single", "upper")
    assert s.number("tube.strut-1.screw", "drill") == s.number("tube.strut-1.seat") == 0
    assert s.number("tube.strut-1.screw", "countersink") == 1


def test_a_feed_from_the_edge_is_drilled_after_the_riser() -> None:
    p = next(p for p in plan(PARAMS / "studio-twin.yaml").layout.plates if p.name == "upper")
    by_name = {f.name: f for f in p.features}
    s = plate_setups(p, Machine())
    assert cut_after(s, by_name["processor-feed"], by_name["processor-riser"])
    assert not cut_after(s, by_name["processor-riser"], by_name["processor-feed"])


def test_the_largest_cutter_that_fits_and_reaches() -> None:
    cutters = [Cutter(diameter=d, reach=r) for d, r in ((3, 12), (5, 5), (6, 22))]
    assert milled(5.5, 5, cutters) == cutters[1]
    assert milled(5.5, 6, cutters) == cutters[0]
    assert milled(2.9, 1, cutters) is None


def pins(a: tuple[float, float], b: tuple[float, float], first: float = 6, second: float = 6) -> tuple[Pin, Pin]:
    return Pin(a, first), Pin(b, second)


@pytest.mark.parametrize(
    ("pair", "ways"),
    [
        # on the x axis: a flip about x keeps both in place; alike, they also change places
        (pins((-70, 0), (70, 0), 6, 8), {"as it was", "flipped about x"}),
        (pins((-70, 0), (70, 0)), set(WAYS)),
        # off the middle is no help: the plate shifts along until its holes are over the pins
        (pins((-70, 0), (60, 0)), set(WAYS)),
        (pins((0, -70), (0, 70), 6, 8), {"as it was", "flipped about y"}),
        # on a diagonal a flip never fits
        (pins((-70, -40), (70, 40), 6, 8), {"as it was"}),
        (pins((-70, -40), (70, 40)), {"as it was", "turned half round"}),
    ],
)
def test_ways_of_laying_a_plate_on_two_pins(pair: tuple[Pin, Pin], ways: set[str]) -> None:
    assert {w for w in WAYS if fits(pair, w)} == ways


@pytest.mark.parametrize("name", SHIPPED)
def test_dowels_of_the_shipped_jobs_allow_one_flip_only(name: str) -> None:
    for p in plan(PARAMS / f"{name}.yaml").layout.plates:
        d = plate_setups(p, Machine()).dowels
        assert isinstance(d, Dowels)
        assert set(d.ways) == {"as it was", d.flip}
        xs = [q[0] for q in (p.outline.start, *(piece.end for piece in p.outline.pieces))]
        assert d.pins[0].at[0] < min(xs)  # in the waste, not in the part
        assert d.apart > max(xs) - min(xs)
