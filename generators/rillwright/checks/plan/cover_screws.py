"""Screws of covers: how much thread they hold, and where their tips end. One case for each cover: all are alike."""

from __future__ import annotations

from collections.abc import Iterator

from ...layout.features import Feature, PlateLayout
from ...layout.job_layout import JobLayout
from ...spec.job import Limits
from ..report import Case


def cover_screws(layout: JobLayout) -> Iterator[tuple[PlateLayout, Feature]]:
    """The first screw of each cover."""
    for p in layout.plates:
        first = next((f for f in p.features if p.cover_of and "engagement" in f.facts), None)
        if first is not None:
            yield p, first


def cover_engagement(layout: JobLayout) -> list[Case]:
    """Thread that each cover's screws hold, mm."""
    cases = []
    for p, f in cover_screws(layout):
        held, wanted = f.facts["engagement"], f.facts["wanted"]
        what = f"a {f.thread} × {f.facts['screw_length']:g} screw holds too little thread"
        remedy = f"take a screw {wanted - held:.1f} mm longer, or leave screws.length out"
        cases.append(Case(p.name, (f.name,), held, wanted, what, remedy, (f.origin,)))
    return cases


def cover_tips(layout: JobLayout, limits: Limits) -> list[Case]:
    """From each tip to the end of the full thread, mm; a nut is open behind."""
    cases = []
    for p, f in cover_screws(layout):
        body = next(q for q in layout.plates if q.name == p.cover_of)
        hole = next(g for g in body.features if g.name == f.name)
        if len(hole.mouths) > 1:
            continue
        end = hole.depth if hole.role == "screw" else f.facts["thread_depth"]  # behind an insert the hole goes on
        left = end - f.facts["engagement"]
        what = f"a {f.thread} × {f.facts['screw_length']:g} screw comes too near the end of its thread"
        remedy = f"take a screw {limits.tip_clearance - left:.1f} mm shorter, or leave screws.length out"
        cases.append(Case(p.name, (f.name,), left, limits.tip_clearance, what, remedy, (f.origin,)))
    return cases
