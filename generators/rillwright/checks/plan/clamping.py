"""Checks of what clamps a tube: do the screw heads bear on the plate, does preload stay, does the glass stand it."""

from __future__ import annotations

from typing import Any

from ...layout.clamp import Hold
from ...layout.job_layout import JobLayout
from ...spec.job import Limits
from ..finding import Outcome
from ..report import Case, graded, outcome
from .clamp_load import Clamp, clamps
from .clamp_record import record

METHOD = "closed formulas on the placed numbers"


def clamp_checks(layout: JobLayout, limits: Limits) -> list[Outcome]:
    """The rules of clamping, one case per tube and plate; tubes that are alike share a finding."""
    found = clamps(layout)
    return [bearing(found), separation(found, limits), glass(found)]


def clamp_records(layout: JobLayout) -> list[dict[str, Any]]:
    """One record of plain numbers per tube; see `clamp_record`."""
    return [record(c) for c in clamps(layout)]


def bearing(found: list[Clamp]) -> Outcome:
    """Pressure under each strut screw's head by cord and coolant alone, MPa.

    By the upper published band of the cord's force; an error where the formula's own, lower force is too much already.
    """
    told: list[tuple[Case, bool]] = []
    for plate, names, c, h in _alike(found):
        upper, lower = c.per_screw_upper / h.area, c.per_screw / h.area
        told.append(
            (Case(plate, names, upper, h.bearable, "the cord's force by its published upper band presses the head of "
                  f"{h.head} {h.thread} into {h.material} ({lower:.1f} MPa by formula)",
                  f"take {_heads(h, c.per_screw_upper)}, or more struts or a softer cord",
                  nets=(c.seal.loop,), at_most=True),
             lower > h.bearable)
        )  # fmt: skip
    return graded("clamp.bearing", told, METHOD)


def separation(found: list[Clamp], limits: Limits) -> Outcome:
    """Preload that is left after settlement over what parts plate and strut at a screw, as a factor.

    A warning only: once the preload is gone the screws hold the plate as stops, and it gives by some µm.
    """
    cases = []
    for plate, names, c, h in _alike(found):
        need = limits.separation * c.per_screw / h.settles
        give = 1000 * h.give(c.per_screw)
        then = f"the plate may lift off its struts by {give:.0f} µm" if give > 0 else "little of it is to spare"
        cases.append(
            Case(plate, names, h.settled / c.per_screw, limits.separation,
                 f"{h.preload:.0f} N is all that a head of {h.head} {h.thread} may press on {h.material}, of which "
                 f"{h.settled:.0f} N stay: {then}",
                 f"tighten to {h.torque:.2f} N·m and again after a day; {_heads(h, need)} would do",
                 nets=(c.seal.loop,))
        )  # fmt: skip
    return outcome("clamp.separation", cases, METHOD, severity="warning", bound="estimate")


def _heads(h: Hold, force: float) -> str:
    """What bears a force as the screws there are do: larger ones of their standard, else washers."""
    larger = h.larger(force)
    return f"{larger} screws" if larger else f"cap screws on washers of Ø{h.head_for(force):.1f} mm"


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


def _alike(found: list[Clamp]) -> list[tuple[str, tuple[str, ...], Clamp, Hold]]:
    """Plate (or assembly, for several), names of the screws that are alike, and one of them: one cause is told once."""
    groups: dict[tuple[object, ...], list[tuple[str, str, Clamp, Hold]]] = {}
    for c in found:
        for h in c.holds:
            key = (round(c.per_screw, 3), round(c.per_screw_upper, 3), h.likeness)
            groups.setdefault(key, []).append((h.plate, f"{c.seal.reservoir}.struts", c, h))
    out = []
    for members in groups.values():
        plates = {plate for plate, *_ in members}
        names = tuple(dict.fromkeys(name for _, name, *_ in members))
        out.append((plates.pop() if len(plates) == 1 else "assembly", names, *members[0][2:]))
    return out
