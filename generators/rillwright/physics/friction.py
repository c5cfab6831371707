"""Friction in straight passages: factors after Darcy, dimensionless. Lengths in any one unit unless said."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from ._guard import non_negative, positive

ROUND = 64.0  # f Re of laminar flow in a round bore, Hagen-Poiseuille
_TERMS = 41  # odd terms of the duct's series: the next one is below 1e-8 of the sum


@dataclass(frozen=True, slots=True)
class Section:
    """Cross-section of a passage, m and m²."""

    area: float
    hydraulic: float  # hydraulic diameter, 4 A over the wetted perimeter, m
    laminar: float = ROUND  # f Re of laminar flow

    @property
    def effective(self) -> float:
        """Diameter that Reynolds number and roughness are formed with, D_h · 64/(f Re), m; equal to D_h if round.

        Source: F. M. White, Fluid Mechanics, section 6.8, after O. C. Jones 1976.
        """
        return self.hydraulic * ROUND / self.laminar


def round_bore(diameter: float) -> Section:
    """A round bore. diameter: m. Raises ValueError."""
    positive(diameter=diameter)
    return Section(math.pi * diameter**2 / 4, diameter)


def rectangular(width: float, depth: float) -> Section:
    """A rectangular channel. width, depth: m. Raises ValueError."""
    positive(width=width, depth=depth)
    low, high = sorted((width, depth))
    return Section(width * depth, 2 * width * depth / (width + depth), laminar_rectangle(low / high))


@lru_cache(maxsize=256)
def laminar_rectangle(ratio: float) -> float:
    """f Re of laminar flow in a rectangle, on its hydraulic diameter. ratio: short over long side, 0 to 1.

    Source: exact series, φ = 1 − (192 α/π⁵) Σ_odd tanh(n π/2 α)/n⁵, f Re = 6 D_h²/(b² φ), b the half short side;
    agrees with F. M. White, Fluid Mechanics, table 6.4. Raises ValueError.
    """
    positive(ratio=ratio)
    if ratio > 1:
        raise ValueError(f"ratio must be short side over long side, 1 at most (got {ratio:g})")
    terms = (math.tanh(n * math.pi / (2 * ratio)) / n**5 for n in range(1, 2 * _TERMS, 2))
    phi = 1 - 192 * ratio / math.pi**5 * math.fsum(terms)
    hydraulic_over_half = 4 / (1 + ratio)  # D_h / b with short side 2 b, long side 2 b / ratio
    return 6 * hydraulic_over_half**2 / phi


def churchill(reynolds: float, roughness: float) -> float:
    """Friction factor after Darcy for any flow, laminar to turbulent, smooth across the change.

    Source: S. W. Churchill, Chemical Engineering 84 (1977) 91. reynolds: above 0. roughness: relative, ε/D.
    """
    positive(reynolds=reynolds)
    non_negative(roughness=roughness)
    if reynolds < 1:  # the other terms have no weight left there, and their powers would overflow
        return ROUND / reynolds
    a = (2.457 * math.log(1 / ((7 / reynolds) ** 0.9 + 0.27 * roughness))) ** 16
    b = (37530 / reynolds) ** 16
    return float(8 * ((8 / reynolds) ** 12 + (a + b) ** -1.5) ** (1 / 12))


def factor(section: Section, velocity: float, kinematic: float, roughness: float) -> float:
    """Friction factor of a section, to be used with L/D_h. velocity: m/s, above 0. kinematic: m²/s. roughness: ε, m."""
    effective = section.effective
    return churchill(velocity * effective / kinematic, roughness / effective)
