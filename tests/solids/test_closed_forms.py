"""Volumes of the kernel's solids against closed forms written down here, not taken from the program."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from scipy.integrate import quad

from rillwright.checks.solid.blank import blank_volume
from rillwright.layout import profiles
from rillwright.layout.features import Arc, Feature, Line, Outline, PlateLayout, Profile
from rillwright.solids.build import blank, plate_solid

EXACT = 1e-9  # relative: both sides are double precision
THICK = 20.0
SQUARE = Outline((-40, -40), (Line((40, -40)), Line((40, 40)), Line((-40, 40)), Line((-40, -40))))
BLOCK = PlateLayout("block", SQUARE, THICK, "pmma-cast", True, 0.0, ())


def removed(profile: Profile, seal_up: bool = True, end: str = "seal") -> float:
    """Volume (mm³) that one feature takes out of an 80 × 80 × 20 block, measured on the solid."""
    through = max(z for _, z in profile) > THICK
    z, down = (0.0, -1.0) if end == "seal" else (-THICK, 1.0)
    f = Feature("f", "screw", (3.0, -2.0, z), (0.0, 0.0, down), profile, end, ("seal", "outer") if through else (end,))
    cut = plate_solid(replace(BLOCK, features=(f,), seal_up=seal_up))
    return 80.0 * 80.0 * THICK - float(cut.Volume())


@pytest.mark.parametrize("seal_up", [True, False])
def test_tube_channel(seal_up: bool) -> None:
    """Pappus (second theorem): section width × depth, times the way of its centroid."""
    inner, outer, depth = 24.75, 30.25, 6.0
    pappus = (outer - inner) * depth * math.tau * (outer + inner) / 2
    assert removed(profiles.ring(inner, outer, depth), seal_up) == pytest.approx(pappus, rel=EXACT)


@pytest.mark.parametrize("seal_up", [True, False])
@pytest.mark.parametrize(("counterbore", "below"), [(0.0, 0.0), (3.0, 0.0), (2.5, 0.4)])
def test_countersunk_hole(seal_up: bool, counterbore: float, below: float) -> None:
    """Cylinders and a frustum, πh(R² + Rr + r²)/3, for an M4: mouth 8.96, hole 4.5, so the cone is 2.23 high."""
    wide, head, hole = 4.73, 4.48, 2.25
    cone = head - hole  # 90°: as high as it is wide
    frustum = math.pi * cone * (head**2 + head * hole + hole**2) / 3
    left = THICK - counterbore - below - cone
    want = math.pi * (wide**2 * counterbore + head**2 * below + hole**2 * left) + frustum
    profile = profiles.countersunk(head, hole, THICK + 1, counterbore, below)
    assert removed(profile, seal_up, "outer") == pytest.approx(want, rel=EXACT)


@pytest.mark.parametrize("diameter", [2.5, 8.0, 11.8])
def test_bore_with_a_drill_point(diameter: float) -> None:
    """Cylinder and a cone of 118°: π r² (L + r / (3 tan 59°))."""
    r, long = diameter / 2, 12.0
    want = math.pi * r * r * (long + r / (3 * math.tan(math.radians(59))))
    assert removed(profiles.stepped([(r, long)], "drill")) == pytest.approx(want, rel=EXACT)


def test_spotfaced_bore() -> None:
    """G1/4: spotface Ø19 × 1, bore Ø11.8 to 15."""
    want = math.pi * (9.5**2 * 1 + 5.9**2 * 14)
    assert removed(profiles.stepped([(9.5, 1), (5.9, 15)])) == pytest.approx(want, rel=EXACT)


def test_two_drillings_that_cross_at_right_angles() -> None:
    """The common part of two equal cylinders is Steinmetz's solid, 16 r³/3."""
    r = 4.0
    along_x = Feature("x", "drilling", (-40, 0, -10), (1, 0, 0), ((0, -1), (r, -1), (r, 81), (0, 81)), "left", ("left",))
    along_y = Feature("y", "drilling", (0, -40, -10), (0, 1, 0), ((0, -1), (r, -1), (r, 81), (0, 81)), "front", ("front",))
    cut = plate_solid(replace(BLOCK, features=(along_x, along_y)))
    want = 2 * math.pi * r * r * 80 - 16 * r**3 / 3
    assert 80 * 80 * THICK - float(cut.Volume()) == pytest.approx(want, rel=1e-6)


