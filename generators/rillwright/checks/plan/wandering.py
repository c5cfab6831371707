"""Where a drill is likely to wander: it starts on a slope, or breaks into another bore off its middle."""

from __future__ import annotations

import math

from ...layout.features import Feature, PlateLayout
from ...layout.geometry import axis_parameter, dot
from ...layout.operations import slope
from ...layout.setups import PlateSetups, cut_after
from ...spec.machine import Machine
from ..finding import Outcome
from ..report import Case, outcome
from .envelopes import apart

METHOD = "axes of the placed features"
Plans = list[tuple[PlateLayout, PlateSetups]]


def entry(plans: Plans, machine: Machine) -> Outcome:
    """Slope of the face under each drill, degrees."""
    cases = []
    for p, _ in plans:
        for f in p.features:
            if f.role == "drilling" and f.face in f.mouths:
                angle = slope(f, p)
                what = "the drill starts on a slope and slides off"
                remedy = f"mill a flat across its axis first, or tilt it {angle - machine.entry_angle:.0f}° less"
                cases.append(Case(p.name, (f.name,), angle, machine.entry_angle, what, remedy, (f.origin,),
                                  (f.loop or "",), True))  # fmt: skip
    return outcome("machining.entry", cases, METHOD, "warning")


def breakthrough(plans: Plans, machine: Machine) -> Outcome:
    """Slope of the bore's wall under each drill that breaks into one cut before it, degrees."""
    cases = []
    for p, setups in plans:
        wet = [f for f in p.features if f.role in ("drilling", "port", "plug")]
        for f in (f for f in wet if f.role == "drilling"):
            for other in wet:
                if other is f or _coaxial(f, other) or apart(f, other) > 0 or not cut_after(setups, f, other):
                    continue
                cases.append(_breaks_in(p, f, other, machine.breakthrough_angle))
    return outcome("machining.breakthrough", cases, METHOD, "warning", bound="estimate")


def _coaxial(a: Feature, b: Feature) -> bool:
    _, miss = axis_parameter(a.origin, a.axis, (b.origin, b.at(1.0)))
    return abs(dot(a.axis, b.axis)) > 1 - 1e-9 and miss < 1e-6


def _breaks_in(p: PlateLayout, f: Feature, other: Feature, limit: float) -> Case:
    along, offset = axis_parameter(f.origin, f.axis, (other.origin, other.at(max(other.depth, 1.0))))
    between = math.degrees(math.acos(min(1.0, abs(dot(f.axis, other.axis)))))
    angle = incidence(between, offset, bore_radius(other))
    what = f"it breaks into the other at {between:.0f}° between the axes, {offset:.2f} mm beside it, and wanders"
    remedy = _centred(offset, bore_radius(other), between, limit)
    return Case(p.name, (f.name, other.name), angle, limit, what, remedy, (f.at(along),), (f.loop or "",), True)


def _centred(offset: float, radius: float, between: float, limit: float) -> str:
    allowed = math.cos(math.radians(limit)) / max(math.sin(math.radians(between)), 1e-9)
    if allowed >= 1:
        return "cross the axes more steeply, or drill this one first"
    off = radius * math.sqrt(1 - allowed**2)
    return f"bring the axes {offset - off:.2f} mm nearer to each other, or drill this one first"


def bore_radius(f: Feature) -> float:
    """Radius of a passage's bore, mm."""
    return f.facts["diameter"] / 2 if f.role == "drilling" else f.facts["bore_radius"]


def incidence(between: float, offset: float, radius: float) -> float:
    """Angle between a drill's axis and the normal of a cylinder's wall where it enters, degrees.

    between: angle of the two axes, degrees; offset: how far they miss, mm; radius: of the cylinder, mm. The normal
    lies across the cylinder's axis, so its cosine is sin(between) · √(1 − (offset/radius)²). 90 where it only grazes.
    """
    if offset >= radius:
        return 90.0
    return math.degrees(math.acos(math.sin(math.radians(between)) * math.sqrt(1 - (offset / radius) ** 2)))
