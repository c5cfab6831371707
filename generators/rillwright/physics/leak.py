"""Pressure-decay leak test. Pressures in kPa absolute unless said, volumes in L, times in s, temperatures in K."""

from __future__ import annotations

import math

from ._guard import non_negative, positive

ATMOSPHERE = 101.325  # kPa
GAS_CONSTANT = 8.314462618  # J/(mol K)
AIR_RATIO = 1.4  # cp/cv
WATER_BULK = 2.2e6  # kPa, bulk modulus at room temperature, from memory
RESOLUTION_FACTOR = 10  # ASTM E2930: the limit is ten times the gauge's resolution


def decay_rate(volume: float, drop: float, duration: float, atmosphere: float = ATMOSPHERE) -> float:
    """Leak rate as gas at atmospheric pressure, V Δp/(t p_atm), mL/min.

    Source: pressure-decay method, ASTM E2930.

    volume: L. drop: Δp, kPa. duration: s. atmosphere: kPa. Raises ValueError.
    """
    positive(volume=volume, duration=duration, atmosphere=atmosphere)
    return volume * 1000 * drop / atmosphere / (duration / 60)


def corrected_drop(start: float, end: float, start_kelvin: float, end_kelvin: float,
                   start_barometer: float, end_barometer: float) -> float:
    """Drop of pressure that is not due to temperature or weather, kPa: p1 − p2 T1/T2 in absolute pressures.

    Source: law of Gay-Lussac; a gauge reads against the barometer of the moment.

    start, end: gauge pressures, kPa. Temperatures in K, barometers in kPa absolute. Raises ValueError.
    """
    positive(start_kelvin=start_kelvin, end_kelvin=end_kelvin, start_barometer=start_barometer,
             end_barometer=end_barometer)  # fmt: skip
    return (start + start_barometer) - (end + end_barometer) * start_kelvin / end_kelvin


def temperature_drift(pressure: float, kelvin: float, difference: float) -> float:
    """Change of pressure with temperature in a tight volume, p ΔT/T, kPa.

    Source: law of Gay-Lussac.

    pressure: absolute, kPa. kelvin: T, K. difference: ΔT, K. Raises ValueError.
    """
    positive(pressure=pressure, kelvin=kelvin)
    return pressure * difference / kelvin


def drop_uncertainty(pressure: float, kelvin: float, gauge: float, thermometer: float, barometer: float) -> float:
    """Standard uncertainty of a corrected drop, kPa.

    Source: ISO/IEC Guide 98-3; each reading is taken twice and scatters evenly over ± its resolution (over √3).

    pressure: absolute, kPa. kelvin: T, K. gauge, barometer: ± of a reading, kPa. thermometer: ±, K. Raises ValueError.
    """
    positive(pressure=pressure, kelvin=kelvin)
    non_negative(gauge=gauge, thermometer=thermometer, barometer=barometer)
    once = gauge**2 + barometer**2 + (pressure * thermometer / kelvin) ** 2
    return math.sqrt(2 * once / 3)


def rate_uncertainty(rate: float, drop: float, drop_u: float, volume: float, volume_u: float, duration: float,
                     duration_u: float) -> float:
    """Standard uncertainty of a leak rate, in its unit.

    Source: ISO/IEC Guide 98-3, product of independent quantities; the part of the drop is taken absolutely.

    drop, drop_u: kPa. volume, volume_u: L. duration, duration_u: s. A drop of nought needs `decay_rate` of drop_u.
    Raises ValueError.
    """
    positive(volume=volume, duration=duration)
    non_negative(drop_u=drop_u, volume_u=volume_u, duration_u=duration_u)
    if drop == 0:
        raise ValueError("drop is 0: the uncertainty is decay_rate(volume, drop_u, duration)")
    return abs(rate) * math.hypot(drop_u / drop, volume_u / volume, duration_u / duration)


def duration_for(volume: float, limit: float, resolution: float, atmosphere: float = ATMOSPHERE) -> float:
    """Time after which a leak at the limit has moved the gauge by ten times its resolution, s.

    Source: ASTM E2930, resolution ten times finer than the limit.

    volume: L. limit: mL/min at atmospheric pressure. resolution: kPa. atmosphere: kPa. Raises ValueError.
    """
    positive(volume=volume, limit=limit, resolution=resolution, atmosphere=atmosphere)
    return 60 * RESOLUTION_FACTOR * resolution * volume * 1000 / (limit * atmosphere)


def stored_energy_gas(volume: float, pressure: float, atmosphere: float = ATMOSPHERE) -> tuple[float, float]:
    """Energy set free by bursting, J: isentropic expansion, and the larger figure of heating at constant volume.

    Source: Baker (isentropic) p1 V/(γ − 1) [1 − (p0/p1)^((γ−1)/γ)]; Brode (p1 − p0) V/(γ − 1).

    volume: L. pressure: gauge, kPa. atmosphere: kPa. Raises ValueError.
    """
    positive(volume=volume, atmosphere=atmosphere)
    non_negative(pressure=pressure)
    top = pressure + atmosphere
    power = (AIR_RATIO - 1) / AIR_RATIO
    least = top * volume / (AIR_RATIO - 1) * (1 - (atmosphere / top) ** power)
    return least, pressure * volume / (AIR_RATIO - 1)


def stored_energy_water(volume: float, pressure: float, bulk: float = WATER_BULK) -> float:
    """Energy stored in compressed water, p² V/(2 K), J; the walls' own give is not counted.

    Source: elastic energy of a liquid.

    volume: L. pressure: gauge, kPa. bulk: modulus, kPa (the default is from memory). Raises ValueError.
    """
    positive(volume=volume, bulk=bulk)
    non_negative(pressure=pressure)
    return pressure**2 * volume / (2 * bulk)
