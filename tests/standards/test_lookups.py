"""What the lookup functions give and what they refuse. Numbers against outside sources: tests/validation."""

from __future__ import annotations

import dataclasses
import math

import pytest

from rillwright.standards import glands, materials, screws, sheets, threads
from rillwright.standards._table import MARKS, UnknownSize


def test_sizes_and_lengths() -> None:
    assert screws.sizes("ISO 10642") == ("M3", "M4", "M5", "M6", "M8")
    assert screws.sizes("ISO 4762")[0] == "M2.5"
    assert screws.lengths("ISO 10642", "M3") == (8, 10, 12, 16, 20, 25, 30)
    assert screws.lengths("ISO 10642", "M8")[0] == 10
    assert screws.lengths("ISO 10642", "M8")[-1] == 80
    for standard in ("ISO 10642", "DIN 7991", "ISO 4762"):
        for thread in screws.sizes(standard):
            steps = screws.lengths(standard, thread)
            assert list(steps) == sorted(set(steps))


def test_heads_are_frozen_and_know_their_land() -> None:
    head = screws.countersunk("M4")
    assert head.land == 0
    assert head.cone_height == pytest.approx(2.48)
    assert screws.countersunk("M4", "DIN 7991").land == pytest.approx(0.3)
    with pytest.raises(dataclasses.FrozenInstanceError):
        head.socket = 3  # type: ignore[misc]


@pytest.mark.parametrize("thread", screws.sizes("ISO 4762"))
def test_a_cap_head_goes_into_its_counterbore_and_through_its_hole(thread: str) -> None:
    head = screws.cap(thread)
    assert head.counterbore_diameter > head.head_diameter_knurled_max
    assert head.counterbore_depth > head.head_height_max
    assert head.thread_diameter < screws.clearance_hole(thread, "fine") < head.head_diameter_max


@pytest.mark.parametrize(
    ("call", "words", "nearest"),
    [
        (lambda: screws.countersunk("M2.5"), "M3, M4, M5, M6, M8.*counterbore", "M3"),
        (lambda: screws.countersunk("M4", "DIN7991"), "ISO 10642, DIN 7991", "DIN 7991"),
        (lambda: screws.cap("m4"), "M2.5, M3, M4", "M4"),
        (lambda: screws.sizes("ISO 4017"), "ISO 4762", "ISO 4762"),
        (lambda: screws.lengths("ISO 10642", "M2.5"), "M3", "M3"),
        (lambda: screws.clearance_hole("M4", "close"), "fine, medium, coarse", "coarse"),
        (lambda: threads.metric("M10"), "M8", "M8"),
        (lambda: threads.pipe("G 1/4"), "G1/8, G1/4", "G1/4"),
        (lambda: threads.port("G1"), "G1/8, G1/4", "G1/8"),
        (lambda: threads.engagement_factor("glass"), "steel, aluminium, plastic", None),
        (lambda: glands.face_groove(2.1), "nearest is 2;", 2.0),
        (lambda: glands.cord_tolerance(2.0, "E4"), "E1, E2, E3", "E3"),
        (lambda: glands.cord_tolerance(12.0), "6.3-10", None),
        (lambda: glands.cord_tolerance(math.nan), "6.3-10", None),
        (lambda: glands.moulded_tolerance(0.5), "0.8-2.25", None),
        (lambda: sheets.thickness_tolerance("acrylic", 10), "pmma-cast", None),
        (lambda: sheets.thickness_tolerance("pmma-cast", 500), "25-200", None),
        (lambda: materials.material("aluminium-6082"), "aluminium-6082-t6", "aluminium-6082-t6"),
        (lambda: materials.material("epdm").known("strength"), "density, modulus", None),
    ],
)
def test_what_is_not_there_is_refused_with_the_choices(call, words, nearest) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(UnknownSize, match=words) as seen:
        call()
    assert seen.value.nearest == nearest


def test_edges_of_tolerance_ranges() -> None:
    assert glands.cord_tolerance(2.5, "E1") == 0.20
    assert glands.cord_tolerance(2.500001, "E1") == 0.25
    assert glands.moulded_tolerance(2.62) == 0.08
    assert sheets.thickness_tolerance("pmma-extruded", 3).plus == pytest.approx(0.15)
    assert sheets.thickness_tolerance("pmma-extruded", 2.9).plus == pytest.approx(0.29)
    assert sheets.thickness_tolerance("aluminium-6082-t6", 10).minus == 0.45
    assert sheets.thickness_tolerance("pom-c", 10).minimum == 10


@pytest.mark.parametrize("kind", sheets.kinds())
@pytest.mark.parametrize("thickness", [2.0, 3.0, 10.0, 12.0, 25.0, 30.0, 60.0, 200.0])
def test_every_sheet_of_2_to_200_mm_has_a_tolerance_with_a_mark(kind: str, thickness: float) -> None:
    got = sheets.thickness_tolerance(kind, thickness)
    assert got.minimum <= thickness < got.maximum
    assert got.mark in MARKS


@pytest.mark.parametrize("name", materials.names())
def test_every_value_of_a_material_says_where_it_comes_from(name: str) -> None:
    got = materials.material(name)
    assert got.family in ("plastic", "aluminium", "steel", "glass", "rubber")
    assert 0 < got.poisson <= 0.5
    for prop in materials.PROPERTIES:
        value = getattr(got, prop)
        if value is not None:
            where = got.provenance(prop)
            assert where.mark in MARKS
            assert got.known(prop) == value
    if got.proof is not None and got.strength is not None:
        assert got.proof < got.strength
    if got.sustained is not None and got.strength is not None:
        assert got.sustained <= got.strength


def test_a_property_of_no_name_does_not_slip_into_the_material_values() -> None:
    from rillwright.standards._table import table

    units = {"density": "kg/m³", "modulus": "GPa", "poisson": "-", "expansion": "1e-6/K", "strength": "MPa",
             "proof": "MPa", "sustained": "MPa", "modulus_1000h": "GPa"}  # fmt: skip
    assert set(units) == set(materials.PROPERTIES)
    for (name, prop), row in table("material_values").rows.items():
        assert name in materials.names()
        assert row.text("unit") == units[prop]


def test_families() -> None:
    assert materials.names("rubber") == ("epdm", "fkm", "nbr", "vmq")
    assert threads.engagement_factor(materials.material("aluminium-6082-t6").family) == 1.5
