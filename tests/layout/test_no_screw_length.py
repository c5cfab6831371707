"""No stock length fits a cover: the nearest are named, and what is proposed does hold."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
import yaml

from rillwright.checks.plan.sealed import sealed
from rillwright.checks.plan.seals import fill
from rillwright.layout.features import PlateLayout
from rillwright.pipeline import plan
from rillwright.spec.job import Limits
from rillwright.spec.messages import SpecError


def file(tmp_path: Path, cover: float, screws: dict[str, Any], groove: dict[str, float] | None = None) -> Path:
    seal = {"stock": {"thickness": cover}, "cord": {"diameter": 2, "tolerance": "E1"}, "screws": {"pitch": 40, **screws},
            "groove": groove or {}}  # fmt: skip
    data = {
        "job": "lid", "loops": {"a": {}},
        "plates": {"board": {
            "stock": {"material": "pom-c", "thickness": 20}, "outline": {"length": 160, "width": 90},
            "covers": {"seal": seal},
            "ports": [{"name": n, "loop": "a", "on": "cover", "at": [x, 0]} for n, x in (("p", -35), ("q", 35))],
            "channels": [{"name": "run", "loop": "a", "joins": ["p", "q"]}],
        }},
    }  # fmt: skip
    path = tmp_path / "lid.yaml"
    path.write_text(yaml.safe_dump(data), encoding="utf-8")
    return path


def screw(tmp_path: Path, cover: float, screws: dict[str, Any]) -> float:
    layout = plan(file(tmp_path, cover, screws)).layout
    lid: PlateLayout = next(p for p in layout.plates if p.cover_of)
    return next(f.facts["screw_length"] for f in lid.features if "screw_length" in f.facts)


def test_nearest_lengths_and_the_covers_that_suit_them(tmp_path: Path) -> None:
    """M8 in 20 mm of plastic: 16 mm of thread at least (2 d), 17 at most; ISO 10642 has 25 and 30 about 26 to 27."""
    with pytest.raises(SpecError) as e:
        screw(tmp_path, 10, {"thread": "M8"})
    said = str(e.value)
    assert "26.0 to 27.0 mm long, and the nearest there are 25 and 30" in said
    covers = re.findall(r"a cover of ([\d.]+) to ([\d.]+) mm suits (\d+)", said)
    assert covers == [("8.0", "9.0", "25"), ("13.0", "14.0", "30")]
    for low, high, length in covers:
        for cover in (low, high):
            assert screw(tmp_path, float(cover), {"thread": "M8"}) == float(length)


def test_a_smaller_thread_than_the_smallest_is_no_advice(tmp_path: Path) -> None:
    with pytest.raises(SpecError) as e:
        screw(tmp_path, 55, {"thread": "M3"})
    assert "no ISO 10642 M3 screw fits" in str(e.value)
    assert "smaller thread" not in str(e.value)


def test_the_width_that_would_do_does(tmp_path: Path) -> None:
    """2.2² π/4 in the least gland of a groove 2.8 wide is too much; at the width named it is not, 0.1 less still is."""

    def found(groove: dict[str, float] | None) -> Any:
        return fill(sealed(plan(file(tmp_path, 10, {}, groove)).layout), Limits()).findings

    (f,) = found(None)
    width = float(re.findall(r"([\d.]+) mm would do", f.remedy)[0])
    assert not found({"width": width})
    assert found({"width": round(width - 0.1, 2)})
