"""Screws of one cover: places along the grooves, holes in cover and body, the parts. Lengths in mm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ...spec.job import Job
from ...standards import fixings, materials, screws, threads
from .. import profiles
from ..features import Feature, Hardware, Outline, PlateLayout, Role, Vec3
from ..hardware import in_assembly
from ..outline import Impossible
from ..pockets import Point2
from ..run_out import RUN_OUT
from ..sealing.obstacles import Obstacle
from ..sealing.ring import InTheWay
from ..sealing.screws import Screws, screws_along
from .decks import Deck
from .grooves import Sealed

LEAST_COVER = 3.0  # mm: no thinner cover is advised; our choice, no source
SMALLEST = "M3"
FLOOR = 2.0  # mm of body that must stand under a blind hole; our choice, no source
HEAD = {"countersunk": "ISO 10642", "counterbored": "ISO 4762", "on-top": "ISO 4762"}


@dataclass(frozen=True, slots=True)
class Fixing:
    """One screw of a cover, all of which are alike: lengths along its axis from the cover's outside."""

    length: float
    seat: float  # where the length counts from, below the cover's outside
    engagement: float  # in thread, insert or nut
    wanted: float
    full: float  # depth of full thread in the body, from the joint
    bore: float  # depth of the hole in the body, from the joint
    hole: float  # its radius


def place(deck: Deck, shape: Outline, sealed: Sequence[Sealed], stand: Sequence[Obstacle]) -> Screws:
    """Places of the cover's screws. Raises InTheWay."""
    s = deck.cover.screws
    pitch = min([s.pitch, *(x.ring.length / 2 for x in sealed)])  # two screws at least beside the shortest groove
    try:
        return screws_along(
            [x.ring.path for x in sealed], pitch, deck.reach, deck.keep_out, stand, s.at, shape,
            max(0.0, deck.rim - deck.keep_out), 2 * max(deck.head + 1.0, deck.keep_out),
        )  # fmt: skip
    except InTheWay as e:
        if s.thread == SMALLEST:  # what there is not is no advice
            e.do = e.do.replace("take a smaller screw or", "take")
        raise


def fixing(deck: Deck, body: PlateLayout, job: Job) -> Fixing:
    """The one screw that fits cover and body. Raises Impossible."""
    s, loc = deck.cover.screws, (*deck.loc, "screws")
    t = threads.metric(s.thread)
    grip = deck.cover.stock.thickness
    seat = screws.cap(s.thread).counterbore_depth if s.head == "counterbored" else 0.0
    if s.head == "counterbored" and seat > grip - FLOOR:
        raise Impossible((*loc, "head"), f"a counterbore {seat:g} mm deep leaves {max(0, grip - seat):g} mm of a cover "
                         f"of {grip:g} mm", "take head: countersunk, or a thicker cover")  # fmt: skip
    if s.head == "on-top":
        seat = -fixings.washer(s.thread).thickness if s.washer else 0.0
    if s.head == "countersunk":
        _require_head(deck, grip)
    most, wanted, hole, lost = _room(deck, body, job)
    known = screws.lengths(HEAD[s.head], s.thread)
    held = [n for n in known if wanted <= n + seat - grip - lost <= most] if s.length is None else [s.length]
    if s.length is not None:
        _require_length(deck, s.length, grip + lost - seat, wanted, most)
    if not held:
        raise _no_length(deck, known, (lost - seat, grip, wanted, most))
    length = held[0]
    engaged = length + seat - grip - lost
    if s.into == "nut":
        return Fixing(length, seat, engaged, wanted, body.thickness, body.thickness, hole)
    if s.into == "insert":
        i = fixings.insert(s.thread)
        return Fixing(length, seat, engaged, wanted, i.length, i.depth, hole)
    full = engaged + max(job.limits.tip_clearance, 1.0)
    bore = min(full + RUN_OUT * t.pitch, body.thickness - FLOOR)
    return Fixing(length, seat, engaged, wanted, full, bore, hole)


