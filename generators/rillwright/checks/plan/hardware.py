"""Checks of screws, cords, ports and drillings that need no solid: on the placed numbers."""

from __future__ import annotations

import math

from ...layout.features import Feature, JobLayout, PlateLayout
from ...spec.job import Limits
from ..finding import Outcome
from ..report import Case, outcome
from .clamping import clamp_checks
from .meeting import gap_between
from .seals import seal_checks

METHOD = "placed numbers"


def plan_checks(layout: JobLayout, limits: Limits) -> list[Outcome]:
    """Every check that needs no solid."""
    return [
        *seal_checks(layout, limits), *clamp_checks(layout, limits), engagement(layout, limits),
        tip(layout, limits), port_spacing(layout, limits), drill_ratio(layout, limits), drilling_open(layout),
        drilling_meets(layout), left_out(layout),
    ]  # fmt: skip


def _of(layout: JobLayout, role: str) -> list[tuple[PlateLayout, Feature]]:
    return [(p, f) for p in layout.plates for f in p.features if f.role == role]


def engagement(layout: JobLayout, limits: Limits) -> Outcome:
    """Thread of each strut screw inside its strut, mm."""
    cases = []
    for p, f in _of(layout, "strut-screw"):
        wanted = limits.engagement or f.facts["wanted"]
        short = wanted - f.facts["engagement"]
        what = f"a {f.thread} × {f.facts['screw_length']:g} screw holds too little thread in the strut"
        remedy = f"take a screw {short:.1f} mm longer, or a counterbore {short:.1f} mm deeper"
        cases.append(Case(p.name, (f.name,), f.facts["engagement"], wanted, what, remedy, (f.origin,)))
    return outcome("screw.engagement", cases, METHOD)


def tip(layout: JobLayout, limits: Limits) -> Outcome:
    """Distance of each strut screw's tip from the end of the full thread, or from the other end's screw, mm."""
    cases = []
    long = {h.name: max(z for _, z in h.profile) for h in layout.hardware if h.kind == "strut"}
    screws = _of(layout, "strut-screw")
    for p, f in screws:
        left = f.facts["thread_depth"] - f.facts["engagement"]
        what = f"a {f.thread} × {f.facts['screw_length']:g} screw comes too near the end of the thread in the strut"
        other = sum(g.facts["engagement"] for q, g in screws if q is not p and g.name == f.name)
        between = long[f.name.removesuffix(".screw")] - f.facts["engagement"] - other
        if between < left:
            left = between
            what = f"a {f.thread} × {f.facts['screw_length']:g} screw comes too near the screw in the strut's other end"
        remedy = f"take a screw {limits.tip_clearance - left:.1f} mm shorter, or struts threaded deeper"
        if left == between:
            remedy = f"take a screw {limits.tip_clearance - left:.1f} mm shorter, or longer struts"
        cases.append(Case(p.name, (f.name,), left, limits.tip_clearance, what, remedy, (f.origin,)))
    return outcome("screw.tip", cases, METHOD)


def port_spacing(layout: JobLayout, limits: Limits) -> Outcome:
    """Gap between the flanges (taken at the spotface diameter) of neighbouring fittings on one face, mm."""
    cases = []
    for p in layout.plates:
        ports = [f for f in p.features if f.role in ("port", "plug")]
        for i, a in enumerate(ports):
            for b in ports[i + 1 :]:
                if a.face != b.face:
                    continue
                gap = math.dist(a.origin, b.origin) - a.facts["spotface_radius"] - b.facts["spotface_radius"]
                remedy = f"move one of them {limits.spanner - gap:.2f} mm further away"
                what = "two fittings on one face stand too near for a spanner"
                nets = tuple({n for n in (a.loop, b.loop) if n})
                cases.append(
                    Case(p.name, (a.name, b.name), gap, limits.spanner, what, remedy, (a.origin, b.origin), nets)
                )
    return outcome("port.spacing", cases, METHOD)


