"""Forces that part the plates at each tube, and what holds them. Forces in N, stresses in MPa, lengths in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ...layout.clamp import Hold, hold, tube_pressure
from ...layout.features import PlateLayout
from ...layout.job_layout import JobLayout
from ...layout.seal import TubeSeal
from ...physics import cord_load, glass
from .seal_chain import Analysis, in_use
from .seals import analysed

SHARING = 1.25  # the most loaded screw over the mean; our choice, no source
MOST_SQUEEZE = 0.6  # end of Lindley's curve


@dataclass(frozen=True, slots=True)
class Clamp:
    """One tube: its loads, and both plates' screws."""

    seal: TubeSeal
    screws: int
    cord: float  # whole ring by formula
    cord_upper: float  # whole ring by the published upper band
    end_load: float  # of the coolant's pressure up to the cord's line
    tube_pressure: float  # that the tube's wall stands
    holds: tuple[Hold, ...]

    @property
    def per_screw(self) -> float:
        return SHARING * (self.cord + self.end_load) / self.screws

    @property
    def per_screw_upper(self) -> float:
        return SHARING * (self.cord_upper + self.end_load) / self.screws


def clamps(layout: JobLayout) -> list[Clamp]:
    """Every tube that struts hold."""
    plates = {p.name: p for p in layout.plates}
    return [_clamp(s, a, [plates[n] for n in s.plates]) for s, a in analysed(layout)]


def _clamp(s: TubeSeal, a: Analysis, plates: list[PlateLayout]) -> Clamp:
    squeeze = min(MOST_SQUEEZE, max(0.0, *(c.squeeze.nominal for c in in_use(a))))
    ring, cord = math.tau * s.line_radius, s.nominal("cord")
    holds, count = [], 0
    for p in plates:
        found = [f for f in p.features if f.role == "strut-screw" and f.name.startswith(f"{s.reservoir}.strut-")]
        count = len(found)
        holds.append(hold(s, p, found[0]))
    return Clamp(
        s, count, ring * cord_load.lindley_load(cord_load.gent_modulus(s.hardness), cord, squeeze),
        ring * cord_load.upper_load(s.hardness, cord, squeeze), glass.end_load(s.pressure, 2 * s.line_radius),
        tube_pressure(s), tuple(holds),
    )  # fmt: skip