def _no_length(deck: Deck, known: Sequence[float], lengths: tuple[float, float, float, float]) -> Impossible:
    """Why no stock length fits, with the nearest ones and the covers that they would suit.

    lengths: before the cover and lost behind it, the cover's thickness, least and most engagement, mm.
    """
    s = deck.cover.screws
    lost, grip, wanted, most = lengths
    loc, name = (*deck.loc, "screws", "thread"), f"{HEAD[s.head]} {s.thread}"
    others = " or ".join(x for x in ("thread", "insert", "nut") if x != s.into)
    other = f"take {'another' if s.thread == SMALLEST else 'a smaller'} thread, or give into: {others}"
    if most < wanted:
        what = f"no {name} screw fits: it needs {wanted:.1f} mm of thread, and the body has room for {max(0.0, most):.1f}"
        return Impossible(loc, what, f"take a body {wanted - most:.1f} mm thicker, {other}")
    low, high = lost + grip + wanted, lost + grip + most
    near = [*[n for n in sorted(known) if n < low][-1:], *[n for n in sorted(known) if n > high][:1]]
    nearest = " and ".join(f"{n:g}" for n in near)
    what = f"no {name} screw fits: it has to be {low:.1f} to {high:.1f} mm long, and the nearest there are {nearest}"
    suits = [f"a cover of {max(n - lost - most, 0.0):.1f} to {n - lost - wanted:.1f} mm suits {n:g}" for n in near
             if n - lost - wanted >= LEAST_COVER]  # fmt: skip
    deep = screws.cap(s.thread).counterbore_depth
    sunk = [n for n in screws.lengths(HEAD["counterbored"], s.thread) if low <= n + deep <= high]
    if s.head == "countersunk" and deep <= grip - FLOOR and sunk:
        suits.append(f"head: counterbored, {deep:g} mm deep, suits {sunk[0]:g}")
    return Impossible(loc, what, "; ".join([*suits, other]))


def _require_head(deck: Deck, grip: float) -> None:
    """Raises Impossible where a countersink leaves nothing of the cover; what is merely thin, `countersink.under` tells."""
    s = deck.cover.screws
    deep = screws.countersunk(s.thread).head_diameter_theoretical_max / 2 - screws.clearance_hole(s.thread, s.fit) / 2
    if deep >= grip:
        what = f"a countersink {deep:.1f} mm deep goes through a cover of {grip:g} mm"
        smaller = "" if s.thread == SMALLEST else "a smaller thread, "
        raise Impossible((*deck.loc, "screws", "head"), what, f"take head: on-top, {smaller}or a thicker cover")


def _require_length(deck: Deck, length: float, before: float, wanted: float, most: float) -> None:
    """Raises Impossible for a given screw that never comes to its thread, or runs out of what holds it."""
    s = deck.cover.screws
    here, do = (*deck.loc, "screws", "length"), "leave length out"
    if wanted <= most:
        do = f"give {before + wanted:.1f} to {before + most:.1f} mm, or {do}"
    if length <= before:
        what = f"a screw {length:g} mm long ends {before - length:.1f} mm before its {s.into}"
        raise Impossible(here, what if length < before else f"a screw {length:g} mm long just reaches its {s.into}", do)
    if s.into != "nut" and length > before + most:
        where = "its insert" if s.into == "insert" else "the body"
        room = f"{length - before:.1f} mm into {where}, which has room for {max(0.0, most):.1f}"
        raise Impossible(here, f"a screw {length:g} mm long reaches {room}", do)


def _room(deck: Deck, body: PlateLayout, job: Job) -> tuple[float, float, float, float]:
    """Most and least engagement, radius of the body's hole, and the length lost between joint and engagement."""
    s = deck.cover.screws
    t = threads.metric(s.thread)
    if s.into == "nut":
        high = fixings.nut(s.thread).height
        return high + 6 * t.pitch, high, screws.clearance_hole(s.thread, s.fit) / 2, body.thickness
    family = materials.material(body.material).family
    wanted = job.limits.engagement or threads.engagement_factor(family) * t.diameter
    if s.into == "insert":
        i = fixings.insert(s.thread)
        if i.depth > body.thickness - FLOOR:
            raise Impossible((*deck.loc, "screws", "into"), f"an insert {s.thread} takes {i.depth:g} mm of a body of "
                             f"{body.thickness:g} mm", f"take {'' if s.thread == SMALLEST else 'a smaller thread, or '}"
                             "a thicker body")  # fmt: skip
        return i.length, min(i.length, t.diameter), i.hole / 2, 0.0
    most = body.thickness - FLOOR - max(job.limits.tip_clearance, 1.0)
    return most, wanted, t.tap_drill / 2, 0.0


def body_holes(deck: Deck, body: PlateLayout, at: Sequence[Point2], f: Fixing) -> list[Feature]:
    """The holes in the body."""
    s = deck.cover.screws
    z, axis = (0.0, -1.0) if deck.face == "seal" else (-body.thickness, 1.0)
    through = s.into == "nut"
    if through:
        profile, words = profiles.stepped([(f.hole, body.thickness + profiles.STAND_OUT)]), f"Ø{2 * f.hole:g} through"
    else:
        # the drill's point goes deeper than the full diameter, but not out of the body
        room = body.thickness - f.bore > profiles.tip_length(f.hole, "drill") + 0.5
        profile = profiles.stepped([(f.hole, f.bore)], "drill" if room else "flat")
        words = (f"Ø{2 * f.hole:g} × {f.bore:.1f} for a brass insert {s.thread}" if s.into == "insert" else
                 f"{s.thread}, full thread {round(f.full, 2):g}, bore Ø{2 * f.hole:g} × {round(f.bore, 2):g}")  # fmt: skip
    mouths = ("seal", "outer") if through else (deck.face,)
    role: Role = "mounting" if s.into == "thread" else "screw"
    facts = {"hole_radius": f.hole, "land": deck.land} | ({"full_thread": f.full} if s.into == "thread" else {})
    return [
        Feature(name, role, (x, y, z), (0.0, 0.0, axis), profile, deck.face, mouths, call_out=words,
                facts=dict(facts), thread=s.thread)
        for name, (x, y) in _named(deck, at)
    ]  # fmt: skip


