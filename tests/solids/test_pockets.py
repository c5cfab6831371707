"""Milled pockets: volumes against closed forms, faces told apart, walls, true arcs in the STEP file."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from pathlib import Path as File

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rillwright.checks.solid.attribution import groups_of
from rillwright.checks.solid.measure import measured_checks
from rillwright.checks.solid.pocket_volumes import pocket_volume
from rillwright.export.placed import Placed
from rillwright.export.step import step_bytes
from rillwright.export.stl import stl_bytes
from rillwright.export.tables import feature_table
from rillwright.layout.features import Arc, Feature, Line, Outline, PlateLayout
from rillwright.layout.job_layout import JobLayout
from rillwright.layout.paths import Bow, Straight, circle, length, path
from rillwright.layout.pockets import Area, Path, Pocket, Stroke
from rillwright.layout.profiles import stepped
from rillwright.layout.strokes import boundary, narrowest
from rillwright.solids.build import plate_solid
from rillwright.solids.meshing import mesh
from rillwright.spec.job import Limits

H = math.sqrt(0.5)
THICK = 20.0


def rectangle(x: float, y: float, at: tuple[float, float] = (0.0, 0.0), r: float = 0.0) -> Outline:
    """Counter-clockwise, with round corners where r > 0."""
    a, b = at
    if r == 0:
        return Outline((a, b), (Line((a + x, b)), Line((a + x, b + y)), Line((a, b + y)), Line((a, b))))
    k, (c, d) = r * (1 - H), (a + x, b + y)
    return Outline((a + r, b), (
        Line((c - r, b)), Arc((c - k, b + k), (c, b + r)), Line((c, d - r)), Arc((c - k, d - k), (c - r, d)),
        Line((a + r, d)), Arc((a + k, d - k), (a, d - r)), Line((a, b + r)), Arc((a + k, b + k), (a + r, b)),
    ))  # fmt: skip


OUT = rectangle(200, 100, (-100, -50))
BENT = Path((-50, 0), (Line((0, 0)), Arc((10 * H, 10 - 10 * H), (10, 10)), Line((10, 30))))
RING = Path((lambda o: o.start)(rectangle(140, 80, (-70, -40), 10)), rectangle(140, 80, (-70, -40), 10).pieces, True)
CORNERED = Path((-50, -10), (Line((0, -10)), Line((0, -25)), Line((-20, -20))))


def plate(*pockets: Pocket, features: tuple[Feature, ...] = (), up: bool = True) -> PlateLayout:
    return PlateLayout("p", OUT, THICK, "pom-c", up, 0.0, features, pockets=pockets)


def channel(shape: Stroke | Area, r: float = 0.0, face: str = "seal", depth: float = 7.0, name: str = "c") -> Pocket:
    return Pocket(name, "channel", face, shape, depth, (face,), "a", r)  # type: ignore[arg-type]


def taken(p: PlateLayout) -> float:
    return 200 * 100 * THICK - float(plate_solid(p).Volume())


@pytest.mark.parametrize("up", [True, False])
@pytest.mark.parametrize("face", ["seal", "outer"])
@pytest.mark.parametrize("shape", [
    Stroke(BENT, 8), Stroke(RING, 2.6), Stroke(circle((0, 0), 20), 6), Area(rectangle(30, 12, (-40, 3), 6)),
    Area(rectangle(90, 60, (-45, -30), 5), (rectangle(20, 10, (-10, -5), 5),)),
])  # fmt: skip
@pytest.mark.parametrize("r", [0.0, 1.2])
def test_the_solid_loses_what_the_closed_form_says(shape: Stroke | Area, r: float, face: str, up: bool) -> None:
    pocket = channel(shape, r, face)
    known = pocket_volume(pocket, THICK)
    assert known is not None
    assert taken(plate(pocket, up=up)) == pytest.approx(known, rel=1e-9)


def test_corners_and_arcs_tighter_than_half_the_width() -> None:
    pocket = channel(Stroke(CORNERED, 6))
    known = pocket_volume(pocket, THICK)
    assert known is not None
    assert taken(plate(pocket)) == pytest.approx(known, rel=1e-9)
    # round a quarter of radius 2 with a cutter of 8: two straight legs, and a quarter disc of radius 6 outside
    tight = path([Straight((-30, 0), (0, 0)), Bow((0, 2), 2, -math.pi / 2, math.pi / 2), Straight((2, 2), (2, 32))])
    region = 30 * 8 * 2 + math.pi * 36 / 4 + math.pi * 16
    # the inside: the legs' rectangles overlap in a square of 4 - 2 a side, less what lies beyond their ends
    assert taken(plate(channel(Stroke(tight, 8)))) == pytest.approx(7 * (region - 2 * 2), rel=2e-2)


@settings(max_examples=15, deadline=None)
@given(st.floats(8, 40), st.floats(0.2, 3.0), st.floats(3, 7.9), st.sampled_from([1, -1]),
       st.sampled_from([0.0, 0.2, 1.0, 1.4]))
def test_any_smooth_line(radius: float, sweep: float, width: float, side: int, r: float) -> None:
    bow = Bow((0.0, 0.0), radius, -2.0, side * sweep)
    (end, way) = bow.at(bow.length)
    line = path([bow, Straight(end, (end[0] + 5 * way[0], end[1] + 5 * way[1]))])
    pocket = channel(Stroke(line, width), r)
    from rillwright.solids.pockets import pocket_tool

    above = replace(pocket, floor_radius=0.0, depth=0.0)
    whole = float(pocket_tool(pocket, plate()).Volume()) - float(pocket_tool(above, plate()).Volume())
    assert whole == pytest.approx(pocket_volume(pocket, THICK), rel=1e-8)


def test_through_pockets_open_both_faces() -> None:
    hole = Pocket("w", "window", "seal", Area(rectangle(30, 20, (-60, -10), 4)), THICK, ("seal", "outer"))
    assert taken(plate(hole)) == pytest.approx(THICK * (600 - (4 - math.pi) * 16), rel=1e-9)


def everything(up: bool) -> PlateLayout:
    """A channel and a groove round it, one on the other face with corners, a window, and screws on both sides of the
    groove: those stand on different pieces of one face."""
    at = [(0, -45), (40, 0), (92, 42), (-92, 42), (-45, -20)]
    screws = tuple(
        Feature(f"s-{i}", "mounting", (x, y, 0.0), (0, 0, -1), stepped([(1.25, 12)], "drill"), "seal", ("seal",),
                facts={"hole_radius": 1.25})
        for i, (x, y) in enumerate(at)
    )  # fmt: skip
    return plate(
        channel(Stroke(BENT, 8), 1.5), Pocket("g", "groove", "seal", Stroke(RING, 2.6), 1.5, ("seal",)),
        channel(Stroke(CORNERED, 6), 0.0, "outer", 5.0, "k"),
        Pocket("w", "window", "seal", Area(rectangle(20, 20, (-40, 10), 3)), THICK, ("seal", "outer")),
        features=screws, up=up,
    )  # fmt: skip


@pytest.mark.parametrize("up", [True, False])
def test_every_face_is_told_apart_and_the_body_is_sound(up: bool, tmp_path: File) -> None:
    p = everything(up)
    solid = plate_solid(p)
    assert solid.isValid()
    assert float(plate_solid(p, swap=False).Volume()) == pytest.approx(float(solid.Volume()), rel=1e-9)
    m = mesh(solid, 0.02)
    file = tmp_path / "p.stl"
    file.write_bytes(stl_bytes(m, "p"))
    found = {o.rule: o for o in measured_checks(JobLayout("j", (p,), (), {"a": "teal"}), Limits(), {"p": solid},
                                                {"p": m}, {"p": file}, 0.02)}  # fmt: skip
    for rule in ("mesh.sound", "solid.sound", "solid.explained", "volume.mesh", "volume.features", "wall.second-path"):
        assert found[rule].holds, found[rule].findings
    groups = groups_of(p, m.vertices * [1, 1, p.side], m.triangles, m.face_of_triangle, 0.04)
    assert {g.name for g in groups if g} >= {"c", "g", "k", "w", "s-0", "seal face", "outer face"}


def test_the_wall_between_two_channels_is_measured_exactly(tmp_path: File) -> None:
    one = channel(Stroke(Path((-50, 0), (Line((50, 0)),)), 6), name="one")
    other = replace(channel(Stroke(circle((0, 25), 10), 6), name="other"), loop="b")
    p = plate(one, other)
    solid = plate_solid(p)
    m = mesh(solid, 0.02)
    file = tmp_path / "p.stl"
    file.write_bytes(stl_bytes(m, "p"))
    layout = JobLayout("j", (p,), (), {"a": "teal", "b": "amber"})
    found = {o.rule: o for o in measured_checks(layout, Limits(), {"p": solid}, {"p": m}, {"p": file}, 0.02)}
    assert found["wall.loops"].worst == pytest.approx(25 - 10 - 3 - 3, abs=1e-4)


def test_arcs_stay_arcs_in_the_step_file() -> None:
    text = step_bytes("q", [Placed("p", plate_solid(plate(Pocket("g", "groove", "seal", Stroke(RING, 2.6), 1.5,
                                                                  ("seal",)))), (1, 1, 1, 1))]).decode()  # fmt: skip
    count = {k: len(re.findall(rf"={k}\(", text.replace(" ", ""))) for k in
             ("CIRCLE", "CYLINDRICAL_SURFACE", "ADVANCED_FACE")}  # fmt: skip
    degrees = re.findall(r"B_SPLINE_[A-Z_]*\('',(\d+)", text)
    # groove: 4 + 4 round and 4 + 4 straight walls and a floor; plate: 4 edges, outer face, seal face in two pieces
    assert count["CYLINDRICAL_SURFACE"] == 8
    assert count["CIRCLE"] >= 16
    assert set(degrees) <= {"1"}  # straight lines in the parameters of a cylinder; no curve in space
    assert count["ADVANCED_FACE"] == 16 + 1 + 4 + 1 + 2


def test_the_edge_of_a_stroke_and_its_cutter() -> None:
    outer, holes = boundary(Stroke(RING, 2.6))
    middle = length(RING)
    assert length(outer) == pytest.approx(middle + math.tau * 1.3)
    assert length(holes[0]) == pytest.approx(middle - math.tau * 1.3)
    assert narrowest(Stroke(RING, 2.6)) == 2.6
    assert narrowest(Area(rectangle(30, 20, r=4))) == pytest.approx(8)
    assert narrowest(Area(rectangle(30, 20))) == 0
    assert narrowest(Area(rectangle(90, 60, r=50 / 2), (rectangle(20, 10, (30, 20)),))) == pytest.approx(50)
    with pytest.raises(ValueError, match="corners"):
        boundary(Stroke(CORNERED, 6))


def test_a_row_for_every_pocket() -> None:
    rows = feature_table(JobLayout("j", (everything(False),), (), {})).splitlines()
    assert [r.split(",")[1] for r in rows[1:]] == [f"s-{i}" for i in range(5)] + ["c", "g", "k", "w"]
    # the outer face of a plate whose seal face looks down lies at +thickness in its STEP file
    assert next(r for r in rows if ",k," in r).split(",")[3:7] == ["-50.000", "-10.000", "20.000", "0 0 -1"]
