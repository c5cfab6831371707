"""What each screw of a cover has to hold, and what it may hold. Forces in N, stresses in MPa, lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import get_args

from ...physics import cord_load, screws
from ...spec.covered import CoverScrews
from ...spec.job import Job
from ...spec.reservoir import MetricSize
from ...standards import fixings, materials, threads
from ...standards import screws as heads
from ...standards._table import UnknownSize
from .. import paths
from ..clamp import FRICTION, SCREW, SETTLES, SETTLES_METAL, bearable
from ..features import PlateLayout
from ..outline import Impossible
from ..pockets import Point2
from .decks import Deck, with_screws
from .fixing import HEAD, Fixing, fixing
from .grooves import Sealed

WORD = {"countersunk": "countersunk screws", "counterbored": "counterbored cap screws", "on-top": "cap screws"}
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
    cures: tuple[str, ...] = ()  # other screws that would hold, where these do not

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
    bears = _bears(deck, body, cover, f)
    weakest = min(bears, key=lambda k: bears[k])
    t, wide, hole = threads.metric(s.thread), _head(s), heads.clearance_hole(s.thread, s.fit)
    torque = screws.torque(bears[weakest], t.pitch, t.pitch_diameter, FRICTION, (wide + hole) / 2, FRICTION,
                           90 if s.head == "countersunk" else 180)  # fmt: skip
    needed = (cord[worst] + pressure[worst]) * job.limits.separation
    settles = min(SETTLES.get(materials.material(p.material).family, SETTLES_METAL) for p in (body, cover))
    short = bears[weakest] * settles < needed
    cures = _cures(deck, body, cover, job, needed / settles, bears[weakest]) if short else ()
    return CoverHold(
        cover.name, f"{deck.owner}.screw-{worst + 1}", at[worst], s.thread, len(at), cord[worst], cord[worst] * factor,
        pressure[worst], bears[weakest], weakest, settles, torque, cures,
    )  # fmt: skip


def _bears(deck: Deck, body: PlateLayout, cover: PlateLayout, f: Fixing) -> dict[str, float]:
    """Preload that each part of the joint bears, N."""
    s = deck.cover.screws
    t, steel = threads.metric(s.thread), materials.material(SCREW)
    hole = heads.clearance_hole(s.thread, s.fit)
    return {
        "the screw": screws.preload(steel.known("proof"), t.pitch_diameter, t.core_diameter, t.pitch, FRICTION),
        "the cover under its head": screws.bearing_preload(bearable(cover.material), _head(s), hole),
        "its thread in the body": _thread(deck, body, f),
    }


def _head(s: CoverScrews) -> float:
    """Diameter that presses on the cover, mm."""
    if s.head == "countersunk":
        return heads.countersunk(s.thread, standard=HEAD[s.head]).head_diameter_actual_min
    return fixings.washer(s.thread).outside if s.washer else heads.cap(s.thread).head_diameter_max


def _cures(
    deck: Deck, body: PlateLayout, cover: PlateLayout, job: Job, needed: float, borne: float
) -> tuple[str, ...]:
    """What would hold, with heads as the cover has them: a washer or the next thread that bears `needed` N, a pitch."""
    s = deck.cover.screws
    larger = get_args(MetricSize)[get_args(MetricSize).index(s.thread) + 1 :]
    tried: list[tuple[str, dict[str, object]]] = [
        (f"{WORD[s.head]} {HEAD[s.head]} {t}", {"thread": t, "length": None}) for t in larger
    ]
    if s.head == "on-top" and not s.washer:
        tried.insert(0, ("washers under the heads", {"washer": True}))
    enough = next((word for word, change in tried if _changed(deck, body, cover, job, change) >= needed), None)
    pitch = math.floor(s.pitch * borne / needed)
    return tuple(c for c in (enough, f"a pitch of {pitch} mm or less" if pitch >= 2 * deck.keep_out else None) if c)


def _changed(deck: Deck, body: PlateLayout, cover: PlateLayout, job: Job, change: dict[str, object]) -> float:
    """Preload that the joint bears with other screws, N; 0 where they do not fit it."""
    try:
        other = with_screws(job, deck, deck.cover.screws.model_copy(update=change))
        return min(_bears(other, body, cover, fixing(other, body, job)).values())
    except (Impossible, UnknownSize):
        return 0.0


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
