"""Forces on the strut screws of a tube, and what each plate bears. Forces in N, stresses in MPa, lengths in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ...layout.features import Feature, JobLayout, PlateLayout
from ...layout.seal import REFERENCE, TubeSeal
from ...physics import cord_load, glass, screws
from ...spec.job import Limits
from ...standards import materials, threads
from ...standards import screws as heads
from .seal_chain import Analysis
from .seals import analysed

SHARING = 1.25  # the most loaded screw over the mean; our choice, no source
FRICTION = 0.14  # dry, thread and head; VDI 2230 class B, from memory
SCREW = "stainless-a2-70"  # weakest of the usual classes; our choice
SETTLES = {"plastic": 0.5}  # share of the preload left after days; our choice, no source
SETTLES_METAL = 0.9  # our choice, no source
SHORT_SHARE = 0.25  # of the strength, where no sustained stress is known; our choice, no source
MOST_SQUEEZE = 0.6  # end of Lindley's curve
CONE = 0.577  # tan 30°: the plate works along with a cone under the head, VDI 2230


@dataclass(frozen=True, slots=True)
class Hold:
    """What one plate's screws bear, each."""

    plate: str
    material: str
    thread: str
    head: str
    area: float  # under the head, by the smallest head that the standard allows, mm²
    hole: float  # diameter
    bearable: float  # pressure
    screw_preload: float  # what the screw itself bears at 90 % of yield
    settles: float  # share of the preload left
    stiffness: float  # of screw and plate in series, N/mm
    warm: float  # change of preload hottest
    cold: float  # change of preload coldest
    engagement: float
    strips_at: float  # engagement at which the screw's preload would strip the strut

    @property
    def preload(self) -> float:
        """Allowed preload: what plate and screw both bear."""
        return min(self.screw_preload, self.bearable * self.area)

    @property
    def settled(self) -> float:
        return self.preload * self.settles

    @property
    def torque(self) -> float:
        """For the allowed preload under a 90° head, N·m."""
        t = threads.metric(self.thread)
        mean = (math.sqrt(4 * self.area / math.pi + self.hole**2) + self.hole) / 2
        return screws.torque(self.preload, t.pitch, t.pitch_diameter, FRICTION, mean, FRICTION, 90)

    @property
    def likeness(self) -> tuple[object, ...]:
        """Screws of one likeness have one answer."""
        return (self.material, self.thread, self.head, round(self.settled, 3), round(self.stiffness, 1))

    def head_for(self, force: float) -> float:
        """Outer diameter of the washer that would bear a force, mm."""
        return math.sqrt(self.hole**2 + 4 * force / (math.pi * self.bearable))

    def give(self, load: float) -> float:
        """How far a plate lifts off its struts once the load exceeds the settled preload, mm."""
        return max(0.0, load - self.settled) / self.stiffness


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


def clamps(layout: JobLayout, limits: Limits) -> list[Clamp]:
    """Every tube that struts hold."""
    plates = {p.name: p for p in layout.plates}
    return [_clamp(s, a, [plates[n] for n in s.plates]) for s, a in analysed(layout, limits)]


def _clamp(s: TubeSeal, a: Analysis, plates: list[PlateLayout]) -> Clamp:
    squeeze = min(MOST_SQUEEZE, max(0.0, *(c.squeeze.nominal for c in a.conditions)))
    ring, cord = math.tau * s.line_radius, s.nominal("cord")
    holds, count = [], 0
    for p in plates:
        found = [f for f in p.features if f.role == "strut-screw" and f.name.startswith(f"{s.reservoir}.strut-")]
        count = len(found)
        holds.append(_hold(s, p, found[0]))
    return Clamp(
        s, count, ring * cord_load.lindley_load(cord_load.gent_modulus(s.hardness), cord, squeeze),
        ring * cord_load.upper_load(s.hardness, cord, squeeze), glass.end_load(s.pressure, 2 * s.line_radius),
        glass.tube_pressure(s.tube_outside, s.tube_wall, materials.material(s.tube_material).known("sustained")),
        tuple(holds),
    )  # fmt: skip


def bearable(name: str) -> float:
    """Pressure (MPa) that a plate bears under a head for years: sustained stress, else proof, else a share of strength."""
    m = materials.material(name)
    return m.sustained or m.proof or SHORT_SHARE * m.known("strength")


def _hold(s: TubeSeal, p: PlateLayout, f: Feature) -> Hold:
    t, plate, screw = threads.metric(f.thread), materials.material(p.material), materials.material(SCREW)
    hole, smallest = 2 * f.facts["hole_radius"], heads.countersunk(f.thread, standard=f.head).head_diameter_actual_min
    own = screws.preload(screw.known("proof"), t.pitch_diameter, t.core_diameter, t.pitch, FRICTION)
    grip = f.facts["end"] - f.facts["counterbore"] - f.facts["below"]
    cone = screws.bearing_area(smallest + grip / 2 * CONE, hole)
    stiff = 1 / (grip / (1000 * screw.modulus * t.stress_area) + grip / (1000 * plate.modulus * cone))
    mismatch = (plate.expansion - screw.expansion) * 1e-6
    warm, cold = (
        screws.thermal_change(
            grip, t.stress_area, 1000 * screw.modulus, cone, 1000 * plate.modulus, mismatch, c - REFERENCE
        )
        for _, c in s.temperatures[1:]
    )
    shear = 0.6 * materials.material(s.strut_material).known("strength")
    return Hold(
        p.name, p.material, f.thread, f.head, screws.bearing_area(smallest, hole), hole, bearable(p.material), own,
        SETTLES.get(plate.family, SETTLES_METAL), stiff, warm, cold, f.facts["engagement"],
        screws.stripping_engagement(own, shear, t.diameter, t.pitch_diameter, t.pitch),
    )  # fmt: skip
