"""The tube between two plates that struts hold apart: the gap left for each cord. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass

from .expansion import grown, growth


@dataclass(frozen=True, slots=True)
class Expansions:
    """Coefficients of linear expansion of what makes up a stack, 1/K."""

    strut: float
    upper_plate: float
    lower_plate: float
    tube: float
    cord: float


RIGID = Expansions(0.0, 0.0, 0.0, 0.0, 0.0)


def floors_apart(strut: float, upper_floor: float, upper_seat: float, lower_floor: float, lower_seat: float) -> float:
    """Distance between the two channel floors, H = L_s + Σ(c − s), mm.

    Source: geometry of the stack.

    strut: length L_s, mm. upper_floor, lower_floor: channel depths c, mm. upper_seat, lower_seat: seat depths s, mm.
    Works on arrays as well.
    """
    return strut + (upper_floor - upper_seat) + (lower_floor - lower_seat)


def gap(
    strut: float, upper_floor: float, upper_seat: float, lower_floor: float, lower_seat: float, tube: float
) -> float:
    """Height left for the cord at each end of the tube, g = (H − L_g)/2, mm.

    Source: geometry of the stack; both cords alike, so that the tube stands half-way.

    Arguments as for `floors_apart`; tube: length L_g, mm. Returns mm, negative where the tube is too long.
    Works on arrays as well.
    """
    return (floors_apart(strut, upper_floor, upper_seat, lower_floor, lower_seat) - tube) / 2


def gap_at(
    strut: float, upper_floor: float, upper_seat: float, lower_floor: float, lower_seat: float, tube: float,
    expansions: Expansions, difference: float,
) -> float:  # fmt: skip
    """Height left for each cord after a change of temperature, mm.

    Source: g(ΔT) = [H + (α_strut L_s + Σ α_plate (c − s)) ΔT − L_g (1 + α_glass ΔT)]/2, free expansion of each part.

    Lengths as for `gap`, at the reference temperature, mm; difference: ΔT, K. Works on arrays as well.
    """
    high = floors_apart(strut, upper_floor, upper_seat, lower_floor, lower_seat)
    high = high + growth(strut, expansions.strut, difference)
    high = high + growth(upper_floor - upper_seat, expansions.upper_plate, difference)
    high = high + growth(lower_floor - lower_seat, expansions.lower_plate, difference)
    return (high - grown(tube, expansions.tube, difference)) / 2


def cord_at(cord: float, expansions: Expansions, difference: float) -> float:
    """Free diameter of the cord after a change of temperature, d (1 + α_r ΔT), mm.

    Source: definition of the coefficient; a cord between hard walls swells sideways, so this is an estimate.

    cord: mm. difference: ΔT, K. Works on arrays as well.
    """
    return grown(cord, expansions.cord, difference)
