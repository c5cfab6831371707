"""What the strut screws of a tube bear in each plate. Forces in N, stresses in MPa, lengths in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import get_args

from ..physics import glass, screws
from ..spec.reservoir import MetricSize
from ..standards import materials, threads
from ..standards import screws as heads
from .features import Feature, PlateLayout
from .seal import TubeSeal
from .warmth import REFERENCE

FRICTION = 0.14  # dry, thread and head; VDI 2230 class B, from memory
SCREW = "stainless-a2-70"  # weakest of the usual classes; our choice
SETTLES = {"plastic": 0.5}  # share of the preload left after days; our choice, no source
SETTLES_METAL = 0.9  # our choice, no source
SHORT_SHARE = 0.25  # of the strength, where no sustained stress is known; our choice, no source
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
    pitch: float
    pitch_diameter: float
    cap_diameter: float  # of a cap screw's head of the same thread

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
        mean = (math.sqrt(4 * self.area / math.pi + self.hole**2) + self.hole) / 2
        return screws.torque(self.preload, self.pitch, self.pitch_diameter, FRICTION, mean, FRICTION, 90)

    @property
    def cap_preload(self) -> float:
        """Allowed preload of a cap screw instead."""
        return min(self.screw_preload, screws.bearing_preload(self.bearable, self.cap_diameter, self.hole))

    @property
    def cap_torque(self) -> float:
        """For the allowed preload of a cap screw, N·m."""
        mean = (self.cap_diameter + self.hole) / 2
        return screws.torque(self.cap_preload, self.pitch, self.pitch_diameter, FRICTION, mean, FRICTION)

    @property
    def likeness(self) -> tuple[object, ...]:
        """Screws of one likeness have one answer."""
        return (self.material, self.thread, self.head, round(self.settled, 3), round(self.stiffness, 1))

    def head_for(self, force: float) -> float:
        """Outer diameter of the washer that would bear a force, mm."""
        return math.sqrt(self.hole**2 + 4 * force / (math.pi * self.bearable))

    def larger(self, force: float) -> str | None:
        """The next thread whose screw and head, of the same standard, bear a force; None where there is none."""
        for t in get_args(MetricSize)[get_args(MetricSize).index(self.thread) + 1 :]:
            wide = heads.countersunk(t, standard=self.head).head_diameter_actual_min
            if screws.bearing_preload(self.bearable, wide, heads.clearance_hole(t)) >= force:
                return f"{self.head} {t}"
        return None

    def give(self, load: float) -> float:
        """How far a plate lifts off its struts once the load exceeds the settled preload, mm."""
        return max(0.0, load - self.settled) / self.stiffness


def tube_pressure(s: TubeSeal) -> float:
    """Pressure (MPa) that the tube's wall stands by the sustained stress of its material."""
    return glass.tube_pressure(s.tube_outside, s.tube_wall, materials.material(s.tube_material).known("sustained"))


def bearable(name: str) -> float:
    """Pressure (MPa) that a plate bears under a head for years: sustained stress, else proof, else a share of strength."""
    m = materials.material(name)
    return m.sustained or m.proof or SHORT_SHARE * m.known("strength")


def hold(s: TubeSeal, p: PlateLayout, f: Feature) -> Hold:
    """What the screws of one tube bear in one plate; `f` is any one of its strut screws."""
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
        screws.stripping_engagement(own, shear, t.diameter, t.pitch_diameter, t.pitch), t.pitch, t.pitch_diameter,
        heads.cap(f.thread).head_diameter_max,
    )  # fmt: skip
