"""Edge chamfers of outlines with corners that point into the plate, with and without arcs."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely import Polygon

from rillwright.checks.solid.attribution import groups_of
from rillwright.checks.solid.blank import area_within, blank_volume
from rillwright.layout.edge_break import require_edge_break
from rillwright.layout.features import Arc, Line, Outline, PlateLayout
from rillwright.layout.outline import Impossible
from rillwright.solids.build import blank
from rillwright.solids.meshing import mesh

THICK = 20.0


def bows(first: float, second: float) -> Outline:
    """A plate of 100 × 80 whose front is two arcs of 50 mm chord, bulging out by these heights."""
    return Outline((0, 0), (Arc((25, -first), (50, 0)), Arc((75, -second), (100, 0)), Line((100, 80)), Line((0, 80)),
                            Line((0, 0))))  # fmt: skip


ELL = Outline((0, 0), tuple(Line(p) for p in ((100, 0), (100, 40), (40, 40), (40, 80), (0, 80), (0, 0))))
LOBE = Outline((0, 0), (Line((40, 0)), Arc((50, -10), (60, 0)), Line((100, 0)), Line((100, 80)), Line((0, 80)),
                        Line((0, 0))))  # fmt: skip
SHAPES = {"two bows": bows(10, 10), "bow and bay": bows(10, -3), "bay and bow": bows(-3, 12), "L": ELL, "lobe": LOBE}


@pytest.mark.parametrize("name", SHAPES)
@pytest.mark.parametrize("side", [1.0, -1.0])
def test_the_blank_is_sound_and_every_face_explained(name: str, side: float) -> None:
    o = replace(SHAPES[name], chamfer=1.5)
    require_edge_break(o, THICK, ())
    solid = blank(o, THICK, side)
    assert solid.isValid()
    assert solid.ShapeType() == "Solid"
    assert solid.Volume() == pytest.approx(blank_volume(o, THICK), rel=1e-9)
    m = mesh(solid, 0.02)
    plate = PlateLayout("p", o, THICK, "pmma-cast", side > 0, 0.0, ())
    groups = groups_of(plate, m.vertices * [1, 1, side], m.triangles, m.face_of_triangle, 0.04)
    assert None not in groups
    assert sum(g is not None and g.kind == "bevel" for g in groups) == 2 * len(o.pieces)


def test_volume_of_an_l_in_closed_form() -> None:
    """Parallel of an L at s: A − P s + (5 − 1) s², since each right corner takes s² and the hollow one gives it back."""
    c = 1.5
    want = 5600 * THICK - 2 * (360 * c**2 / 2 - 4 * c**3 / 3)
    assert blank_volume(replace(ELL, chamfer=c), THICK) == pytest.approx(want, rel=1e-12)


def test_volume_of_two_equal_bows_against_sampled_parallels() -> None:
    """The area left at a depth, from half discs of one circle each side of the hollow corner: shapely's buffer rounds
    that corner, which is (tan t − t) s² less, t half of the turn."""
    r, half = (25**2 + 10**2) / 20, math.asin(25 / ((25**2 + 10**2) / 20))
    o, s = bows(10, 10), 1.5
    arc = [(25 + r * math.sin(a), (r - 10) - r * math.cos(a)) for a in np.linspace(-half, half, 4001)]
    front = Polygon([*arc, *((x + 50, y) for x, y in arc[1:]), (100, 80), (0, 80)])
    rounded = front.buffer(-s, quad_segs=400).area
    sharp = area_within(o, s)
    assert 0 < rounded - sharp < (math.tan(half) - half) * s**2 * 3
    assert area_within(o, 0.0) == pytest.approx(front.area, rel=1e-6)


def test_a_cusp_too_deep_for_the_chamfer_is_refused() -> None:
    with pytest.raises(Impossible, match="hollow corner at 50, "):
        require_edge_break(replace(bows(20, 20), chamfer=1.0), THICK, ())
    require_edge_break(replace(bows(20, 20), chamfer=0.5), THICK, ())
