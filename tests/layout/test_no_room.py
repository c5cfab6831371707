"""What leaves no material where material is needed is refused where it is written, before anything is cut."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from jobs import raw, written
from rillwright.pipeline import plan
from rillwright.spec.messages import SpecError


@pytest.mark.parametrize(
    ("block", "values", "words"),
    [
        ("channel", {"depth": 12}, "12 mm deep goes through a plate of 12 mm"),
        ("tube", {"wall": 29.9}, "leaves no middle"),
        ("struts", {"diameter": 4.5}, "no shoulder on the 4.5 mm hole"),  # ISO 273 medium for M4
    ],
)
def test_reservoir_without_room_is_refused(tmp_path: Path, block: str, values: dict[str, Any], words: str) -> None:
    job = raw("bench-single")
    reservoir = job["reservoirs"][0]
    reservoir[block] = reservoir.get(block, {}) | values
    with pytest.raises(SpecError, match=words):
        plan(written(tmp_path, job))


def test_more_holes_than_can_be_proved_are_refused_at_once(tmp_path: Path) -> None:
    job = raw("bench-single")
    grid = {"columns": 100, "rows": 100, "pitch": [1, 1]}
    job["plates"]["lower"]["holes"] = [{"name": "many", "grid": grid}]
    with pytest.raises(SpecError, match="10000 holes here"):
        plan(written(tmp_path, job))
