"""Cuts put in without a boolean on the plate: what touches its sides falls back to that, and the solid is the same."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rillwright.layout.features import Feature, Line, Outline, PlateLayout
from rillwright.layout.profiles import countersunk
from rillwright.solids.build import plate_solid
from rillwright.solids.reach import CLEAR, clusters
from rillwright.solids.swap import stepped

HALF, THICK, CHAMFER, MOUTH, BORE = 30.0, 10.0, 2.0, 4.0, 2.0  # mm
SQUARE = ((HALF, -HALF), (HALF, HALF), (-HALF, HALF), (-HALF, -HALF))


def hole(name: str, x: float, y: float) -> Feature:
    return Feature(name, "screw", (x, y, -THICK), (0.0, 0.0, 1.0), countersunk(MOUTH, BORE, THICK + 1), "outer",
                   ("outer", "seal"), facts={"hole_radius": BORE, "mouth_radius": MOUTH})  # fmt: skip


def plate(*holes: Feature, seal_up: bool = True) -> PlateLayout:
    outline = Outline((-HALF, -HALF), tuple(Line(c) for c in SQUARE), CHAMFER)
    return PlateLayout("p", outline, THICK, "pmma-cast", seal_up, 0.0, holes)


def groups(p: PlateLayout) -> set[str]:
    """Names in each cluster that stands well within the plate."""
    return {" ".join(c.name for c in k.cuts) for k in clusters(p, [*stepped(p), *p.pockets])[0]}


def same(p: PlateLayout) -> Any:
    """The solid, which has to be that of the boolean alone."""
    solid, reference = plate_solid(p), plate_solid(p, swap=False)
    assert solid.Volume() == pytest.approx(reference.Volume(), rel=1e-6)
    assert solid.isValid()
    assert len(solid.Solids()) == 1
    return solid


def test_a_hole_well_inside_needs_no_boolean() -> None:
    p = plate(hole("a", 0, 0), hole("b", 15, 3))
    assert groups(p) == {"a", "b"}
    same(p)


@pytest.mark.parametrize("gap", [0.0, CLEAR / 2, -0.5, -3.0])
def test_a_mouth_at_the_edge_chamfer_falls_back(gap: float) -> None:
    """Touching the face's border, and cutting into the chamfer."""
    p = plate(hole("a", HALF - CHAMFER - MOUTH - gap, 0), hole("b", -10, 0))
    assert groups(p) == {"b"}
    same(p)


@pytest.mark.parametrize("gap", [0.0, CLEAR / 2, -1.0])
def test_two_mouths_that_touch_or_overlap_are_cut_together(gap: float) -> None:
    p = plate(hole("a", 0, 0), hole("b", 2 * MOUTH + gap, 0), hole("c", -15, -15))
    assert groups(p) == {"a b", "c"}
    if gap != 0.0:  # mouths that meet in one point leave no solid that is valid, by either way
        same(p)


@given(st.lists(st.tuples(st.floats(-26, 26), st.floats(-26, 26)), min_size=1, max_size=4), st.booleans())
@settings(max_examples=15, deadline=None)
def test_wherever_holes_lie_the_solid_is_the_booleans(places: list[tuple[float, float]], seal_up: bool) -> None:
    p = plate(*(hole(f"h{i}", round(x, 1), round(y, 1)) for i, (x, y) in enumerate(places)), seal_up=seal_up)
    solid, reference = plate_solid(p), plate_solid(p, swap=False)
    assert solid.Volume() == pytest.approx(reference.Volume(), rel=1e-6)
