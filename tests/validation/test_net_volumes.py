"""Coolant in the recovered voids against closed forms: cylinders and rings only."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from jobs import PARAMS
from rillwright.checks.solid.nets import net_checks
from rillwright.checks.solid.stl import read_stl
from rillwright.export.stl import stl_bytes
from rillwright.pipeline import plan
from rillwright.solids.build import plate_solid
from rillwright.solids.meshing import mesh


def ring(outer: float, inner: float, height: float) -> float:
    return math.pi * (outer**2 - inner**2) * height


def test_coolant_of_the_smallest_job(tmp_path: Path) -> None:
    """Tube Ø50 inside, 144 mm between the seal faces; channel Ø49.5 inside, 6 deep; cord of Ø2 in a gap of 1.5.

    The cord keeps its section, π mm² in a rectangle 1.5 high round the middle of the tube's wall (r = 27.5); coolant
    stands on its inner side. Three G1/4 bores Ø11.8 (tap drill) go from the spotface, 1 mm deep, through 12 mm plates.
    """
    layout = plan(PARAMS / "bench-single.yaml").layout
    solids = {p.name: plate_solid(p) for p in layout.plates}
    stls = {}
    for name, solid in solids.items():
        (tmp_path / name).write_bytes(stl_bytes(mesh(solid, 0.02), name))
        stls[name] = read_stl(tmp_path / name)
    _, (row,) = net_checks(layout, solids, stls, 0.02)
    end = ring(25, 24.75, 6) + ring(27.5 - math.pi / 1.5 / 2, 25, 1.5)
    bore = ring(5.9, 0, 11)
    # The cord's half rounds are drawn with 12 chords each: 1.1 % of a circle of Ø1.5.
    assert row["coolant_ml"] == pytest.approx((ring(25, 0, 144) + 2 * end + 3 * bore) / 1000, abs=0.005)
    upper, lower = row["plates"]
    assert upper["coolant_ml"] == pytest.approx((end + 2 * bore) / 1000, abs=0.01)
    assert lower["coolant_ml"] == pytest.approx((end + bore) / 1000, abs=0.01)
