"""Volumes that the layout gives for its profiles, against closed forms."""

from __future__ import annotations

import math

import pytest

from rillwright.layout import profiles


def test_drill_tip_is_118_degrees() -> None:
    assert profiles.tip_length(4.0, "drill") == pytest.approx(4.0 / math.tan(math.radians(59)))
    assert profiles.tip_length(4.0, "flat") == 0


def test_ring_is_what_pappus_says() -> None:
    """Second theorem of Pappus: area × way of the centroid."""
    assert profiles.volume_inside(profiles.ring(20, 30, 6)) == pytest.approx(10 * 6 * math.tau * 25)


def test_only_what_lies_inside_counts() -> None:
    bore = profiles.stepped([(5.0, 30.0)])
    assert profiles.volume_inside(bore, 12.0) == pytest.approx(math.pi * 25 * 12)
    assert min(z for _, z in bore) == -profiles.STAND_OUT


def test_steps_of_no_height_vanish() -> None:
    assert profiles.stepped([(9.5, -profiles.STAND_OUT), (5.9, 15)]) == profiles.stepped([(5.9, 15)])


def test_countersink_is_as_high_as_it_is_wide() -> None:
    profile = profiles.countersunk(4.48, 2.25, 10.0, below=0.3)
    assert (4.48, 0.3) in profile
    assert (2.25, pytest.approx(0.3 + 4.48 - 2.25)) in profile
