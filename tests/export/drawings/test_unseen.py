"""What a view leaves out shows nothing: every line is that of the kernel's answer on the whole solid."""

from __future__ import annotations

import math
from typing import Any

import cadquery as cq
import numpy as np
import pytest
import shapely
from hypothesis import Phase, example, given, settings
from hypothesis import strategies as st
from scipy.spatial import cKDTree

from rillwright.export.drawings import unseen, views
from rillwright.export.drawings.frames import Eye
from rillwright.export.drawings.slices import HAIR, section
from rillwright.export.drawings.views import Bow, Curve, Seen, seen

ABOVE = Eye((1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
EYES = [ABOVE, Eye((1.0, 0.0, 0.0), (0.0, -1.0, 0.0)), *(ABOVE.turned(s) for s in ("below", "above", "left", "right"))]
EYES.append(Eye((math.sqrt(0.5), math.sqrt(0.5), 0.0), (0.0, 0.0, 1.0)))


def _everything(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(views, "worth_a_look", lambda shape, _eye, _behind: [unseen.Face(shape, None)])


def _points(curves: list[Curve], step: float) -> Any:
    rows = [np.empty((0, 2))]
    for c in curves:
        if isinstance(c, Bow):
            turn = np.radians(np.linspace(c.start, c.end, 2 + int(c.radius * math.radians(c.end - c.start) / step)))
            rows.append(np.column_stack([c.centre[0] + c.radius * np.cos(turn), c.centre[1] + c.radius * np.sin(turn)]))
        else:
            for a, b in zip(c.points, c.points[1:], strict=False):
                share = np.linspace(0, 1, 2 + int(math.dist(a, b) / step))[:, None]
                rows.append(np.array(a) * (1 - share) + np.array(b) * share)
    return np.concatenate(rows)


def _lost(of: list[Curve], where: list[Curve]) -> int:
    """Places of lines that lie nowhere on other lines (0.1 mm: chords of a curve that lies on a circle)."""
    wanted, there = _points(of, 0.3), _points(where, 0.03)
    return len(wanted) if not len(there) else int((cKDTree(there).query(wanted)[0] > 0.1).sum())


def _same(thin: Seen, whole: Seen, hidden: bool) -> None:
    assert _lost(whole.visible, thin.visible) == _lost(thin.visible, whole.visible) == 0
    if hidden:
        assert _lost(whole.hidden, thin.hidden + thin.visible) == _lost(thin.hidden, whole.hidden + whole.visible) == 0


def _plate(holes: list[tuple[float, float, float, str]], corner: float, chamfer: float, step: bool) -> Any:
    made = cq.Workplane().box(60, 40, 12, centered=(True, True, False))
    if step:
        made = made.cut(cq.Workplane().box(20, 60, 5).translate((24, 0, 12)))
    if corner:
        made = made.edges("|Z").fillet(corner)
    if chamfer:
        made = made.faces("<Z").edges().chamfer(chamfer)
    for x, y, r, kind in holes:
        if kind == "through":
            tool = cq.Workplane().circle(r).extrude(20).translate((x, y, -1))
        elif kind == "sunk":
            tool = cq.Workplane("XZ").polyline([(0, -1), (r, -1), (r, 8), (2 * r, 12), (2 * r, 13), (0, 13)]).close()
            tool = tool.revolve(360, (0, 0, 0), (0, 1, 0)).translate((x, y, 0))
        elif kind == "drilled":
            tool = cq.Workplane("XZ").polyline([(0, 13), (r, 13), (r, 5), (0, 5 - r / 2)]).close()
            tool = tool.revolve(360, (0, 0, 0), (0, 1, 0)).translate((x, y, 0))
        elif kind == "milled":
            tool = cq.Workplane().slot2D(8 * r, 2 * r).extrude(6).translate((x, y, 7))
        else:
            tool = cq.Workplane("YZ").circle(r).extrude(x + 40).translate((-40, y, 5))
        made = made.cut(tool)
    return made.val()


KINDS = st.sampled_from(["through", "sunk", "drilled", "milled", "edge"])
HOLE = st.tuples(st.integers(-26, 26), st.integers(-16, 16), st.sampled_from([1.0, 1.7, 2.3]), KINDS)


@settings(max_examples=6, deadline=None, phases=(Phase.explicit, Phase.reuse, Phase.generate))  # shrinking takes minutes
@given(st.lists(HOLE, max_size=5), st.sampled_from([0, 4]), st.sampled_from([0, 1]), st.booleans())
def test_no_line_is_lost_and_none_is_new(
    holes: list[tuple[float, float, float, str]], corner: float, chamfer: float, step: bool
) -> None:
    plate = _plate(holes, corner, chamfer, step)
    for eye in EYES:
        for hidden in (True, False):
            thin = seen(plate, eye, hidden)
            with pytest.MonkeyPatch.context() as patched:
                _everything(patched)
                _same(thin, seen(plate, eye, hidden), hidden)


def _halved(solid: Any, eye: Eye, at: float) -> Seen:
    """The section by a boolean with half of space, looked at whole."""
    towards = cq.Vector(*eye.towards)
    box = cq.Workplane(cq.Plane(towards * at, cq.Vector(*eye.right), towards)).box(200, 200, 200).val()
    half = solid.intersect(box.moved(cq.Location(towards * -100)))
    with pytest.MonkeyPatch.context() as patched:
        _everything(patched)
        return seen(half, eye, hidden=False)


@settings(max_examples=5, deadline=None, phases=(Phase.explicit, Phase.reuse, Phase.generate))
@example([(-25, -1, 2.3, "drilled"), (8, 16, 1.7, "edge")], 4, True, 14)
@given(st.lists(HOLE, max_size=5), st.sampled_from([0, 4]), st.booleans(), st.integers(-15, 15))
def test_a_section_shows_what_lies_behind_it(
    holes: list[tuple[float, float, float, str]], corner: float, step: bool, at: int
) -> None:
    plate = _plate(holes, corner, 1, step)
    for eye in (ABOVE.turned("below"), ABOVE.turned("right")):
        found = section(plate, eye, at, 200)
        _same(found, _halved(plate, eye, at - HAIR), hidden=False)  # a wall may stand in the very plane
        cut = sum(shapely.Polygon(outside, inside).area for outside, *inside in found.cut)
        towards = cq.Vector(*eye.towards)
        plane = cq.Face.makePlane(200, 200, towards * (at - HAIR), towards)
        assert cut == pytest.approx(plate.intersect(plane).Area(), abs=0.3)  # chords of bores


def test_what_is_covered_is_not_looked_at() -> None:
    plate = _plate([(x, 0, 1.0, "through") for x in range(-24, 25, 3)], 0, 0, False)
    assert len(unseen.worth_a_look(plate.wrapped, ABOVE.turned("below"), behind=False)) == 1  # the edge itself
    assert len(unseen.worth_a_look(plate.wrapped, ABOVE, behind=True)) == 1  # bores and edges lie along the line of sight


def test_an_edge_shows_where_drillings_run_behind_it() -> None:
    plate = _plate([(10, 5, 2.0, "edge"), (-10, -8, 1.7, "through")], 0, 0, False)
    behind = views.edge_seen(plate, ABOVE.turned("below")).hidden
    level = {round(c.points[0][1], 6) for c in behind if isinstance(c, views.Chain) and c.points[0][1] == c.points[-1][1]}
    assert {3.0, 7.0} <= level  # both sides of the drilling, Ø4 at 5 above the foot; nothing of the hole through the faces
    assert all(2.99 < y < 7.01 for c in behind if isinstance(c, views.Chain) for _, y in c.points)
    assert max(x for c in behind if isinstance(c, views.Chain) for x, _ in c.points) == pytest.approx(10)


def test_a_floor_radius_is_no_bore() -> None:
    solid = cq.Workplane().box(60, 40, 12).faces(">Z").workplane().rect(30, 10).cutBlind(-6).edges("<Z and |X").fillet(1)
    channel = solid.faces("<Z[1]").edges("|X").fillet(1.0).val()
    assert unseen.bores(channel.wrapped) == []
