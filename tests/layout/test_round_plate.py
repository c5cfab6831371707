"""A round plate of two half circles: its middle lies on the chord of both, and is on the plate."""

from __future__ import annotations

import pytest

from rillwright.layout.outline import encloses, outline
from rillwright.spec.plate import Outline

HALVES = [[-65, 0], {"through": [0, -65], "to": [65, 0]}, {"through": [0, 65], "to": [-65, 0]}]
BITE = [[-65, -40], [65, -40], [65, 40], [30, 40], {"through": [0, 10], "to": [-30, 40]}, [-65, 40]]


@pytest.mark.parametrize(("x", "y", "on"), [(0, 0, True), (13, 0, True), (64.9, 0, True), (65.1, 0, False), (0, 66, False)])
def test_round_plate_holds_its_middle(x: float, y: float, on: bool) -> None:
    assert encloses(outline(Outline.model_validate({"polygon": HALVES})), (x, y)) is on


@pytest.mark.parametrize(("y", "on"), [(40, False), (39, False), (9, True)])
def test_bite_out_of_an_edge_is_off_the_plate(y: float, on: bool) -> None:
    assert encloses(outline(Outline.model_validate({"polygon": BITE})), (0, y)) is on
