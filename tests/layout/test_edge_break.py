"""A chamfer that the outline cannot take is refused with its line, and one that it can take is made by the kernel."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs import raw, written
from rillwright.layout.edge_break import require_edge_break
from rillwright.layout.features import Arc, Line, Outline
from rillwright.layout.outline import Impossible
from rillwright.pipeline import plan
from rillwright.spec.messages import SpecError


def rounded(r: float) -> Outline:
    """A square of 80 with round corners."""
    a, k = 40.0, r * (1 - math.sqrt(0.5))
    return Outline((-a + r, -a), (
        Line((a - r, -a)), Arc((a - k, -a + k), (a, -a + r)), Line((a, a - r)), Arc((a - k, a - k), (a - r, a)),
        Line((-a + r, a)), Arc((-a + k, a - k), (-a, a - r)), Line((-a, -a + r)), Arc((-a + k, -a + k), (-a + r, -a)),
    ))  # fmt: skip


def notched(w: float) -> Outline:
    """A square of 80 with a tongue w wide at the front: at its tip two corners of 90°."""
    corners = ((w / 2, -50), (w / 2, -40), (40, -40), (40, 40), (-40, 40), (-40, -40), (-w / 2, -40), (-w / 2, -50))
    return Outline((-w / 2, -50), tuple(Line(c) for c in corners))


def fits(o: Outline, chamfer: float, thickness: float = 20.0) -> bool:
    try:
        require_edge_break(replace(o, chamfer=chamfer), thickness, ())
    except Impossible:
        return False
    return True


def test_the_limits_in_closed_form() -> None:
    assert fits(rounded(4), 3.99)
    assert not fits(rounded(4), 4.0)  # the corner's radius
    assert fits(notched(6), 2.99)
    assert not fits(notched(6), 3.0)  # half of the tongue: both corners of 90° take one chamfer each
    assert fits(rounded(20), 4.9, 10)
    assert not fits(rounded(20), 5.0, 10)  # half of the thickness
    assert fits(notched(6), 0.0)


def test_an_inner_round_corner_takes_any_chamfer() -> None:
    bay = Outline((-40, -40), (Line((-2, -40)), Arc((0, -38), (2, -40)), Line((40, -40)), Line((40, 40)),
                               Line((-40, 40)), Line((-40, -40))))  # fmt: skip
    assert fits(bay, 3.0)


@given(st.floats(1.5, 12), st.floats(0.85, 1.2), st.sampled_from([rounded, notched]))
@settings(max_examples=12, deadline=None)
def test_what_is_let_through_is_made(size: float, share: float, shape: object) -> None:
    """The kernel agrees on the side that counts: no chamfer that is let through fails later, without a line."""
    from rillwright.solids.build import blank

    limit = size if shape is rounded else size / 2
    o, chamfer = shape(size), limit * share  # type: ignore[operator]
    if fits(o, chamfer, 40.0):
        solid = blank(replace(o, chamfer=chamfer), 40.0, 1.0)
        assert solid.isValid()
        assert solid.Volume() < blank(o, 40.0, 1.0).Volume()
    else:
        assert share > 0.999


def test_the_file_is_told_its_line(tmp_path: Path) -> None:
    job = raw("bench-single")
    job["plates"]["upper"]["outline"]["chamfer"] = 7
    with pytest.raises(SpecError) as e:
        plan(written(tmp_path, job))
    (problem,) = [p for p in e.value.problems if p.key.endswith("chamfer")]
    assert problem.key == "plates.upper.outline.chamfer"
    assert problem.line > 0
    assert "too large for half of the plate's thickness, 6 mm" in problem.what