def _named(deck: Deck, at: Sequence[Point2]) -> list[tuple[str, Point2]]:
    return [(f"{deck.owner}.screw-{i}", p) for i, p in enumerate(at, 1)]


def cover_holes(deck: Deck, at: Sequence[Point2], f: Fixing) -> list[Feature]:
    """The holes in the cover, in its own frame, from its outside."""
    s, thick = deck.cover.screws, deck.cover.stock.thickness
    end = thick + profiles.STAND_OUT
    hole = screws.clearance_hole(s.thread, s.fit) / 2
    facts = {"hole_radius": hole, "screw_length": f.length, "engagement": f.engagement, "wanted": f.wanted,
             "thread_depth": f.full, "seat": f.seat}  # fmt: skip
    profile, words = profiles.stepped([(hole, end)]), f"Ø{2 * hole:g} through"
    if s.head == "countersunk":
        mouth = screws.countersunk(s.thread).head_diameter_theoretical_max / 2
        profile = profiles.countersunk(mouth, hole, end)
        facts |= {"mouth_radius": mouth, "countersink_end": mouth - hole}
        words += f", countersink 90° Ø{2 * mouth:.2f}"
    elif s.head == "counterbored":
        cap = screws.cap(s.thread)
        wide, deep = cap.counterbore_diameter / 2, cap.counterbore_depth
        profile = profiles.stepped([(wide, deep), (hole, end)])
        facts |= {"mouth_radius": wide, "counterbore": deep}
        words += f", counterbore Ø{2 * wide:g} × {deep:g}"
    return [
        Feature(name, "screw", (x, y, -thick), (0.0, 0.0, 1.0), profile, "outer", ("outer", "seal"), call_out=words,
                facts=facts, thread=s.thread, head=HEAD[s.head])
        for name, (x, y) in _named(deck, at)
    ]  # fmt: skip


def parts(deck: Deck, body: PlateLayout, cover: PlateLayout, at: Sequence[Point2], f: Fixing) -> list[Hardware]:
    """Screws, and inserts or nuts, in the assembly."""
    s = deck.cover.screws
    out = []
    for name, (x, y) in _named(deck, at):
        top = in_assembly(cover, (x, y, -cover.thickness))
        into: Vec3 = (0.0, 0.0, cover.side)
        out.append(Hardware(f"{body.name}.{name}", "screw", top, into, _screw(deck, f), None, "steel",
                            f"{HEAD[s.head]} {s.thread} × {f.length:g}"))  # fmt: skip
        if s.washer:
            w, hole = fixings.washer(s.thread), screws.clearance_hole(s.thread, s.fit) / 2
            flat = ((hole, -w.thickness), (w.outside / 2, -w.thickness), (w.outside / 2, 0.0), (hole, 0.0))
            out.append(Hardware(f"{body.name}.{name}.washer", "washer", top, into, flat, None, "steel",
                                f"ISO 7089 {s.thread}"))  # fmt: skip
        joint = in_assembly(cover, (x, y, 0.0))
        thread = threads.metric(s.thread).tap_drill / 2
        if s.into == "insert":
            i = fixings.insert(s.thread)
            ring = ((thread, 0.0), (i.hole / 2, 0.0), (i.hole / 2, i.length), (thread, i.length))
            out.append(Hardware(f"{body.name}.{name}.insert", "insert", joint, into, ring, None, "brass",
                                f"insert {s.thread} × {i.length:g}"))  # fmt: skip
        elif s.into == "nut":
            n = fixings.nut(s.thread)
            t = body.thickness
            ring = ((thread, t), (n.across_flats / 2, t), (n.across_flats / 2, t + n.height), (thread, t + n.height))
            out.append(Hardware(f"{body.name}.{name}.nut", "nut", joint, into, ring, None, "steel",
                                f"ISO 4032 {s.thread}"))  # fmt: skip
    return out


def _screw(deck: Deck, f: Fixing) -> tuple[tuple[float, float], ...]:
    s = deck.cover.screws
    d = threads.metric(s.thread).tap_drill / 2
    end = f.seat + f.length
    if s.head == "countersunk":
        head = screws.countersunk(s.thread).head_diameter_theoretical_max / 2
        return ((0.0, 0.0), (head, 0.0), (d, head - d), (d, end), (0.0, end))
    cap = screws.cap(s.thread)
    top, r = f.seat - cap.head_height_max, cap.head_diameter_max / 2
    return ((0.0, top), (r, top), (r, f.seat), (d, f.seat), (d, end), (0.0, end))
