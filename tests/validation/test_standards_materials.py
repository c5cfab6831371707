"""Sheets, materials and further grooves against printed tables and the data that the CSV files name."""

from __future__ import annotations

import pytest

from rillwright.standards import glands, materials, sheets

# -- sheets


@pytest.mark.parametrize(("thickness", "off"), [(5, 0.90), (8, 1.20), (10, 1.40)])
def test_iso_7823_1_cast(thickness: float, off: float) -> None:
    """±(0.4 + 0.1 t), a sheet maker's statement of ISO 7823-1."""
    got = sheets.thickness_tolerance("pmma-cast", thickness)
    assert (got.minus, got.plus) == (pytest.approx(off), pytest.approx(off))
    assert got.mark == "verified"


def test_iso_7823_2_extruded() -> None:
    """±5 % from 3 mm on, ±10 % below, a sheet maker's statement of ISO 7823-2."""
    assert sheets.thickness_tolerance("pmma-extruded", 8).minus == pytest.approx(0.40)
    assert sheets.thickness_tolerance("pmma-extruded", 3).minus == pytest.approx(0.15)
    assert sheets.thickness_tolerance("pmma-extruded", 2).minus == pytest.approx(0.20)


@pytest.mark.parametrize(
    ("thickness", "cold_rolled"),
    [(5, 0.22), (6, 0.24), (8, 0.30), (10, 0.33), (12, 0.38), (15, 0.42),
     (20, 0.44), (25, 0.46), (30, 0.50), (40, 0.55), (50, 0.60)],
)  # fmt: skip
def test_aluminium_plate_is_no_better_than_cold_rolled(thickness: float, cold_rolled: float) -> None:
    """EN 485-4:1994, cold rolled, 1000 to 1250 wide (printed table): hot rolled is looser, at most twice."""
    assert cold_rolled <= sheets.thickness_tolerance("aluminium-6082-t6", thickness).minus <= 2 * cold_rolled


# -- materials


@pytest.mark.parametrize(
    ("name", "prop", "low", "high"),
    [  # ranges as printed in the makers' data and standards named in material_values.csv
        ("pmma-cast", "modulus", 3.0, 3.3),
        ("pmma-cast", "expansion", 72, 76),
        ("pmma-cast", "sustained", 10.3, 10.3),
        ("pmma-extruded", "sustained", 5.2, 5.2),
        ("pom-c", "modulus", 2.8, 2.8),
        ("pom-c", "modulus_1000h", 1.2, 1.2),
        ("pom-c", "expansion", 120, 120),
        ("pom-c", "strength", 64, 67),
        ("pc", "modulus", 2.30, 2.38),
        ("pc", "expansion", 65, 70),
        ("aluminium-6082-t6", "modulus", 69, 70),
        ("aluminium-6082-t6", "expansion", 23.2, 23.4),
        ("aluminium-6082-t6", "strength", 310, 310),
        ("aluminium-6082-t6", "proof", 260, 260),
        ("borosilicate-3.3", "modulus", 63, 64),
        ("borosilicate-3.3", "expansion", 3.3, 3.3),
        ("borosilicate-3.3", "strength", 7, 7),
        ("steel-8.8", "proof", 640, 640),
        ("steel-12.9", "proof", 1080, 1100),
        ("stainless-a2-70", "proof", 450, 450),
        ("epdm", "expansion", 160, 160),
        ("nbr", "expansion", 110, 110),
    ],
)
def test_material_values(name: str, prop: str, low: float, high: float) -> None:
    assert low <= materials.material(name).known(prop) <= high
    assert materials.material(name).provenance(prop).mark == "verified"


def test_rubber_modulus_is_gents() -> None:
    """Gent 1958 at 70 Shore A: E = 0.0981 (56 + 7.62336 S)/(0.137505 (254 − 2.54 S)) MPa."""
    shore = 70
    gent = 0.0981 * (56 + 7.62336 * shore) / (0.137505 * (254 - 2.54 * shore))
    for name in materials.names("rubber"):
        assert 1000 * materials.material(name).modulus == pytest.approx(gent, abs=0.005)


def test_glass_allowable_gives_the_published_pressure() -> None:
    """EN 1595 for borosilicate 3.3: p [bar] = 140 wall/(OD − wall), so 2 × 7 MPa × wall/mean diameter."""
    allowable = materials.material("borosilicate-3.3").known("strength")
    for od, wall in ((60.0, 5.0), (30.0, 2.0)):
        assert 10 * 2 * allowable * wall / (od - wall) == pytest.approx(140 * wall / (od - wall))


@pytest.mark.parametrize(
    ("cord", "depth", "width", "radius"),
    [  # a seal supplier's housing table, axial installation: the rows that the handbook's table leaves out
        (1.5, 1.10, 2.10, 0.3),
        (1.6, 1.20, 2.20, 0.3),
        (1.8, 1.30, 2.60, 0.3),
        (2.4, 1.80, 3.30, 0.3),
        (2.65, 2.00, 3.80, 0.3),
        (3.5, 2.65, 4.70, 0.6),
        (3.55, 2.70, 5.00, 0.6),
        (4.0, 3.10, 5.30, 0.6),
        (4.5, 3.50, 5.90, 0.6),
        (5.0, 4.00, 6.70, 0.6),
        (5.33, 4.30, 7.30, 0.6),
        (5.7, 4.60, 7.40, 0.6),
        (6.0, 4.90, 7.60, 0.6),
        (6.99, 5.80, 9.70, 1.0),
    ],
)
def test_further_face_grooves(cord: float, depth: float, width: float, radius: float) -> None:
    groove = glands.face_groove(cord)
    assert (groove.depth, groove.width, groove.floor_radius) == (depth, width, radius)
