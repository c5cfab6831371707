"""Hole spacings of shipped foot prints. Both figures are common practice of the trade, written down from memory."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import pytest

from jobs import written
from rillwright.pipeline import plan


@pytest.mark.parametrize(
    ("family", "frame", "spacing"),
    [
        ("fan-frame-120", 120.0, 105.0),  # common practice, from memory
        ("fan-frame-140", 140.0, 124.5),  # common practice, from memory
    ],
)
def test_fields_of_a_radiator_for_three_fans(tmp_path: Path, family: str, frame: float, spacing: float) -> None:
    """Holes of a field by its spacing, and from field to field by frame and gap."""
    mount = {"name": "r", "interface": family, "side": "seal", "count": 3, "pitch": frame + 2}
    job = {"job": "fields", "plates": {"p": {"stock": {"material": "pom-c", "thickness": 12},
                                             "outline": {"length": 500, "width": 160}, "mounts": [mount]}}}  # fmt: skip
    (plate,) = plan(written(tmp_path, job)).layout.plates
    xs = sorted({round(f.origin[0], 6) for f in plate.features})
    ys = sorted({round(f.origin[1], 6) for f in plate.features})
    assert [b - a for a, b in pairwise(xs)] == pytest.approx(
        [spacing, frame + 2 - spacing, spacing, frame + 2 - spacing, spacing]
    )
    assert [b - a for a, b in pairwise(ys)] == pytest.approx([spacing])
