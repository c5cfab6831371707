"""Glass tubes under pressure. Lengths in mm, pressures and stresses in MPa, forces in N."""

from __future__ import annotations

import math

from ._guard import non_negative, positive

ALLOWABLE = 7.0  # MPa, borosilicate 3.3, EN 1595


def tube_pressure(outside_diameter: float, wall: float, allowable: float = ALLOWABLE) -> float:
    """Highest inside pressure of a glass tube, 2 K s/(d − s), MPa: 140 s/(d − s) bar for K = 7 MPa.

    Source: EN 1595, pressure equipment of borosilicate glass 3.3.

    outside_diameter: d, wall: s, mm. allowable: K, MPa. Raises ValueError for a wall that leaves no bore.
    """
    positive(outside_diameter=outside_diameter, wall=wall, allowable=allowable)
    if 2 * wall >= outside_diameter:
        raise ValueError(f"a wall of {wall:g} mm leaves no bore in a tube of Ø{outside_diameter:g} mm")
    return 2 * allowable * wall / (outside_diameter - wall)


def end_pressure(force: float, outside_diameter: float, wall: float) -> float:
    """Mean pressure on the end face of a tube, F/(π s (d − s)), MPa.

    Source: definition; a cord presses on part of the face only.

    force: N. outside_diameter: d, wall: s, mm. Raises ValueError.
    """
    non_negative(force=force)
    positive(outside_diameter=outside_diameter, wall=wall, bore=outside_diameter - 2 * wall)
    return force / (math.pi * wall * (outside_diameter - wall))


def end_load(pressure: float, diameter: float) -> float:
    """Force with which the inside pressure parts the plates, p π D²/4, N.

    Source: definition.

    pressure: gauge, MPa. diameter: up to which the pressure reaches, mm. Raises ValueError.
    """
    non_negative(pressure=pressure)
    positive(diameter=diameter)
    return pressure * math.pi * diameter**2 / 4
