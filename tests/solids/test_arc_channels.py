"""Floor radii along arcs are tori: their meshes hold the deflection, by the pocket's own closed form."""

from __future__ import annotations

import numpy as np
import pytest

from covered import box
from rillwright.checks.solid.pocket_faces import pocket_distance
from rillwright.layout.features import Arc, PlateLayout
from rillwright.layout.pockets import Path, Pocket, Stroke
from rillwright.solids.build import plate_solid
from rillwright.solids.meshing import mesh, strays

DEFLECTION = 0.02


def arched(rise: float, half: float, width: float, radius: float) -> tuple[Pocket, PlateLayout]:
    """A channel along one arc, `half` to each side, in a plate of 320 × 202 mm."""
    line = Path((-half, -57.6), (Arc((0, -57.6 + rise), (half, -57.6)),))
    c = Pocket("c", "channel", "seal", Stroke(line, width), 7.0, ("seal",), "a", floor_radius=radius)
    return c, PlateLayout("p", box(320, 202), 25.0, "pom-c", True, 0.0, (), pockets=(c,))


@pytest.mark.parametrize(
    ("rise", "half", "width", "radius"),
    [(30, 116, 8, 1), (20, 136, 7, 2), (26, 116, 10, 1.5), (30, 56, 10, 0.5), (26, 96, 9, 1), (15, 96, 7, 1)],
)
def test_a_floor_radius_along_an_arc_is_held(rise: float, half: float, width: float, radius: float) -> None:
    """The kernel's own mesher laid triangles from wall to floor across these: 0.06 to 0.35 mm off."""
    channel, plate = arched(rise, half, width, radius)
    made = mesh(plate_solid(plate), DEFLECTION)
    middles = made.vertices[made.triangles].mean(axis=1)
    below = middles[(middles[:, 2] < -0.1) & (np.abs(middles) < (159, 100, 24.9)).all(axis=1)]  # none of the sides
    assert len(below) > 500
    assert pocket_distance(channel, plate.thickness, below).max() < 1.6 * DEFLECTION


def test_what_strays_is_told() -> None:
    _, plate = arched(30, 116, 8, 1)
    solid = plate_solid(plate)
    coarse = mesh(solid, 0.2, 1.0)
    assert strays(solid, coarse, 0.02)
    assert not strays(solid, coarse, 0.4)
