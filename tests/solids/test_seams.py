"""Seams of revolved tools: away from where others meet them, and where the kernel puts them otherwise."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rillwright.checks.solid.step_back import step_cases
from rillwright.export.placed import Placed
from rillwright.export.step import step_bytes
from rillwright.layout.features import Cut, Feature, Line, Outline, PlateLayout
from rillwright.layout.paths import circle
from rillwright.layout.pockets import Path, Pocket, Stroke
from rillwright.layout.profiles import stepped
from rillwright.solids import build
from rillwright.solids.build import plate_solid
from rillwright.solids.seams import seam

CORNERS = ((60.0, -30.0), (60.0, 30.0), (-60.0, 30.0), (-60.0, -30.0))
UP, DOWN, AFTER = (0.0, 0.0, 1.0), (0.0, 0.0, -1.0), (1.0, 0.0, 0.0)


def plate(*cuts: Cut, up: bool = True) -> PlateLayout:
    features = tuple(c for c in cuts if isinstance(c, Feature))
    return PlateLayout("p", Outline(CORNERS[3], tuple(Line(c) for c in CORNERS), 0.0), 20.0, "pmma-cast", up, 0.0, features,
                       pockets=tuple(c for c in cuts if isinstance(c, Pocket)))  # fmt: skip


def along(radius: float = 4.0, depth: float = 90.0, z: float = -10.0) -> Feature:
    return Feature("along", "drilling", (-60.0, 0.0, z), AFTER, stepped([(radius, depth)]), "left", ("left",))


def across(x: float, depth: float, radius: float = 4.0, z: float = -10.0) -> Feature:
    return Feature("across", "drilling", (x, 30.0, z), (0.0, -1.0, 0.0), stepped([(radius, depth)]), "back", ("back",))


def down(x: float, y: float, depth: float, radius: float = 4.0) -> Feature:
    return Feature("down", "drilling", (x, y, 0.0), DOWN, stepped([(radius, depth)]), "seal", ("seal",))


def angle(a: tuple[float, float, float], b: tuple[float, float, float]) -> float:
    return math.degrees(math.acos(max(-1.0, min(1.0, float(np.dot(a, b))))))


def test_alone_or_far_from_others_it_stays() -> None:
    p = plate(along(), down(0.0, 15.0, 12.0), across(40.0, 20.0))
    assert seam(p.features[0], p.cuts, p, UP) == UP
    assert seam(p.features[0], [p.features[0]], p, UP) == UP


def test_a_deep_crossing_of_another_width_leaves_it() -> None:
    """The seam of the wide one never meets the narrow one, that of the narrow one goes through the wide one squarely."""
    p = plate(along(), across(0.0, 30.0, 2.0))
    assert seam(p.features[0], p.cuts, p, UP) == UP
    assert seam(p.features[1], p.cuts, p, UP) == UP


@pytest.mark.parametrize("depth", [30.0, 45.0])
def test_equal_widths_meet_above_and_below(depth: float) -> None:
    """Both curves in which two equal cylinders cross meet on the line square to both axes (Steinmetz)."""
    p = plate(along(), across(0.0, depth))
    for f in p.features:
        way = seam(f, p.cuts, p, UP)
        assert np.dot(way, f.axis) == pytest.approx(0.0, abs=1e-12)
        assert math.hypot(*way) == pytest.approx(1.0)
        assert 10 < angle(way, UP) < 170


def test_three_that_meet_have_a_corner_between_any_two() -> None:
    """Of three equal cylinders square to each other, two meet on the third one half way between their axes."""
    p = plate(along(), across(0.0, 45.0), down(0.0, 0.0, 16.0))
    way = seam(p.features[0], p.cuts, p, UP)
    for corner in (UP, DOWN, (0.0, 1.0, 0.0), (0.0, -1.0, 0.0), (0.0, math.sqrt(0.5), math.sqrt(0.5))):
        assert angle(way, corner) > 10


def test_not_along_the_wall_or_the_floor_of_a_pocket() -> None:
    """Walls of a channel touch a bore that is as wide as it; a floor that ends at a run's topmost line touches that."""
    channel = Pocket("c", "channel", "seal", Stroke(Path((-40.0, 0.0), (Line((40.0, 0.0)),)), 8.0), 6.0, ("seal",))
    bore = down(0.0, 0.0, 15.0)
    p = plate(channel, bore)
    assert seam(bore, p.cuts, p, (0.0, 1.0, 0.0)) != (0.0, 1.0, 0.0)
    assert seam(bore, p.cuts, p, AFTER) == AFTER
    run = along(z=-10.0)
    ring = Pocket("g", "groove", "seal", Stroke(circle((0.0, 0.0), 15.0), 3.0), 6.0, ("seal",))
    p = plate(run, ring)
    assert seam(run, p.cuts, p, UP) != UP
    assert seam(replace(run, origin=(-60.0, 0.0, -12.0)), p.cuts, p, UP) == UP


@given(st.sampled_from([90.0, 30.0, 45.0, 61.3]), st.sampled_from([3.0, 4.0]), st.sampled_from([20.0, 30.0, 34.0, 50.0]),
       st.booleans(), st.booleans())  # fmt: skip
@settings(max_examples=14, deadline=None)
def test_files_read_back_whatever_crosses(slant: float, radius: float, reach: float, riser: bool, up: bool) -> None:
    """`slant`: between the two axes, degrees; both pass through the middle at one depth."""
    a = math.radians(slant)
    way, start = (-math.cos(a), -math.sin(a), 0.0), (30 / math.tan(a), 30.0, -10.0)
    side = Feature("side", "drilling", start, way, stepped([(radius, reach)]), "back", ("back",))
    p = plate(along(), side, *([down(0.0, 0.0, 10.0)] if riser else []), up=up)
    solid, reference = plate_solid(p), plate_solid(p, swap=False)
    (case,) = step_cases(p, step_bytes("plate", [Placed("p", solid, (0.5, 0.5, 0.5, 1.0), 0.0)]), solid)["step.sound"]
    assert case.measured == 0, case.what
    assert solid.Volume(1e-8) == pytest.approx(reference.Volume(1e-8), rel=1e-8)


@pytest.mark.parametrize("up", [True, False])
def test_another_seam_changes_nothing_else(up: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    p = plate(along(), across(0.0, 30.0), up=up)
    ours = plate_solid(p)
    monkeypatch.setattr(build, "seam", lambda _f, _cuts, _plate, usual: usual)
    usual = plate_solid(p)
    assert ours.Volume(1e-8) == pytest.approx(usual.Volume(1e-8), rel=1e-9)
    kinds = [sorted(f.geomType() for f in s.Faces()) for s in (ours, usual)]
    assert kinds[0] == kinds[1]
