"""What is seen of simple solids, and how views are laid out."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import cadquery as cq
import pytest
import shapely

from rillwright.export.drawings.arrange import SideView, arranged
from rillwright.export.drawings.frames import Eye, edge_eye, edge_side, face_eye
from rillwright.export.drawings.part import PartDrawing
from rillwright.export.drawings.slices import section
from rillwright.export.drawings.views import Bow, Chain, Seen, seen
from rillwright.pipeline import plan
from rillwright.solids.build import plate_solid
from rillwright.spec.machine import Machine

FROM_ABOVE = Eye((1.0, 0.0, 0.0), (0.0, 1.0, 0.0))


@pytest.fixture(scope="module")
def block() -> Any:
    """100 × 40 × 10, top at z = 0: a Ø10 hole through at x = −20, a Ø6 hole 4 deep from below at x = 25."""
    made = cq.Workplane().box(100, 40, 10, centered=(True, True, False)).translate((0, 0, -10))
    made = made.cut(cq.Workplane().circle(5).extrude(10).translate((-20, 0, -10)))
    return made.cut(cq.Workplane().circle(3).extrude(4).translate((25, 0, -10))).val()


def round_ones(curves: list[Bow | Chain]) -> set[tuple[float, float, float]]:
    return {(round(c.centre[0], 6), round(c.centre[1], 6), round(c.radius, 6)) for c in curves if isinstance(c, Bow)}


def test_a_through_hole_is_seen_and_a_blind_one_behind_is_hidden(block: Any) -> None:
    found = seen(block, FROM_ABOVE)
    assert round_ones(found.visible) == {(-20, 0, 5)}
    assert (25, 0, 3) in round_ones(found.hidden)


def test_from_below_x_stays_and_y_turns(block: Any) -> None:
    moved = block.moved(cq.Location(cq.Vector(0, 7, 0)))
    found = seen(moved, Eye((1.0, 0.0, 0.0), (0.0, -1.0, 0.0)))
    assert (25, -7, 3) in round_ones(found.visible)


def test_a_section_shows_the_cut_material_and_no_more(block: Any) -> None:
    found = section(block, FROM_ABOVE.turned("below"), 0.0, 400)
    area = sum(shapely.Polygon(outside, holes).area for outside, *holes in found.cut)
    assert area == pytest.approx(100 * 10 - 10 * 10 - 6 * 4, abs=1e-4)  # cut a hair beside the axis
    off = section(block, FROM_ABOVE.turned("below"), -6.0, 400)  # beside both holes
    assert sum(shapely.Polygon(o, h).area for o, *h in off.cut) == pytest.approx(1000, abs=1e-6)


@pytest.mark.parametrize("side", ["below", "above", "left", "right"])
def test_a_turned_eye_looks_from_that_side(side: str) -> None:
    way = {"below": (0, -1, 0), "above": (0, 1, 0), "left": (-1, 0, 0), "right": (1, 0, 0)}[side]
    assert FROM_ABOVE.turned(side).towards == pytest.approx(way)


@pytest.mark.parametrize(("projection", "above"), [("first", False), ("third", True)])
def test_the_back_edge_lies_as_the_projection_has_it(
    projection: str, above: bool, drawn: Callable[[str], Any]
) -> None:
    """ISO 5456-2: in third-angle a view lies on the side that it is seen from, in first-angle opposite."""
    lower = next(p for p in drawn("studio-twin").bundle.layout.plates if p.seal_up)
    eye = face_eye(lower, "seal", Machine())
    side = edge_side(lower, "back", eye)
    assert side == "above"
    a = arranged(lower, eye, [SideView(side, "back", eye.turned(side), Seen())], projection, "auto")
    ((_, _, box),) = a.sides
    assert (box[1] > a.box[3]) is above
    assert (box[3] < a.box[1]) is not above


def test_an_edge_by_itself_has_the_seal_face_up(drawn: Callable[[str], Any]) -> None:
    for plate in drawn("studio-twin").bundle.layout.plates:
        eye = edge_eye(plate, "back")
        assert eye.towards == pytest.approx((0, 1, 0))
        assert eye.up == pytest.approx((0, 0, plate.side))


def test_the_upper_plate_is_seen_as_it_lies_after_the_flip(drawn: Callable[[str], Any]) -> None:
    upper = next(p for p in drawn("studio-twin").bundle.layout.plates if not p.seal_up)
    assert face_eye(upper, "outer", Machine()).sees((3.0, 4.0, 0.0)) == (3, 4)
    assert face_eye(upper, "seal", Machine()).sees((3.0, 4.0, 0.0)) == (3, -4)
    assert face_eye(upper, "seal", Machine()).towards == pytest.approx((0, 0, -1))


def test_a_hole_in_a_round_corners_axis_does_not_take_the_corner_along(tmp_path: Path) -> None:
    """Corner radius 8 and holes 8 from both sides: the edge views still show the whole plate."""
    path = tmp_path / "corner.yaml"
    path.write_text(
        "job: corner\nplates:\n  base:\n    stock: {material: pom-c, thickness: 10}\n"
        "    outline: {length: 100, width: 60, corner_radius: 8, chamfer: 0.5}\n"
        "    holes: [{name: h, kind: clearance, thread: M4, grid: {columns: 2, rows: 2, pitch: [84, 44]}}]\n",
        encoding="utf-8",
    )
    planned = plan(path)
    (plate,) = planned.layout.plates
    drawing = PartDrawing(planned.loaded.model, planned.layout, plate, plate_solid(plate))
    found = drawing.look("front", FROM_ABOVE.turned("below"), False)
    xs = [p[0] for c in found.visible if isinstance(c, Chain) for p in c.points]
    assert (min(xs), max(xs)) == (pytest.approx(-50, abs=1e-6), pytest.approx(50, abs=1e-6))
