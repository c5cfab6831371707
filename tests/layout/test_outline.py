"""Inside or outside of an outline, and what is refused because it stands off its plate."""

from __future__ import annotations

import math
import random
from pathlib import Path
from typing import Any

import pytest

from jobs import raw, written
from rillwright.layout.features import Arc, Line, Outline
from rillwright.layout.outline import distance_to, encloses
from rillwright.pipeline import plan
from rillwright.spec.messages import SpecError

BAY = Outline(  # a square of 80 less a half disc of 20 at the front, and a half disc of 40 more at the back
    (-40, -40),
    (Line((-20, -40)), Arc((0, -20), (20, -40)), Line((40, -40)), Line((40, 40)), Arc((0, 80), (-40, 40)),
     Line((-40, -40))),
)  # fmt: skip


def in_bay(x: float, y: float) -> bool:
    """The same shape said with circles and half planes."""
    square = abs(x) < 40 and abs(y) < 40 and math.hypot(x, y + 40) > 20
    return square or (y >= 40 and math.hypot(x, y - 40) < 40)


def test_inside_of_arcs_that_go_in_and_out() -> None:
    pick = random.Random(1)
    points = [(pick.uniform(-60, 60), pick.uniform(-60, 100)) for _ in range(3000)]
    assert all(encloses(BAY, p) == in_bay(*p) for p in points)


def test_distance_to_an_arc() -> None:
    assert distance_to(BAY, (0, -30)) == pytest.approx(10)  # in the bay, off the plate: a distance has no sign
    assert distance_to(BAY, (0, 60)) == pytest.approx(20)


@pytest.mark.parametrize(
    ("where", "item", "key"),
    [
        ("holes", {"name": "h", "at": [[0, 70]]}, "plates.lower.holes.1"),
        ("holes", {"name": "h", "circle": {"diameter": 150, "count": 4}}, "plates.lower.holes.1"),
        ("ports", {"name": "p", "loop": "processor", "on": "outer", "at": [0, -66]}, "plates.lower.ports.2.at"),
        ("drillings", {"name": "d", "loop": "processor", "from": "seal", "at": [151, 0], "depth": 5, "diameter": 3},
         "plates.lower.drillings.3.at"),
    ],
)  # fmt: skip
def test_off_the_plate_is_refused(tmp_path: Path, where: str, item: dict[str, Any], key: str) -> None:
    """A tool beside the plate cuts nothing: the file says something else than what would be made."""
    job = raw("studio-twin")
    job["plates"]["lower"][where].append(item)
    with pytest.raises(SpecError, match="off the plate") as e:
        plan(written(tmp_path, job))
    assert [p.key for p in e.value.problems] == [key]


def test_a_strut_off_the_plate_is_refused(tmp_path: Path) -> None:
    job = raw("studio-twin")
    job["reservoirs"][0]["at"] = [-70, -30]  # its first strut stands 42 further to the front, the plate ends at 65
    with pytest.raises(SpecError, match=r"left\.strut-1") as e:
        plan(written(tmp_path, job))
    assert {p.key for p in e.value.problems} == {"reservoirs.0.at"}