# -- the blank: the edge chamfer takes the area between the outline and its inner parallel curves, layer by layer


def rounded(length: float, width: float, r: float, chamfer: float) -> Outline:
    x, y, k = length / 2, width / 2, r * (1 - math.sqrt(0.5))
    pieces = (
        Line((x - r, -y)), Arc((x - k, -y + k), (x, -y + r)), Line((x, y - r)), Arc((x - k, y - k), (x - r, y)),
        Line((-x + r, y)), Arc((-x + k, y - k), (-x, y - r)), Line((-x, -y + r)), Arc((-x + k, -y + k), (-x + r, -y)),
    )  # fmt: skip
    return Outline((-x + r, -y), pieces, chamfer)


def test_blank_with_sharp_corners() -> None:
    """Inner parallel of a rectangle: (L − 2s)(W − 2s); two chamfers take 2[(L + W)c² − 4c³/3]."""
    c = 1.5
    want = 80 * 80 * THICK - 2 * (160 * c**2 - 4 * c**3 / 3)
    shape = replace(SQUARE, chamfer=c)
    assert blank(shape, THICK, 1.0).Volume() == pytest.approx(want, rel=EXACT)
    assert blank_volume(shape, THICK) == pytest.approx(want, rel=EXACT)


def test_blank_with_round_corners() -> None:
    """Steiner's formula for an inner parallel: A − P s + π s², while s stays below the corner radius."""
    length, width, r, c = 130.0, 90.0, 12.0, 2.0
    area = length * width - (4 - math.pi) * r * r
    around = 2 * (length + width) - (8 - math.tau) * r
    want = area * THICK - 2 * (around * c**2 / 2 - math.pi * c**3 / 3)
    shape = rounded(length, width, r, c)
    assert blank(shape, THICK, -1.0).Volume() == pytest.approx(want, rel=EXACT)
    assert blank_volume(shape, THICK) == pytest.approx(want, rel=EXACT)


def test_blank_of_a_half_disc() -> None:
    """Arc and chord, corners of 90°: the parallel at s is the segment of radius R − s beyond a chord at s."""
    radius, c = 50.0, 2.0
    shape = Outline((-radius, 0), (Line((radius, 0)), Arc((0, radius), (-radius, 0))), c)

    def segment(s: float) -> float:
        r = radius - s
        return r * r * math.acos(s / r) - s * math.sqrt(r * r - s * s)

    layers, _ = quad(segment, 0, c, epsabs=1e-10)
    want = segment(0) * (THICK - 2 * c) + 2 * layers
    assert blank(shape, THICK, 1.0).Volume() == pytest.approx(want, rel=1e-8)
    # The program's own figure takes the arc as straight at the corner: right to the second order in s.
    assert blank_volume(shape, THICK) == pytest.approx(want, rel=1e-6)


def test_blank_with_an_arc_that_goes_inwards() -> None:
    """A square less a half disc on one side: there the parallel curve grows, π(R + s)²/2, corners apart."""
    radius = 20.0
    bay = Outline(
        (-40, -40),
        (Line((-radius, -40)), Arc((0, -40 + radius), (radius, -40)), Line((40, -40)), Line((40, 40)),
         Line((-40, 40)), Line((-40, -40))),
    )  # fmt: skip
    want = (80 * 80 - math.pi * radius**2 / 2) * THICK
    assert blank(bay, THICK, 1.0).Volume() == pytest.approx(want, rel=EXACT)
    assert blank_volume(bay, THICK) == pytest.approx(want, rel=EXACT)


def test_material_lies_on_the_side_it_should() -> None:
    """Seal face on z = 0; below it where it looks up, above it where it looks down."""
    for side in (1.0, -1.0):
        box = blank(SQUARE, THICK, side).BoundingBox()
        assert (box.zmin, box.zmax) == pytest.approx(sorted((0.0, -side * THICK)), abs=1e-6)