def drill_ratio(layout: JobLayout, limits: Limits) -> Outcome:
    """Length of each drilling from where its own diameter starts, over its diameter."""
    cases = []
    for p, f in _of(layout, "drilling"):
        ratio = (f.facts["length"] - f.facts["start"]) / f.facts["diameter"]
        what = "too deep for its diameter"
        remedy = f"shorten it to {limits.drill_ratio * f.facts['diameter']:.0f} mm, drill from both sides, or go wider"
        cases.append(
            Case(p.name, (f.name,), ratio, limits.drill_ratio, what, remedy, (f.origin,), (f.loop or "",), True)
        )
    return outcome("drilling.ratio", cases, METHOD)


def drilling_open(layout: JobLayout) -> Outcome:
    """A drilling that opens in a face must do so inside a tube of its own loop."""
    cases = []
    for p, f in _of(layout, "drilling"):
        for mouth in f.mouths:
            inside = mouth == "seal" and any(
                c.role == "tube-channel" and c.loop == f.loop
                and math.dist(c.origin[:2], _plan_at(f, mouth)) + f.facts["diameter"] / 2 <= c.facts["inner_radius"]
                for c in p.features
            )  # fmt: skip
            what = f"it opens in the {mouth} face, outside any tube of its loop, and nothing closes it"
            cases.append(
                Case(p.name, (f.name,), 0 if inside else 1, 0, what, "give it a plug, or move it inside its tube",
                     (f.origin,), (f.loop or "",), at_most=True)
            )  # fmt: skip
    for p, f in _of(layout, "port"):
        for mouth in f.mouths[1:]:
            inside = mouth == "seal" and any(
                c.role == "tube-channel" and c.loop == f.loop
                and math.dist(c.origin[:2], f.origin[:2]) + f.facts["bore_radius"] <= c.facts["inner_radius"]
                for c in p.features
            )  # fmt: skip
            what = "the port goes through to the seal face outside the tube of its loop"
            cases.append(
                Case(p.name, (f.name,), 0 if inside else 1, 0, what, "move it inside its tube", (f.origin,),
                     (f.loop or "",), at_most=True)
            )  # fmt: skip
    return outcome("drilling.open", cases, METHOD)


def _plan_at(f: Feature, mouth: str) -> tuple[float, float]:
    if mouth == f.face or abs(f.axis[2]) < 1e-9:
        return f.origin[:2]
    end = f.at(-f.origin[2] / f.axis[2])
    return end[:2]


def drilling_meets(layout: JobLayout) -> Outcome:
    """Each port and drilling must run into another passage of its loop, or open inside its tube."""
    cases = []
    for p in layout.plates:
        wet = [f for f in p.features if f.role in ("port", "drilling", "plug")]
        for f in wet:
            if len(f.mouths) == 2:
                continue
            gap, other = _nearest(f, [o for o in wet if o is not f and o.loop == f.loop], p.thickness)
            what = "it meets no other passage of its loop"
            remedy = f"let it go {gap:.2f} mm further, or place it so that the axes cross"
            names = (f.name, other) if other and gap > 0 else (f.name,)
            cases.append(Case(p.name, names, gap, 0, what, remedy, (f.at(f.depth),), (f.loop or "",), True))
            for o in (o for o in wet if o.name in f.joins and gap_between(f, o) > gap):
                apart = gap_between(f, o)
                what, remedy = "it does not reach what it is meant to run into", f"{apart:.2f} mm stand between them"
                names = (f.name, o.name)
                cases.append(Case(p.name, names, apart, 0, what, remedy, (f.at(f.depth),), (f.loop or "",), True))
    return outcome("drilling.meets", cases, METHOD)


def _nearest(f: Feature, others: list[Feature], without: float) -> tuple[float, str]:
    """Smallest gap to another passage and its name; the first that meets ends the search."""
    best, name = without, ""
    for o in others:
        gap = gap_between(f, o)
        if not name or gap < best:
            best, name = gap, o.name
        if gap == 0:
            break
    return best, name


def left_out(layout: JobLayout) -> Outcome:
    """Holes not made because `avoid` asked so: a note for each, never silence."""
    cases = [
        Case(p.name, (name,), 1, 0, f"a hole at x {x:.1f}, y {y:.1f} was left out: something stands nearer than `avoid`",
             "none needed; change the pitch or `avoid` if the hole is wanted", ((x, y, 0.0),), at_most=True)
        for p in layout.plates for name, x, y in p.left_out
    ]  # fmt: skip
    return outcome("hole.left-out", cases, METHOD, severity="note")
