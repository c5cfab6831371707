"""Checks of how each cord lies: corners in plan, stretch, the gap it may be pressed into, the floor under a tube's end."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from ...layout.gland import Gland
from ...layout.groove_design import propose
from ...layout.job_layout import JobLayout
from ...layout.seal import TubeSeal
from ...layout.warmth import REFERENCE
from ...physics import tolerance
from ...spec.job import Limits
from ...standards import glands
from ..finding import Outcome
from ..report import Case, graded, outcome
from .chain_model import Model
from .lands import lands
from .seal_chain import chain_of
from .sealed import Sealed

METHOD = "placed numbers"
AIM = 2.0  # per cent of stretch, middle of what seal suppliers aim at
COMPRESSED = 3.0  # per cent that a ring may be longer than its line; common practice, no source
Read = Sequence[Sealed]


def gland_rules(layout: JobLayout, read: Read, limits: Limits) -> list[Outcome]:
    """The rules of how cords lie in their grooves."""
    return [corner(read), floor_radius(read), stretch(read), lands(layout, limits), extrusion(read), floor(read)]


def corner(read: Read) -> Outcome:
    """Smallest inside radius of each groove in plan over the cord's diameter; moulded rings have their own."""
    least, told = glands.limits().corner_radius_min, []
    for s in read:
        seal = s.seal
        if isinstance(seal, Gland) and seal.stock.moulded:
            continue
        radius, cord = (seal.bed[0], seal.cord_bought) if isinstance(seal, TubeSeal) else (seal.corner, seal.stock.diameter)
        circular = isinstance(seal, TubeSeal) or seal.circular
        what = f"cord of {cord:g} mm is bent to {radius:.2f} mm inside, and lifts or folds there"
        remedy = f"give the groove {least * cord:.2f} mm inside, better {glands.limits().corner_radius_best * cord:.2f}"
        remedy += "; or take a moulded ring" if circular else ""
        # A bonded ring that is bent too sharply can be made and looked at before it is laid; a corner cannot.
        told.append((Case(s.plate, s.features, radius / cord, least, what, remedy, nets=s.nets), not circular))
    return graded("seal.corner", told, METHOD)


def floor_radius(read: Read) -> Outcome:
    """Radius between wall and floor of each groove that is cut, against that of the table's row for its cord, mm."""
    cases = []
    for s in read:
        g = s.seal
        if isinstance(g, TubeSeal) or g.kind in ("port", "plug"):
            continue
        most = propose(g.stock.diameter, g.stock.hardness).floor_radius
        what = "the radius at the groove's floor takes up the room that the cord gives way in"
        remedy = f"take a cutter with a corner of {most:g} mm or less, or floor_radius: {most:g}"
        cases.append(Case(s.plate, s.features, g.floor_radius, most, what, remedy, nets=s.nets, at_most=True))
    return outcome("seal.floor-radius", cases, METHOD)


def stretch(read: Read) -> Outcome:
    """Stretch of each ring in its groove at the worst tolerances, per cent; below nought it is compressed."""
    most, told = glands.limits().stretch_max, []
    for s in read:
        spread = s.analysis.stretch
        if spread is None or isinstance(s.seal, TubeSeal):
            continue
        slack = -100 * spread.worst_low > COMPRESSED
        value = 100 * (spread.worst_low if slack else spread.worst_high)
        limit = -COMPRESSED if slack else most
        what = f"the ring is {'longer' if slack else 'shorter'} than the line it lies on, {s.seal.line:.2f} mm"
        inside = s.seal.line / (1 + AIM / 100) / math.pi - s.seal.nominal("cord")
        remedy = f"take a ring of {inside:.1f} mm inside" if s.seal.stock.moulded else "cut the cord closer to its length"
        hard = not -COMPRESSED <= 100 * spread.nominal <= most
        told.append((Case(s.plate, s.features, value, limit, what, remedy, nets=s.nets, at_most=not slack), hard))
    return graded("seal.stretch", told, METHOD)


def extrusion(read: Read) -> Outcome:
    """Gap that pressure may push each cord into, at the worst tolerances, mm: told, since coolants' pressure is low."""
    most = glands.limits().extrusion_gap_max
    cases = [
        Case(s.plate, s.features, s.analysis.extrusion.worst_high, most,
             f"a gap as seals at 35 bar must not have stands beside the cord, by nominal lengths "
             f"{s.analysis.extrusion.nominal:.2f} mm", f"none needed at {10 * s.seal.pressure:g} bar", nets=s.nets,
             at_most=True)
        for s in read
    ]  # fmt: skip
    return outcome("seal.extrusion", cases, METHOD, severity="note")


def floor(read: Read) -> Outcome:
    """What each tube's end stands above the channel's floor over a stepped groove, worst of all temperatures, mm."""
    told = []
    for s in read:
        if not isinstance(s.seal, TubeSeal) or not s.seal.step:
            continue
        nominal, known, worst = (min(v) for v in zip(*_above(s.seal), strict=True))
        what = "the tube's end may stand on the channel's floor, and the cord is squeezed no further: by nominal lengths "
        remedy = f"let the tube be {-2 * worst:.2f} mm shorter and channel.groove as much shallower as the gap grows"
        told.append(
            (Case(s.plate, s.features, worst, 0, f"{what}{nominal:.2f} mm above it", remedy, nets=s.nets),
             nominal < 0 or known < 0)
        )  # fmt: skip
    return graded("seal.floor", told, METHOD)


def _above(seal: TubeSeal) -> Iterator[tuple[float, float, float]]:
    """For each temperature: nominal, worst by what is known, and worst, mm."""
    chain = chain_of(seal)
    used = [t for t in seal.lengths if t.dimension.name not in ("cord", seal.width)]
    every = [t.dimension for t in used]
    known = [t.dimension if t.known else t.dimension.exact() for t in used]
    for _, celsius in seal.temperatures:
        above = _above_at(chain.model, seal.step, celsius - REFERENCE)
        yield (
            tolerance.nominal(above, every), tolerance.worst_case(above, known)[0], tolerance.worst_case(above, every)[0]
        )  # fmt: skip


def _above_at(model: Model, step: float, difference: float) -> tolerance.Function:
    return lambda v: model.gap(v, difference) - step
