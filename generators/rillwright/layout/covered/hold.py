"""What each screw of a cover has to hold, and what it may hold. Forces in N, stresses in MPa, lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ...physics import cord_load, screws
from ...spec.job import Job
from ...standards import fixings, materials, threads
from ...standards import screws as heads
from .. import paths
from ..clamp import FRICTION, SCREW, SETTLES, SETTLES_METAL, bearable
from ..features import PlateLayout
from ..pockets import Point2
from .decks import Deck
from .fixing import HEAD, Fixing
from .grooves import Sealed

SHEAR = 0.6  # of what a material bears in tension, common practice, no source


@dataclass(frozen=True, slots=True)
class CoverHold:
    """The screws of one cover, by the one that holds the longest stretch of cord."""

    cover: str
    screw: str  # its name
    at: Point2
    thread: str
    number: int
    cord: float  # force of the cord on that screw, by the formula
    cord_upper: float  # the same by the published upper band
    pressure: float  # force of the coolant on that screw
    preload: float  # allowed: what screw, head and thread all bear
    weakest: str  # which of the three sets it
    settles: float  # share of the preload left
    torque: float  # for the allowed preload, N·m

    @property
    def load(self) -> float:
        """By the formula; measured forces were seen above it."""
        return self.cord + self.pressure

    @property
    def load_upper(self) -> float:
        return self.cord_upper + self.pressure

    @property
    def settled(self) -> float:
        return self.preload * self.settles


def cover_hold(
    deck: Deck, body: PlateLayout, cover: PlateLayout, sealed: Sequence[Sealed], at: Sequence[Point2], f: Fixing, job: Job
) -> CoverHold:  # fmt: skip
    """The screw that holds most, and what it may hold."""
    cord, pressure = _loads(deck, sealed, at, job)
    worst = max(range(len(at)), key=lambda i: cord[i] + pressure[i])
    factor = cord_load.band_factor(deck.cover.cord.hardness)
    s = deck.cover.screws
    t, steel = threads.metric(s.thread), materials.material(SCREW)
    own = screws.preload(steel.known("proof"), t.pitch_diameter, t.core_diameter, t.pitch, FRICTION)
    hole = heads.clearance_hole(s.thread, s.fit)
    wide = (heads.countersunk(s.thread, standard=HEAD[s.head]).head_diameter_actual_min if s.head == "countersunk"
            else fixings.washer(s.thread).outside if s.washer else heads.cap(s.thread).head_diameter_max)  # fmt: skip
    bears = {
        "the screw": own, "the cover under its head": screws.bearing_preload(bearable(cover.material), wide, hole),
        "its thread in the body": _thread(deck, body, f),
    }  # fmt: skip
    weakest = min(bears, key=lambda k: bears[k])
    soft = [SETTLES.get(materials.material(p.material).family, SETTLES_METAL) for p in (body, cover)]
    torque = screws.torque(bears[weakest], t.pitch, t.pitch_diameter, FRICTION, (wide + hole) / 2, FRICTION,
                           90 if s.head == "countersunk" else 180)  # fmt: skip
    return CoverHold(
        cover.name, f"{deck.owner}.screw-{worst + 1}", at[worst], s.thread, len(at), cord[worst], cord[worst] * factor,
        pressure[worst], bears[weakest], weakest, min(soft), torque,
    )  # fmt: skip


def _thread(deck: Deck, body: PlateLayout, f: Fixing) -> float:
    """Force that the thread in the body bears for years: shear of the cylinder that would be torn out of it."""
    s = deck.cover.screws
    if s.into == "nut":
        return math.inf
    shear = SHEAR * bearable(body.material)
    if s.into == "insert":
        i = fixings.insert(s.thread)
        return shear * math.pi * i.outside * i.length
    t = threads.metric(s.thread)
    # engagement that strips under 1 N, turned round
    return f.engagement / screws.stripping_engagement(1.0, shear, t.diameter, t.pitch_diameter, t.pitch)


def _loads(deck: Deck, sealed: Sequence[Sealed], at: Sequence[Point2], job: Job) -> tuple[list[float], list[float]]:
    """Force of cord and of coolant on each screw: each groove's, shared by the stretch up to half way to the next."""
    cord, pressure = [0.0] * len(at), [0.0] * len(at)
    d = deck.cover.cord.diameter
    squeeze = min(0.6, max(0.0, 1 - deck.depth / d))
    line = cord_load.lindley_load(cord_load.gent_modulus(deck.cover.cord.hardness), d, squeeze)
    for s in sealed:
        total = paths.length(s.ring.path)
        lift = job.coolant.pressure / 10 * abs(paths.area(s.ring.path)) / total  # N per mm of groove
        for i, share in _shares(s, at, deck.reach[1], total).items():
            cord[i] += line * share
            pressure[i] += lift * share
    return cord, pressure


def _shares(s: Sealed, at: Sequence[Point2], reach: float, total: float) -> dict[int, float]:
    """Length of groove that each screw beside it holds, mm."""
    import numpy as np

    places = paths.along(s.ring.path, 0.5)
    xy = np.array([q for _, q, _ in places])
    near = {}
    for i, p in enumerate(at):
        square = (xy[:, 0] - p[0]) ** 2 + (xy[:, 1] - p[1]) ** 2
        if square.min() <= (reach + 1.0) ** 2:  # of those that are nearest but for rounding the first
            best = np.nonzero(square <= square.min() + 1e-9)[0].tolist()
            far, along = min((math.dist(p, places[k][1]), places[k][0]) for k in best)
            if far <= reach + 0.5:
                near[i] = along
    order = sorted(near, key=lambda i: near[i])
    gaps = [(near[b] - near[a]) % total or total for a, b in zip(order, [*order[1:], *order[:1]], strict=True)]
    return {i: (gaps[k - 1] + gaps[k]) / 2 for k, i in enumerate(order)}
