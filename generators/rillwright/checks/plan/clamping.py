"""Checks of what clamps a tube: do the screw heads bear on the plate, does preload stay, does the glass stand it."""

from __future__ import annotations

from typing import Any

from ...layout.features import JobLayout
from ...spec.job import Limits
from ..finding import Outcome
from ..report import Case, graded, outcome
from .clamp_load import Clamp, Hold, clamps
from .clamp_record import record

METHOD = "closed formulas on the placed numbers"


def clamp_checks(layout: JobLayout, limits: Limits) -> list[Outcome]:
    """The rules of clamping, one case per tube and plate; tubes that are alike share a finding."""
    found = clamps(layout, limits)
    return [bearing(found), separation(found, limits), glass(found)]


def clamp_records(layout: JobLayout, limits: Limits) -> list[dict[str, Any]]:
    """One record of plain numbers per tube; see `clamp_record`."""
    return [record(c) for c in clamps(layout, limits)]


def bearing(found: list[Clamp]) -> Outcome:
    """Pressure under each strut screw's head by cord and coolant alone, MPa.

    By the upper published band of the cord's force; an error where the formula's own, lower force is too much already.
    """
    told: list[tuple[Case, bool]] = []
    for names, c, h in _alike(found):
        upper, lower = c.per_screw_upper / h.area, c.per_screw / h.area
        need = h.head_for(c.per_screw_upper)
        told.append(
            (Case(h.plate, names, upper, h.bearable, f"the cord's force by its published upper band presses a {h.head} "
                  f"{h.thread} head into {h.material} ({lower:.1f} MPa by formula)",
                  f"put washers of Ø{need:.1f} mm or more under cap heads, or take more struts or a softer cord",
                  nets=(c.seal.loop,), at_most=True),
             lower > h.bearable)
        )  # fmt: skip
    return graded("clamp.bearing", told, METHOD)


def separation(found: list[Clamp], limits: Limits) -> Outcome:
    """Preload that is left after settlement over what parts plate and strut at a screw, as a factor."""
    cases = []
    for names, c, h in _alike(found):
        need = h.head_for(limits.separation * c.per_screw / h.settles)
        what = f"{h.preload:.0f} N is all that a {h.head} {h.thread} head may press on {h.material}, and that settles"
        give = h.give(c.per_screw)
        cases.append(
            Case(h.plate, names, h.settled / c.per_screw, limits.separation,
                 f"{what}: the plate may lift off its struts by {give:.2f} mm",
                 f"tighten to {h.torque:.2f} N·m and again after a day; washers of Ø{need:.1f} mm under cap heads would do",
                 nets=(c.seal.loop,))
        )  # fmt: skip
    return outcome("clamp.separation", cases, METHOD, severity="warning", bound="estimate")


def glass(found: list[Clamp]) -> Outcome:
    """Highest gauge pressure against what each tube's wall stands, bar."""
    cases = []
    for c in found:
        s = c.seal
        cases.append(
            Case("assembly", (f"{s.reservoir}.tube",), 10 * s.pressure, 10 * c.tube_pressure,
                 f"a tube Ø{s.tube_outside:g} × {s.tube_wall:g} of {s.tube_material} does not stand the pressure",
                 "lower coolant.pressure, or take a thicker wall", nets=(s.loop,), at_most=True)
        )  # fmt: skip
    return outcome("glass.pressure", cases, METHOD)


def _alike(found: list[Clamp]) -> list[tuple[tuple[str, ...], Clamp, Hold]]:
    """Holds with the names of the screws that are alike, so that one cause is told once."""
    groups: dict[tuple[object, ...], tuple[list[str], Clamp, Hold]] = {}
    for c in found:
        for h in c.holds:
            key = (h.plate, round(c.per_screw, 3), round(c.per_screw_upper, 3), h.likeness)
            groups.setdefault(key, ([], c, h))[0].append(f"{c.seal.reservoir}.struts")
    return [(tuple(names), c, h) for names, c, h in groups.values()]
