"""Rooms of mounted parts: where their foot prints say, in plan and in height, whichever face and way round."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from mounting import job_of, planned
from rillwright.layout.phantoms import ROUND, outline, phantoms


def area(ring: tuple[tuple[float, float], ...]) -> float:
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)) / 2


@pytest.mark.parametrize(("side", "low", "high"), [("seal", 0.0, 10.0), ("outer", -20.0, -30.0)])
def test_a_room_stands_out_of_the_face_that_its_part_lies_on(tmp_path: Path, side: str, low: float, high: float) -> None:
    """A plate of 20 mm, seal face up at height 0: its outer face is at -20. The part is 40 × 20 and 10 high."""
    mount = {"name": "m", "interface": "foot", "side": side, "at": [10, -5], "turn": 90, "loops": {"in": "a", "out": "a"}}
    layout = planned(tmp_path, job_of(mount)).layout
    (room,) = phantoms(layout)
    assert (room.name, room.plate, room.face, room.interface) == ("room.base.m-body", "base", side, "foot")
    plate = layout.plates[0]
    assert (room.z(plate, room.low), room.z(plate, room.high)) == (low, high)
    xs, ys = [x for x, _ in room.ring], [y for _, y in room.ring]
    assert (min(xs), max(xs), min(ys), max(ys)) == (0, 20, -25, 15)  # turned: 20 along x, 40 along y
    assert area(room.ring) == pytest.approx(800)  # counter-clockwise, also where the part is turned over


def test_a_plate_without_mounts_has_none(tmp_path: Path) -> None:
    assert phantoms(planned(tmp_path, job_of()).layout) == []


@given(st.floats(1, 50), st.floats(1, 50), st.floats(0, 20), st.booleans())
@settings(max_examples=40, deadline=None)
def test_a_widened_rectangle_has_the_area_of_steiners_formula(a: float, b: float, r: float, turned: bool) -> None:
    """Area of a convex shape widened by r: A + U r + π r² (Steiner); the chords of its corners take a little off."""
    corners = ((0.0, 0.0), (a, 0.0), (a, b), (0.0, b))
    got = area(outline(corners[::-1] if turned else corners, r))
    circle = ROUND / 2 * math.sin(math.tau / ROUND) * r * r
    assert got == pytest.approx(a * b + 2 * (a + b) * r + circle, rel=1e-9)


def test_a_point_becomes_a_circle() -> None:
    ring = outline(((3.0, 4.0),), 5.0)
    assert all(math.dist(p, (3, 4)) == pytest.approx(5) for p in ring)
    assert area(ring) == pytest.approx(math.pi * 25, rel=0.004)
