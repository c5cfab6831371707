"""Thread that each port and plug has for its fitting, and how long a fitting's shank may be. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from ...layout.features import Feature, PlateLayout
from ...layout.job_layout import JobLayout
from ...spec.job import Limits
from ...standards import materials, threads
from ..finding import Outcome
from ..report import Case, graded

TURNS = {"plastic": 5.0}  # full turns at least; common practice, no source
OTHER_TURNS = 3.0  # in metal; common practice, no source
METHOD = "profile of the bore, thickness of the stock"
BEHIND = 12.0  # mm behind a bore in which a channel may lie: what asks for a thicker sheet; our choice, no source
ABOUT = 0.05  # mm: lengths in words are rounded to a tenth


@dataclass(frozen=True, slots=True)
class PortThread:
    """One tapped hole as it is cut, mm along its axis."""

    plate: PlateLayout
    feature: Feature
    spotface: float
    bore: float  # end of its full diameter
    through: bool

    @property
    def _lead(self) -> float:
        return 0.0 if self.through else threads.TAP_LEAD * threads.pipe(self.feature.thread).pitch

    @property
    def end(self) -> float:
        """Where the full thread ends: as called out, and no nearer to the bore's floor than a tap comes."""
        return min(self.feature.facts["full_thread"], self.bore - self._lead)

    @property
    def length(self) -> float:
        """Full thread below the fitting's face."""
        return self.end - self.spotface

    @property
    def shank(self) -> str:
        """Words for the parts list: thread, and the longest shank that goes in."""
        return f"{self.feature.thread}, shank {math.floor(10 * self.length + 1e-6) / 10:g} mm at most"

    @property
    def standard(self) -> float:
        """Full thread of the standard's port."""
        return threads.port(self.feature.thread).full_thread

    def least(self, limits: Limits) -> float:
        """Full thread that has to be there, whatever the fitting."""
        family = materials.material(self.plate.material).family
        turns = TURNS.get(family, OTHER_TURNS)
        return limits.port_thread or min(self.standard, turns * threads.pipe(self.feature.thread).pitch)


def port_threads(layout: JobLayout) -> Iterator[PortThread]:
    """Every tapped port and plug."""
    for p in layout.plates:
        for f in p.features:
            if f.role in ("port", "plug") and f.thread:
                yield _read(p, f)


def _read(p: PlateLayout, f: Feature) -> PortThread:
    """Spotface and bore from the profile that is cut, not from what was asked."""
    radius = threads.pipe(f.thread).tap_drill / 2
    spot = max((z for r, z in f.profile if r > radius + 1e-6), default=0.0)
    bore = max(z for r, z in f.profile if r > radius - 1e-6)
    through = len(f.mouths) > 1
    return PortThread(p, f, max(spot, 0.0), min(bore, p.thickness) if through else bore, through)


def port_engagement(layout: JobLayout, limits: Limits) -> Outcome:
    """Full thread below each fitting's face: an error below the least, a warning below the standard's; a note where the
    bore is open behind, for there the standard's fitting goes in all the way."""
    every = list(port_threads(layout))
    open_ = {(t.plate.name, (t.feature.name,)) for t in every if t.through}
    found = graded("port.engagement", [_case(t, limits) for t in every], METHOD, bound="exact")
    told = (replace(f, severity="note") if f.severity == "warning" and (f.plate, f.features) in open_ else f
            for f in found.findings)  # fmt: skip
    return replace(found, findings=tuple(told))


def _case(t: PortThread, limits: Limits) -> tuple[Case, bool]:
    least, f = t.least(limits), t.feature
    bad = t.length < least - 1e-6
    turns = t.length / threads.pipe(f.thread).pitch
    said = "too little to hold a fitting" if bad else "less than the standard's port has"
    if not bad and not t.through:
        said += "; its fitting's shank does not go in all the way"
    what = f"{f.thread} has {max(t.length, 0):.1f} mm of full thread under the fitting, {max(turns, 0):.1f} turns: {said}"
    case = Case(t.plate.name, (f.name,), t.length, least if bad else t.standard, what, _remedy(t, least, bad),
                (f.origin,), (f.loop,) if f.loop else ())  # fmt: skip
    return case, bad


def _remedy(t: PortThread, least: float, bad: bool) -> str:
    """In figures: the stock, the spotface, or the fitting."""
    wanted = least if bad else t.standard
    lacks = wanted - t.length
    upright = t.feature.face in ("seal", "outer")
    if t.through or (upright and t.plate.thickness - t.bore < lacks + BEHIND):
        who = "cover" if t.plate.cover_of else "stock"
        do = [f"make the {who} {t.plate.thickness + lacks + ABOUT:.1f} mm thick or more"]
    else:
        do = [f"make the bore {t.bore + lacks + ABOUT:.1f} mm deep or more"]
    if t.spotface > 0 and lacks < t.spotface:
        do.append(f"a spotface of {max(0.0, t.spotface - lacks - ABOUT):.1f} mm")
    if not bad:
        longer = ", a longer one stands out behind" if t.through else ""
        do.append(f"take a fitting whose shank is {math.floor(10 * t.length + 1e-6) / 10:g} mm long at most{longer}")
    elif threads.pipe(t.feature.thread).pitch > threads.pipe("G1/8").pitch + 1e-6:
        do.append("take a smaller thread")
    return ", or ".join(do)
