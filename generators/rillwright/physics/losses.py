"""Local losses K, dimensionless, of total pressure over ρ V²/2 of the velocity that each function names.

Angles in radians. A ratio of areas stands for the square of a ratio of diameters where a section is not round.
"""

from __future__ import annotations

import bisect
import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from ..standards._table import table
from ._guard import non_negative, positive

Kind = Literal["mitre", "bend", "tee", "entrance", "exit", "expansion", "contraction"]
Band = Literal["low", "nominal", "high"]
RIGHT = math.pi / 2


@dataclass(frozen=True, slots=True)
class Spread:
    """Factor on a formula's K, and the share that grows as the Reynolds number falls."""

    factor: float
    one: float


@lru_cache(maxsize=64)
def spread(kind: Kind, band: Band) -> Spread:
    """How a kind of loss is read at one side of its band. Source: the table `local_losses`."""
    row = table("local_losses").find("kind", kind)
    end = "" if band == "nominal" else f"_{band}"
    return Spread(row.number(f"inf{end}"), row.number(f"one{end}"))


def read(kind: Kind, band: Band, base: float, reynolds: float, share: float = 1.0) -> float:
    """K of one loss: factor · base + share · K_one / Re. `share` is the angle over 90° for what turns."""
    s = spread(kind, band)
    return s.factor * base + share * s.one / max(reynolds, 1.0)


def mitre(angle: float) -> float:
    """Sharp elbow of round bores, on the velocity in them: 0.42 sin(α/2) + 2.56 sin³(α/2).

    Source: D. C. Rennels, H. M. Hudson, Pipe Flow, 2012, chapter 15. angle: turn of the flow, 0 to π.
    """
    non_negative(angle=angle)
    s = math.sin(min(angle, math.pi) / 2)
    return float(0.42 * s + 2.56 * s**3)


def bend(angle: float, radius_over_diameter: float, friction: float) -> float:
    """Rounded bend, its friction along the middle line left out, on the velocity in it.

    Source: D. C. Rennels, H. M. Hudson, Pipe Flow, 2012, chapter 15, less the term f α r/d, which the leg's length
    carries. friction: factor after Darcy. Raises ValueError.
    """
    positive(radius_over_diameter=radius_over_diameter)
    non_negative(angle=angle, friction=friction)
    s = math.sin(min(angle, math.pi) / 2)
    tight: float = 6.6 * friction * (math.sqrt(s) + s) / radius_over_diameter ** (4 * angle / math.pi)
    return (0.10 + 2.4 * friction) * s + tight


def expansion(area_ratio: float) -> float:
    """Sudden widening, on the velocity before it: (1 − A1/A2)². Source: Borda and Carnot. area_ratio: A1/A2, to 1."""
    non_negative(area_ratio=area_ratio)
    return (1 - min(area_ratio, 1.0)) ** 2


def contraction(area_ratio: float) -> float:
    """Sudden narrowing, on the velocity after it: 0.5 (1 − A2/A1). Source: common handbook form. area_ratio: A2/A1."""
    non_negative(area_ratio=area_ratio)
    return 0.5 * (1 - min(area_ratio, 1.0))


ENTRANCE = 0.5  # sharp, from a space without velocity; handbooks
EXIT = 1.0  # into a space without velocity; 2 in laminar flow, which the band's upper side takes


def tee_converging_branch(share: float, area_ratio: float, angle: float = RIGHT) -> float:
    """From a branch into the combined flow, on the combined velocity; may be negative.

    Source: Crane TP-410, 2009, equation 2-35, as the package fluids gives it. share: branch over combined flow.
    area_ratio: branch over run. angle: between branch and run.
    """
    # As published but for shares of 0.39 to 0.4, where that steps by 2 %.
    c = 1.0 if area_ratio <= 0.35 else max(0.9 * (1 - share), 0.55)
    f = _between(((30, 1.74), (45, 1.41), (60, 1.0), (90, 0.0)), math.degrees(angle))
    return c * (1 + (share / area_ratio) ** 2 - 2 * (1 - share) ** 2 - f / area_ratio * share**2)


def tee_converging_run(share: float) -> float:
    """Along the run as a 90° branch joins, on the combined velocity. Source: Crane TP-410, 2009. share: see above."""
    return 1.55 * share - share**2


def tee_diverging_branch(share: float, area_ratio: float, angle: float = RIGHT) -> float:
    """From the combined flow into a branch, on the combined velocity. Source: Crane TP-410, 2009. See above."""
    beta = math.sqrt(area_ratio)
    h, j = (1.0, 2.0) if math.degrees(angle) < 60 or beta <= 2 / 3 else (0.3, 0.0)
    g = 1.0 if area_ratio <= 2 / 3 else 1 + 0.3 * share**2
    if math.degrees(angle) < 75:
        # Published: changes at 0.4 with a step of 4 %, and at 0.6 with one of 6 %, on which no flow would settle.
        g = max(1.1 - 0.7 * share, 0.85) if area_ratio <= 0.35 else max(1.0 - 0.6 * share, 0.6)
    ratio = share / area_ratio
    return g * (1 + h * ratio**2 - j * ratio * math.cos(angle))


def tee_diverging_run(share: float, area_ratio: float) -> float:
    """Along the run as a branch leaves, on the combined velocity; may be negative. Source: Crane TP-410, 2009."""
    m = 0.4 if area_ratio <= 0.4 else (2 if share <= 0.5 else 0.3) * (2 * share - 1)
    return float(m * share**2)


def _between(points: tuple[tuple[float, float], ...], x: float) -> float:
    """Straight between the points, the end values outside them."""
    xs = [p[0] for p in points]
    i = bisect.bisect_left(xs, x)
    if i == 0:
        return points[0][1]
    if i == len(xs):
        return points[-1][1]
    (x0, y0), (x1, y1) = points[i - 1], points[i]
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
