"""What the formulas refuse, and in which words."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from rillwright.physics import cord_load, glass, leak, monte_carlo, screws, seals, tolerance
from rillwright.physics.tolerance import Dimension

REFUSED: list[tuple[Callable[[], object], str]] = [
    (lambda: seals.ring_line(27, 28, 2), "does not go into a groove 1 mm wide"),
    (lambda: cord_load.gent_modulus(98), "20 to 95"),
    (lambda: cord_load.lindley_load(5, 2, 0.7), "0 to 0.6"),
    (lambda: screws.bearing_area(4, 4.5), "does not bear"),
    (lambda: screws.wedge_force(100, 180), "between 0 and 180"),
    (lambda: glass.tube_pressure(60, 30), "leaves no bore"),
    (lambda: leak.decay_rate(0.5, 1, 0), "duration must be above 0"),
    (lambda: leak.rate_uncertainty(0, 0, 1, 1, 0, 1, 0), "drop is 0"),
    (lambda: Dimension("cord", 2, -0.1, 0.1), "cord: the tolerance must be 0 or more"),
    (lambda: monte_carlo.draw([Dimension("a", 1, 1, 1)], 1000), "at least 100000"),
    (lambda: tolerance.worst_case(len, [Dimension(f"d{i}", 1, 1, 1) for i in range(17)]), "too many corners"),
]


@pytest.mark.parametrize(("call", "words"), REFUSED)
def test_refuses(call: Callable[[], object], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        call()
