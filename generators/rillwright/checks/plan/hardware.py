"""Checks of screws, cords, ports and drillings that need no solid: on the placed numbers."""

from __future__ import annotations

import math

from ...layout.features import Feature, PlateLayout
from ...layout.job_layout import JobLayout
from ...layout.strokes import near
from ...spec.job import Limits
from ..finding import Outcome
from ..report import Case, outcome
from .clamping import clamp_checks
from .cover_clamp import cover_clamp
from .cover_screws import cover_engagement, cover_tips
from .heads import heads_by_fittings
from .meeting import cross, gap_at_least, gap_between, gap_to_channel
from .port_threads import port_engagement
from .seals import seal_checks
from .sheet_room import sheet_room

METHOD = "placed numbers"


def plan_checks(layout: JobLayout, limits: Limits) -> list[Outcome]:
    """Every check that needs no solid."""
    return [
        *_covered(layout, limits), cover_clamp(layout, limits), *seal_checks(layout, limits),
        *clamp_checks(layout, limits), engagement(layout, limits), tip(layout, limits), port_spacing(layout, limits),
        port_engagement(layout, limits),
        drill_ratio(layout, limits), drilling_open(layout), drilling_meets(layout), sheet_room(layout, limits),
        left_out(layout),
    ]  # fmt: skip


def _covered(layout: JobLayout, limits: Limits) -> list[Outcome]:
    if not layout.covers:
        return []
    from .cover_checks import cover_checks  # with much that no other plate needs
    from .cover_faces import cover_faces

    return cover_checks(cover_faces(layout), limits)


def _of(layout: JobLayout, role: str) -> list[tuple[PlateLayout, Feature]]:
    return [(p, f) for p in layout.plates for f in p.features if f.role == role]


def engagement(layout: JobLayout, limits: Limits) -> Outcome:
    """Thread of each screw inside its strut, body, insert or nut, mm."""
    cases = []
    for p, f in _of(layout, "strut-screw"):
        wanted = limits.engagement or f.facts["wanted"]
        short = wanted - f.facts["engagement"]
        what = f"a {f.thread} × {f.facts['screw_length']:g} screw holds too little thread in the strut"
        remedy = f"take a screw {short:.1f} mm longer, or a counterbore {short:.1f} mm deeper"
        cases.append(Case(p.name, (f.name,), f.facts["engagement"], wanted, what, remedy, (f.origin,)))
    return outcome("screw.engagement", [*cases, *cover_engagement(layout)], METHOD)


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
    return outcome("screw.tip", [*cases, *cover_tips(layout, limits)], METHOD)


def port_spacing(layout: JobLayout, limits: Limits) -> Outcome:
    """Gap from each flange (taken at the spotface diameter) to fittings and to heads and washers on its face, mm."""
    cases = list(heads_by_fittings(layout, limits))
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
    """What opens in a seal face must do so inside a tube of its own loop, or over a channel of it."""
    cases = []
    for p, f in _of(layout, "drilling"):
        for mouth in f.mouths:
            what = f"it opens in the {mouth} face, outside any tube or channel of its loop, and nothing closes it"
            cases.append(_opening(layout, p, f, mouth, f.facts["diameter"] / 2, what, "give it a plug, or move it inside"))
    for p, f in _of(layout, "port"):
        for mouth in f.mouths[1:]:
            where = "over no channel" if p.cover_of else "outside the tube"
            what = f"the port goes through to the seal face {where} of its loop"
            remedy = "name it under joins of a channel" if p.cover_of else "move it inside its tube"
            cases.append(_opening(layout, p, f, mouth, f.facts["bore_radius"], what, remedy))
    return outcome("drilling.open", cases, METHOD)


def _opening(layout: JobLayout, p: PlateLayout, f: Feature, mouth: str, radius: float, what: str, remedy: str) -> Case:
    at = _plan_at(f, mouth)
    tubes = [c for c in p.features if c.role == "tube-channel" and c.loop == f.loop and mouth == "seal"]
    inside = any(math.dist(c.origin[:2], at) + radius <= c.facts["inner_radius"] for c in tubes)
    # over a channel: of the plate itself under its cover, or of the body that this plate covers
    under = [(p, mouth)] if any(q.cover_of == p.name for q in layout.plates) else []
    under += [(q, c.face) for q in layout.plates if q.name == p.cover_of and mouth == "seal" for c in q.pockets]
    inside |= any(c.loop == f.loop and c.role == "channel" and c.face == face and near(c, at, 0.0)
                  for q, face in under for c in q.pockets)  # fmt: skip
    # or under a port of the cover on that face
    over = {j.cover for j in layout.covers if j.body == p.name and j.face == mouth}
    inside |= any(o.role == "port" and o.loop == f.loop and math.dist(o.origin[:2], at) + radius <= o.facts["bore_radius"]
                  for q in layout.plates if q.name in over for o in q.features)  # fmt: skip
    return Case(p.name, (f.name,), 0 if inside else 1, 0, what, remedy, (f.origin,), (f.loop or "",), at_most=True)


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
            for c in p.pockets:
                if gap > 0 and c.role == "channel" and c.loop == f.loop:
                    gap, other = min((gap, other), (gap_to_channel(f, c, p.thickness), c.name))
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
    if (met := next((o for o in others if cross(f, o)), None)) is not None:
        return 0.0, met.name  # asked of all first: to walk the rims of the others takes a hundred times as long
    for o in others:
        if name and gap_at_least(f, o) >= best:
            continue
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
