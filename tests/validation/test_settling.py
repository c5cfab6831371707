"""What years leave of a cord, against closed forms and definitions. Source beside each."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rillwright.physics import settling
from rillwright.standards import rubbers


def test_arrhenius_halves_per_step_by_its_closed_form() -> None:
    # Arrhenius with E = R ln 2 / (1/T1 − 1/T2): from T1 to T2 the rate doubles (ISO 11346 uses this law).
    t1, t2 = 50 + 273.15, 60 + 273.15
    activation = 8.314462618e-3 * math.log(2) / (1 / t1 - 1 / t2)
    assert settling.equivalent_hours(1000, 60, 50, activation) == pytest.approx(2000)
    assert settling.equivalent_hours(1000, 50, 60, activation) == pytest.approx(500)
    assert settling.equivalent_hours(1000, 50, 50, activation) == 1000


def test_set_at_the_time_of_the_test_is_the_tested_one() -> None:
    assert settling.set_after(0.2, 24, 24) == pytest.approx(0.2)
    assert settling.set_after(0.2, 24, 24 * 365 * 5) > 0.2
    assert settling.set_after(0.9, 24, 1e9) == 1


@pytest.mark.parametrize(("share", "left"), [(0.0, 0.25), (1.0, 0.0), (0.5, 1 - 1.5 / 1.75)])
def test_squeeze_left_by_the_definition_of_compression_set(share: float, left: float) -> None:
    # ISO 815-1: C = (d − d')/(d − g); cord 2 squeezed to 1.5 springs back to 2, 1.5 and 1.75.
    assert settling.settled_squeeze(1.5, 2.0, share) == pytest.approx(left)


def test_a_loose_cord_stays_as_loose_as_it_is() -> None:
    assert settling.settled_squeeze(2.5, 2.0, 0.7) == pytest.approx(1 - 2.5 / 2.0)


@settings(max_examples=50, deadline=None)
@given(gap=st.floats(0.5, 5), cord=st.floats(1, 5), share=st.floats(0, 1), more=st.floats(0, 1))
def test_more_set_never_leaves_more_squeeze(gap: float, cord: float, share: float, more: float) -> None:
    low, high = sorted((share, more))
    assert settling.settled_squeeze(gap, cord, high) <= settling.settled_squeeze(gap, cord, low) + 1e-12
    assert settling.settled_squeeze(gap, cord, high) <= max(0.0, 1 - gap / cord) + 1e-12


@pytest.mark.parametrize("name", ["epdm", "fkm", "nbr", "vmq"])
def test_typical_rubbers_settle_by_a_share(name: str) -> None:
    test = rubbers.set_test(name)  # from memory: held to a plausible range only
    assert 0.05 < test.compression_set < 0.5
    assert 60 < test.activation < 120


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(ValueError, match="compression set must be from 0 to 1"):
        settling.set_after(1.2, 24, 100)
    with pytest.raises(ValueError, match="kelvin must be above 0"):
        settling.equivalent_hours(24, -300, 20, 90)
