"""A slanted drilling takes away a cylinder cut aslant by the face: π r² times the length of its axis.

Closed form: what the slanted face takes off one side of the axis it leaves on the other, so a truncated cylinder
holds its section times the length of its axis. Exact as long as the flat end lies inside.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from jobs import measured

PORT = {"name": "near", "loop": "main", "on": "outer", "at": [27, 0], "thread": "G1/8", "depth": 10}


def block(ports: list[dict[str, Any]]) -> dict[str, Any]:
    slant = {"name": "slant", "loop": "main", "from": "outer", "at": [20, 0], "to": [0, 0, -10], "diameter": 3}
    return {
        "job": "slant", "loops": {"main": {}},
        "plates": {"block": {
            "stock": {"material": "pmma-cast", "thickness": 30}, "outline": {"length": 120, "width": 80},
            "ports": ports, "drillings": [slant | {"tip": "flat"}],
        }},
    }  # fmt: skip


def test_the_whole_mouth_is_open(tmp_path: Path) -> None:
    """A tool that stands out by 1 mm only, tilted by 45°, would leave the low side of the mouth closed."""
    m = measured(tmp_path, block([]))
    taken = 120 * 80 * 30 - m.solids["block"].Volume()
    assert taken == pytest.approx(math.pi * 1.5**2 * math.dist((20, -30), (0, -10)), rel=1e-9)


def test_a_slanted_mouth_beside_another_feature_is_no_false_alarm(tmp_path: Path) -> None:
    """The tilted tool stands out of the face into the box of the port's spotface."""
    assert measured(tmp_path, block([PORT])).outcome("volume.features").holds
