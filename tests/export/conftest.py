"""Shapes that several tests of the exports look at."""

from __future__ import annotations

import sys
from pathlib import Path

import cadquery as cq
import pytest

from rillwright.solids.meshing import Mesh, mesh

sys.path.insert(0, str(Path(__file__).parent))  # for runs.py: tests are no package

PLATE_MM = (300.0, 130.0, 20.0)


@pytest.fixture(scope="session")
def plate() -> cq.Shape:
    """300 x 130 x 20 with 100 countersunk through holes."""
    block = cq.Workplane().box(*PLATE_MM).edges("|Z").fillet(10)
    return block.faces(">Z").workplane().rarray(25, 12, 10, 10).cskHole(4.5, 9, 90).val()


@pytest.fixture(scope="session")
def plate_mesh(plate: cq.Shape) -> Mesh:
    return mesh(plate)


@pytest.fixture(scope="session")
def cube() -> cq.Shape:
    return cq.Solid.makeBox(2, 3, 5)
