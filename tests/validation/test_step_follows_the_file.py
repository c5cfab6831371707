"""One number changed in a shipped file, and both plates' STEP files read again: each follows it."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from jobs import PARAMS
from part21 import Face, Part21
from rillwright.pipeline import build

NEAR = 1e-4  # mm
SEAT_WALL, SEAT = 6.0, 5.1  # mm, common practice, no source


@pytest.fixture(scope="module")
def narrower(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """studio-twin for tubes of 50 mm instead of 60, strut places left to the program."""
    folder = tmp_path_factory.mktemp("narrower")
    text = (PARAMS / "studio-twin.yaml").read_text(encoding="utf-8")
    for old, new in (("outside_diameter: 60", "outside_diameter: 50"), ("pitch_circle: 84, ", "")):
        assert text.count(old) == 1  # the file says it once, both tubes and both plates take it from there
        text = text.replace(old, new)
    (folder / "x.yaml").write_text(text, encoding="utf-8")
    build(folder / "x.yaml", folder / "out")
    return folder / "out"


def cylinders(folder: Path, plate: str, radius: float) -> list[Face]:
    faces = Part21(folder / f"{plate}.step").faces()
    return [f for f in faces if f.kind == "CYLINDRICAL_SURFACE" and abs(f.radius - radius) < NEAR]


def places(found: list[Face]) -> set[tuple[float, float]]:
    return {(round(f.origin[0], 3) + 0.0, round(f.origin[1], 3) + 0.0) for f in found}


@pytest.mark.parametrize("plate", ["upper", "lower"])
def test_channels_follow_the_tube(narrower: Path, plate: str) -> None:
    """50/2 + 0.25 and 50/2 − 5 − 0.25, and nothing of the 60 mm tube is left."""
    for radius in (25.25, 19.75):
        assert places(cylinders(narrower, plate, radius)) == {(-70, 0), (70, 0)}
    for radius in (30.25, 24.75):
        assert not cylinders(narrower, plate, radius)


def test_struts_follow_the_tube_in_both_plates(narrower: Path) -> None:
    """On a circle of 25.25 + 6 + 5.1, at 270° and every 120° from there, the same in both plates."""
    circle = 25.25 + SEAT_WALL + SEAT
    turns = [math.radians(270 + 120 * i) for i in range(3)]
    want = {(x + circle * math.cos(t), circle * math.sin(t)) for x in (-70, 70) for t in turns}
    upper, lower = (places(cylinders(narrower, plate, SEAT)) for plate in ("upper", "lower"))
    assert upper == lower
    assert len(upper) == 6
    for p in want:
        assert min(math.dist(p, q) for q in upper) < 2e-3
