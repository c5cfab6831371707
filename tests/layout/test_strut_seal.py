"""The cord under a strut's end: where its groove lies, and how the cord lies in it."""

from __future__ import annotations

import copy
import math
from pathlib import Path

import pytest

from jobs import Job, feature, raw, written
from rillwright.pipeline import plan
from rillwright.spec.messages import SpecError


def inside(diameter: float, seal: Job | None) -> Job:
    """The smallest job with a wider tube, so that its struts can stand inside."""
    job = copy.deepcopy(raw("bench-single"))
    job["reservoirs"][0]["tube"]["outside_diameter"] = 90
    struts: Job = {"count": 3, "place": "inside", "diameter": diameter, "screw": {"length": 16}}
    job["reservoirs"][0]["struts"] = struts if seal is None else struts | {"seal": seal}
    return job


def test_groove_is_that_of_the_handbook_table(tmp_path: Path) -> None:
    """Cord 2: groove 1.5 deep, 2.8 wide (face-groove table); ISO 273 medium hole for M4 is 4.5. Seat at 3 mm."""
    layout = plan(written(tmp_path, inside(14, {"cord": {"diameter": 2}}))).layout
    groove = feature(layout, "upper", "tube.strut-1.groove")
    assert groove.facts["inner_radius"] == pytest.approx(2.25 + 0.5)
    assert groove.facts["outer_radius"] - groove.facts["inner_radius"] == pytest.approx(2.8)
    assert groove.depth == pytest.approx(3 + 1.5)


def test_cord_fills_the_groove_to_the_strut(tmp_path: Path) -> None:
    """Height of the groove, area of the cord, floor of the groove: seat at 3, groove 1.5 deeper."""
    layout = plan(written(tmp_path, inside(14, {"cord": {"diameter": 2}}))).layout
    cords = [h for h in layout.hardware if h.kind == "cord" and ".strut-" in h.name]
    assert len(cords) == 6
    for h in cords:
        ends = [*h.profile[1:], h.profile[0]]
        area = sum(a * d - b * c for (a, b), (c, d) in zip(h.profile, ends, strict=True)) / 2
        assert abs(area) == pytest.approx(math.pi, rel=0.02)  # its half rounds are drawn with chords
        assert max(z for _, z in h.profile) - min(z for _, z in h.profile) == pytest.approx(1.5)
    lower = next(h for h in cords if h.name == "tube.strut-1.cord-lower")
    assert (lower.origin[2], lower.axis[2]) == (pytest.approx(-4.5), 1)


def test_a_strut_too_thin_for_the_groove_is_refused(tmp_path: Path) -> None:
    """2.25 + 0.5 + 2.8 + 0.5 = 6.05: a strut of 12.1 mm at least."""
    path = written(tmp_path, inside(12, {"cord": {"diameter": 2}}))
    with pytest.raises(SpecError, match=r"struts of 12\.1 mm"):
        plan(path)


def test_a_cord_without_a_groove_is_refused(tmp_path: Path) -> None:
    path = written(tmp_path, inside(14, {"cord": {"diameter": 2.2}}))
    with pytest.raises(SpecError, match="cord"):
        plan(path)


def test_a_seal_for_struts_outside_is_refused(tmp_path: Path) -> None:
    job = raw("bench-single")
    job["reservoirs"][0]["struts"]["seal"] = {"cord": {"diameter": 2}}
    with pytest.raises(SpecError, match="place: inside"):
        plan(written(tmp_path, job))
