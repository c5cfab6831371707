"""Windows, slots, slots for light and frames, from the file to placed pockets."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from rillwright.layout import paths
from rillwright.layout.features import Arc
from rillwright.layout.fitted import areas
from rillwright.layout.job_layout import JobLayout
from rillwright.layout.strokes import narrowest
from rillwright.pipeline import check, plan
from rillwright.spec.messages import SpecError

HEAD = """
job: plate
plates:
  base:
    stock: {material: aluminium-6082-t6, thickness: 5}
    outline: {length: 200, width: 120, corner_radius: 8}
"""


def placed(tmp_path: Path, text: str) -> JobLayout:
    path = tmp_path / "plate.yaml"
    path.write_text(HEAD + text, encoding="utf-8")
    return plan(path).layout


def refused(tmp_path: Path, text: str) -> str:
    with pytest.raises(SpecError) as caught:
        placed(tmp_path, text)
    return str(caught.value)


def test_a_window_with_its_inside_radius(tmp_path: Path) -> None:
    (w,) = placed(tmp_path, "    windows: [{name: fan, length: 60, width: 40, corner_radius: 4}]").plates[0].pockets
    assert narrowest(w.shape) == pytest.approx(8)
    assert paths.area(w.shape.outside) == pytest.approx(60 * 40 - (4 - math.pi) * 16)  # type: ignore[union-attr]
    assert w.mouths == ("seal", "outer")


def test_a_drawn_window_is_rounded(tmp_path: Path) -> None:
    text = "    windows: [{name: nose, polygon: [[0, 0], [40, 0], [40, 30]], corner_radius: 3}]"
    (w,) = placed(tmp_path, text).plates[0].pockets
    assert narrowest(w.shape) == pytest.approx(6, rel=1e-3)
    assert sum(isinstance(p, Arc) for p in w.shape.outside.pieces) == 3  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("    windows: [{name: w, at: [95, 0], length: 60, width: 40}]", ("8:", "runs off the plate")),
        ("    windows: [{name: w, length: 60}]", ("8:", "length and width")),
        ("    slots: [{name: s, line: [[0, 0], [0, 0]], width: 4}]", ("8:", "comes twice")),
        ("    slots: [{name: s, line: [[0, 0], [20, 0]], width: 4, depth: 5}]", ("8:", "deep in a plate")),
        ("    lights: [{name: rim, inset: 10, exit: [0, 0]}]", ("8:", "beside the slot")),
        ("    frame: {border: 58, corner_radius: 5}", ("8:", "nothing is left")),
    ],
)
def test_what_does_not_fit_is_refused_with_its_line(tmp_path: Path, text: str, words: tuple[str, ...]) -> None:
    said = refused(tmp_path, "\n" + text)
    assert all(w in said for w in words), said


def test_pads_that_no_strip_reaches_are_named(tmp_path: Path) -> None:
    hole = "    holes: [{name: lone, kind: clearance, thread: M4, at: [[0, 0]]}]"
    said = refused(tmp_path, f"{hole}\n    frame: {{border: 12, pad: 5}}")
    assert "1 loose piece" in said
    assert "lone" in said
    assert "plate.yaml:5:" in said


def test_a_slot_that_parts_the_plate_is_refused(tmp_path: Path) -> None:
    assert "loose piece" in refused(tmp_path, "    slots: [{name: s, line: [[0, -70], [0, 70]], width: 4}]")


def test_a_light_slot_all_round_with_lip_and_cable(tmp_path: Path) -> None:
    text = ("    lights: [{name: rim, inset: 12, strip: {bend_radius: 25, power: 10}, lip: {width: 12, depth: 1}, "
            "exit: [0, -48]}]")  # fmt: skip
    plate = placed(tmp_path, text).plates[0]
    slot, lip = plate.pockets
    assert (slot.depth, lip.depth) == (pytest.approx(4.3), 1)
    assert slot.facts["heat"] == pytest.approx(10 * paths.length(slot.shape.path) / 1000)  # type: ignore[union-attr]
    assert [f.name for f in plate.features] == ["rim.cable"]
    result = check(tmp_path / "plate.yaml")
    assert [f.features for f in result.findings if f.rule == "light.bend"] == [("rim",)]  # corners too tight for 25 mm
    assert any(f.rule == "light.heat" and f.severity == "note" for f in result.findings)


def test_a_frame_keeps_its_strips_and_pads(tmp_path: Path) -> None:
    text = ("    holes: [{name: h, kind: clearance, thread: M4, at: [[88, 0], [0, 20]]}]\n"
            "    frame: {border: 15, strip: 12, strips: [[[0, -60], [0, 60]]], pad: 6, corner_radius: 4}")  # fmt: skip
    plate = placed(tmp_path, text).plates[0]
    cut = shapely.union_all([paths.region(p) for p in plate.pockets])
    edge = paths.polygon(plate.outline)
    assert cut.distance(edge.exterior) == pytest.approx(15, abs=2e-3)
    assert cut.distance(shapely.LineString([(0, -60), (0, 60)])) == pytest.approx(6, abs=2e-3)
    for f in plate.features:
        assert cut.distance(shapely.Point(f.origin[:2])) >= f.radius + 6 - 2e-3
    assert all(narrowest(p.shape) >= 8 - 1e-2 for p in plate.pockets)
    assert all(len(p.shape.outside.pieces) < 30 for p in plate.pockets)  # type: ignore[union-attr]


@pytest.mark.parametrize("crumb", [(1.9e-5, 0.5e-5), (-1.9e-5, 0.5e-5), (0.7e-5, -2e-5)])
@pytest.mark.parametrize("at", [0, 32, 63, 64, 65, 128])
def test_a_crumb_where_outlines_cross_is_no_corner(at: int, crumb: tuple[float, float]) -> None:
    """Shapely leaves steps of 2e-5 mm where lines cross: as pieces of their own they made corners that take no cutter."""
    ring = list(shapely.box(-20, -15, 20, 15).buffer(5, quad_segs=64).exterior.coords)[:-1]
    x, y = ring[at]
    ring.insert(at + 1, (x + crumb[0], y + crumb[1]))
    (area,) = areas(shapely.Polygon(ring))
    assert narrowest(area) == pytest.approx(10, abs=1e-2)
    assert len(area.outside.pieces) <= 12


@given(st.lists(st.tuples(st.floats(-40, 40), st.floats(-30, 30), st.floats(3, 20)), min_size=1, max_size=5))
@settings(max_examples=40, deadline=None)
def test_regions_come_back_as_true_arcs(discs: list[tuple[float, float, float]]) -> None:
    region = shapely.union_all([shapely.Point(x, y).buffer(r, quad_segs=64) for x, y, r in discs])
    found = areas(region)
    again = shapely.union_all([paths.region(a) for a in found])
    # Chords of 64 a quarter stand r (1 - cos(π/256)) inside their circle: below 0.002 mm for 20 mm.
    assert again.symmetric_difference(region).area < 0.004 * region.length + 0.02
    pieces = sum(len(o.pieces) for a in found for o in (a.outside, *a.islands))
    assert pieces <= 12 * len(discs)


def test_a_round_lid_under_pressure_is_clamped_by_its_screws(tmp_path: Path) -> None:
    placed(tmp_path, "    spans: [{name: lid, kind: disc, length: 200, load: 9000, deflection: 0.2}]")
    result = check(tmp_path / "plate.yaml")
    (found,) = [f for f in result.findings if f.rule == "bend.deflection"]
    # p a⁴/64 D with p = 9000/(π 100²), D = 70,000 · 125/(12 · (1 − ν²)) = 8.18e5: 0.547 mm, and 1 % for shear.
    assert found.measured == pytest.approx(0.55, abs=0.012)
    assert "a ring of screws further in" in found.remedy
    (stress,) = [o for o in result.outcomes if o.rule == "bend.stress"]
    assert stress.worst == pytest.approx(0.75 * 9000 / (math.pi * 100**2) * 20**2, rel=1e-4)


@pytest.mark.parametrize(("span", "said"), [
    ("kind: disc, length: 90, width: 9, load: 1", "a disc has no width: its free diameter is its length"),
    ("kind: plate, length: 90, load: 1", "a plate needs its width"),
])  # fmt: skip
def test_a_span_says_what_its_kind_needs(tmp_path: Path, span: str, said: str) -> None:
    with pytest.raises(SpecError, match=said):
        placed(tmp_path, f"    spans: [{{name: s, {span}}}]")


def test_a_loaded_strip_fails_with_what_would_bear_it(tmp_path: Path) -> None:
    placed(tmp_path, "    spans: [{name: arm, kind: cantilever, length: 100, width: 20, load: 40, spread: point}]")
    result = check(tmp_path / "plate.yaml")
    (found,) = [f for f in result.findings if f.rule == "bend.deflection"]
    # F L³/3 E I = 40 · 1e6 / (3 · 70,000 · 208.33) = 0.914 mm over 100/300.
    assert found.measured == pytest.approx(0.914, abs=2e-3)
    assert found.limit == pytest.approx(1 / 3)
    assert "7 mm" in found.remedy
