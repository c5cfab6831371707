"""Pressure-decay test of a loop: what to set up, and what the readings say.

Gauge pressures in bar and volumes in mL, as a bench has them; leak rates in mL/min of air at 1013.25 hPa.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from ...physics import leak

Verdict = Literal["tight", "leaks", "undecided"]
LEAK_LIMIT = 0.1  # mL/min; no general acceptance limit was found: our choice
TEST_PRESSURE = 0.3  # bar; our choice, well under the advice below
HIGHEST = 0.5  # bar, for brittle plastic and glass: our choice, set to the published trade advice for air, 50 kPa
GAUGE = 0.001  # bar, resolution of a common digital manometer; common practice, no source
LEAST_CHANGE = 0.1  # of the start pressure: ASTM E2930 wants a leak at the limit to move it by less
STANDARD_HPA = 1013.25  # ISO 2533
CELSIUS = 20.0  # °C, where no thermometer was read: our choice
# ± of one reading. Those of a reading that was not taken allow for what may have changed unseen; all our choice.
THERMOMETER, BAROMETER, CLOCK = 0.5, 0.5, 5.0  # K, hPa, s
UNREAD_THERMOMETER, UNREAD_BAROMETER = 2.0, 3.0  # K, hPa
VOLUME_SHARE = 0.05  # ± share of the volume; our choice
COVERAGE = 2.0  # expanded uncertainty, about 95 %: ISO/IEC Guide 98-3, 6.3

CAUTIONS = (
    "Take every electronic part out, or leave it unpowered and dry, until the loop is proved.",
    "Keep people clear of the loop while it is under pressure, and wear eye protection.",
    "Prove it with water first: air stores energy and breaks brittle plastic and glass into flying pieces.",
    "Never go above the stated pressure: put a regulator and a relief valve in the line.",
    "Keep vapour and drops of cyanoacrylate, thread sealant and solvent off acrylic: they craze it under load.",
    "Let the air come to the temperature of the room before the first reading; touch nothing between the readings.",
)


@dataclass(frozen=True, slots=True)
class TestPlan:
    """How to test one loop. Pressures in bar gauge, volume in mL, limit in mL/min, energies in J."""

    loop: str
    volume: float
    pressure: float
    highest: float
    limit: float
    gauge: float
    minutes: float  # until a leak at the limit has moved the gauge by ten times its resolution
    drift: float  # bar that the gauge moves for 1 °C
    energy: tuple[float, float]  # set free by a burst: isentropic, and the larger figure
    water: float  # the same, were it filled with water
    coarse: bool  # ten resolutions of the gauge are 10 % of the test pressure or more

    @property
    def water_words(self) -> str:
        """Energy that water would store, in words: mostly too little to count."""
        return "less than 0.001 J" if self.water < 0.001 else f"{self.water:.3f} J"


@dataclass(frozen=True, slots=True)
class Readings:
    """What was read. Gauge pressures and resolution in bar, °C, hPa; None where nothing was read."""

    start: float
    end: float
    minutes: float
    celsius: tuple[float, float] | None = None
    barometer: tuple[float, float] | None = None
    gauge: float = GAUGE


@dataclass(frozen=True, slots=True)
class LeakAnswer:
    """What the readings say; rate and its expanded uncertainty (k = 2) in mL/min, drops in bar."""

    rate: float
    uncertainty: float
    limit: float
    drop: float  # as the gauge had it
    corrected: float  # what neither temperature nor weather explains
    verdict: Verdict
    why: str


def highest_pressure(stated: float) -> float:
    """Highest gauge pressure of a test with air, bar: that of the job (`coolant.pressure`), and never above ours."""
    return min(stated, HIGHEST)


def plan_test(
    loop: str, volume: float, stated: float, *, gauge: float = GAUGE, limit: float = LEAK_LIMIT
) -> TestPlan:
    """Plan the test of one loop.

    Source: ASTM E2930 for the duration and the largest change; see the constants for what is our choice.

    volume: mL. stated: the job's highest gauge pressure, bar. gauge: resolution, bar. limit: mL/min.
    Raises ValueError for a number that cannot be.
    """
    highest = highest_pressure(stated)
    if not highest > 0:
        raise ValueError(f"coolant.pressure is {stated:g} bar: a test needs a pressure above 0; raise it in the file")
    pressure = min(TEST_PRESSURE, highest)
    seconds = leak.duration_for(volume / 1000, limit, 100 * gauge)
    drift = leak.temperature_drift(100 * pressure + leak.ATMOSPHERE, _kelvin(CELSIUS), 1.0) / 100
    energy = leak.stored_energy_gas(volume / 1000, 100 * pressure)
    water = leak.stored_energy_water(volume / 1000, 100 * pressure)
    coarse = leak.RESOLUTION_FACTOR * gauge > LEAST_CHANGE * pressure * (1 + 1e-9)
    return TestPlan(loop, volume, pressure, highest, limit, gauge, seconds / 60, drift, energy, water, coarse)


def answer(r: Readings, volume: float, limit: float = LEAK_LIMIT) -> LeakAnswer:
    """Leak rate by the readings, corrected for temperature and barometer, with its uncertainty and the verdict.

    Source: ASTM E2930, ISO/IEC Guide 98-3. volume: mL. limit: mL/min. Raises ValueError for readings that cannot be.
    """
    _possible(r)
    kelvin = tuple(_kelvin(c) for c in r.celsius or (CELSIUS, CELSIUS))
    weather = tuple(h / 10 for h in r.barometer or (STANDARD_HPA, STANDARD_HPA))
    drop = leak.corrected_drop(100 * r.start, 100 * r.end, *kelvin, *weather)
    thermometer = THERMOMETER if r.celsius else UNREAD_THERMOMETER
    hpa = BAROMETER if r.barometer else UNREAD_BAROMETER
    drop_u = leak.drop_uncertainty(100 * r.start + weather[0], kelvin[0], 100 * r.gauge, thermometer, hpa / 10)
    seconds, litres = 60 * r.minutes, volume / 1000
    rate = leak.decay_rate(litres, drop, seconds)
    if drop == 0:
        once = leak.decay_rate(litres, drop_u, seconds)
    else:
        volume_u, clock_u = VOLUME_SHARE * litres / math.sqrt(3), CLOCK / math.sqrt(3)
        once = leak.rate_uncertainty(rate, drop, drop_u, litres, volume_u, seconds, clock_u)
    verdict, why = _judge(rate, COVERAGE * once, limit, r)
    return LeakAnswer(rate, COVERAGE * once, limit, r.start - r.end, drop / 100, verdict, why)


def _judge(rate: float, wide: float, limit: float, r: Readings) -> tuple[Verdict, str]:
    if rate - wide > limit:
        return "leaks", f"even the least that the readings allow, {rate - wide:.3g} mL/min, is above the limit"
    if rate < -wide:
        return "undecided", (
            "the pressure rose by more than the readings' uncertainty: read temperature and barometer anew "
            "(--start-temperature, --end-temperature, --start-barometer, --end-barometer)"
        )
    if rate + wide <= limit:
        return "tight", f"even the most that the readings allow, {rate + wide:.3g} mL/min, is within the limit"
    given = (("both temperatures", "temperature", r.celsius), ("the barometer", "barometer", r.barometer))
    unread = [(word, f"--start-{option}, --end-{option}") for word, option, read in given if read is None]
    words, options = (joint.join(u[i] for u in unread) for i, joint in enumerate((" and ", ", ")))
    do = f"read {words} as well ({options}), or " if unread else ""
    return "undecided", f"the limit lies within the uncertainty: {do}wait longer, or take a finer gauge"


def _possible(r: Readings) -> None:
    if not r.start > 0:
        raise ValueError(f"the start pressure must be above 0 bar gauge (got {r.start:g})")
    if r.end < 0:
        raise ValueError(f"the end pressure must be 0 bar gauge or more (got {r.end:g})")
    if not r.gauge > 0:
        raise ValueError(f"the gauge's resolution must be above 0 bar (got {r.gauge:g})")
    for hpa in r.barometer or ():
        if not 800 <= hpa <= 1100:
            raise ValueError(f"a barometer reads from 800 to 1100 hPa, as it stands where the test is (got {hpa:g})")
    for celsius in r.celsius or ():
        if not -20 <= celsius <= 100:
            raise ValueError(f"a temperature must be from -20 to 100 °C (got {celsius:g})")


def _kelvin(celsius: float) -> float:
    return celsius + 273.15
