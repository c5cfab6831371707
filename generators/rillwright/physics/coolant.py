"""Properties of water and of water with glycol. Temperatures °C, density kg/m³, viscosity Pa·s, heat J/(kg·K).

The glycol polynomials come from the package SecondaryCoolantProps (after Å. Melinder, Properties of Secondary Working
Fluids for Indirect Systems, IIR 2010), the water ones too.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

from ._guard import non_negative, positive

Mix = Literal["water", "propylene glycol", "ethylene glycol"]
# Density of the pure glycols at 20 °C, kg/m³, from memory: they turn a share by volume into one by mass, where an
# error of 1 % moves the share by less than 0.2 points.
GLYCOL_DENSITY = {"propylene glycol": 1036.0, "ethylene glycol": 1113.0}
WATER_DENSITY = 998.2
HIGHEST_MASS = 60.0  # per cent: where the polynomials end


@dataclass(frozen=True, slots=True)
class Fluid:
    """What flows, at one temperature."""

    density: float  # kg/m³
    viscosity: float  # dynamic, Pa·s
    heat: float | None = None  # specific, J/(kg·K)
    freezing: float | None = None  # °C

    @property
    def kinematic(self) -> float:
        """Kinematic viscosity, m²/s."""
        return self.viscosity / self.density


def mass_share(mix: Mix, by_volume: float) -> float:
    """Glycol by mass (per cent) of a mixture made of so much glycol by volume (per cent), both measured at 20 °C.

    Source: definition, w = φ ρ_g / (φ ρ_g + (1 − φ) ρ_w). Raises ValueError for a share outside 0 to 100.
    """
    non_negative(by_volume=by_volume)
    if by_volume > 100:
        raise ValueError(f"by_volume must be 100 at most (got {by_volume:g})")
    if mix == "water" or by_volume == 0:
        return 0.0
    glycol, water = by_volume * GLYCOL_DENSITY[mix], (100 - by_volume) * WATER_DENSITY
    return 100 * glycol / (glycol + water)


@lru_cache(maxsize=256)
def coolant(mix: Mix, by_mass: float, temperature: float) -> Fluid:
    """The fluid, by glycol share by mass (per cent) and temperature (°C).

    Source: SecondaryCoolantProps, see above. Raises ValueError outside 0 to 60 per cent, above 100 °C, or below the
    freezing point.
    """
    non_negative(by_mass=by_mass)
    if by_mass > HIGHEST_MASS:
        raise ValueError(f"glycol by mass must be {HIGHEST_MASS:g} % at most: published data ends there, got {by_mass:.1f}")
    if mix == "water" or by_mass == 0:
        from scp.water import Water

        return _read(Water(), 0.0, temperature)
    if mix == "propylene glycol":
        from scp.propylene_glycol import PropyleneGlycol

        made = PropyleneGlycol(by_mass / 100)
    else:
        from scp.ethylene_glycol import EthyleneGlycol

        made = EthyleneGlycol(by_mass / 100)
    return _read(made, made.freeze_point(by_mass / 100), temperature)


def _read(fluid: Any, freezing: float, temperature: float) -> Fluid:
    if not max(freezing, fluid.t_min) <= temperature <= fluid.t_max:
        low = max(freezing, fluid.t_min)
        raise ValueError(f"coolant temperature must lie between {low:.1f} (freezing) and 100 °C (got {temperature:g})")
    density, viscosity, heat = (float(f(temperature)) for f in (
        fluid.density, fluid.viscosity, fluid.specific_heat))
    return Fluid(density, viscosity, heat, float(freezing))


def given(density: float, viscosity: float, heat: float | None = None) -> Fluid:
    """A fluid that the user measured or has from its maker. density: kg/m³. viscosity: Pa·s. heat: J/(kg·K)."""
    positive(density=density, viscosity=viscosity)
    return Fluid(density, viscosity, heat)
