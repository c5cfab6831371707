"""Checks of every cord and ring, and what there is to tell about each.

What is an error: a nominal squeeze or fill outside its limits, and a worst case that no longer seals by tolerances
that the user stated or measured alone. A worst case that is bad only by a class of cord or by one of our defaults is
a warning that names what to measure: cord of class E2 takes up the whole range by itself, and no job would pass.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from ...layout.job_layout import JobLayout
from ...layout.seal import TubeSeal
from ...spec.job import Limits
from ..finding import Outcome
from ..report import Case, graded, outcome
from . import gland_record, seal_record
from .glands import gland_rules
from .seal_chain import Analysis, Condition, analyse, draw, in_use
from .sealed import Sealed, sealed

METHOD = "tolerance chain of the seal"
NO_ROOM = 1000.0  # per cent, told as the fill where the tube stands on the floor and no gland is left
Read = Sequence[Sealed]


def analysed(layout: JobLayout) -> list[tuple[TubeSeal, Analysis]]:
    """Every tube seal with its analysis; computed once for the same numbers."""
    return [(s, analyse(s)) for s in layout.seals]


def seal_checks(layout: JobLayout, limits: Limits) -> list[Outcome]:
    """The rules of all seals."""
    read = sealed(layout)
    return [
        squeeze(read, limits), cover(analysed(layout)), squeeze_range(read, limits), fill(read, limits),
        drift(read, limits), *gland_rules(layout, read, limits),
    ]  # fmt: skip


def seal_records(layout: JobLayout, limits: Limits, draws: bool = True) -> list[dict[str, Any]]:
    """One record of plain numbers per tube; see `seal_record`. Without `draws` there is no Monte Carlo in it."""
    good, still = _bounds(limits)
    return [seal_record.record(s, a, draw(s, good, still) if draws else None) for s, a in analysed(layout)]


def gland_records(layout: JobLayout, limits: Limits, draws: bool = True) -> list[dict[str, Any]]:
    """One record of plain numbers per groove in a face, those alike once; see `gland_record`."""
    good, still = _bounds(limits)
    return [gland_record.record(g, analyse(g), draw(g, good, still) if draws else None) for g in layout.glands]


def _bounds(limits: Limits) -> tuple[tuple[float, float], tuple[float, float]]:
    """Squeeze of a good seal, and of one that still seals, fractions."""
    return (
        (limits.squeeze_low / 100, limits.squeeze_high / 100), (limits.squeeze_seals / 100, limits.squeeze_bears / 100)
    )  # fmt: skip


def squeeze(read: Read, limits: Limits) -> Outcome:
    """Squeeze of each cord at filling temperature by nominal or measured lengths, per cent."""
    cases = []
    for s in read:
        now = s.analysis.filling
        low = _nearer_low(now.squeeze.nominal, limits)
        what = f"the cord is squeezed too {'little' if low else 'much'}: the gap is {now.gap:.2f} mm for a cord of "
        limit = limits.squeeze_low if low else limits.squeeze_high
        remedy = s.recut((limits.squeeze_low + limits.squeeze_high) / 200)
        cases.append(
            Case(s.plate, s.features, 100 * now.squeeze.nominal, limit, f"{what}{s.seal.nominal('cord'):g} mm", remedy,
                 nets=s.nets, at_most=not low)
        )  # fmt: skip
    return outcome("seal.squeeze", cases, METHOD)


def cover(read: Sequence[tuple[TubeSeal, Analysis]]) -> Outcome:
    """How far the tube's end reaches past the middle of a cord that lies against the outer wall of its channel, mm."""
    cases = []
    for s, _ in read:
        outside = s.channel[1] - s.tube_outside / 2
        inside = s.tube_outside / 2 - s.tube_wall - s.channel[0]
        gap = s.bed[1] - s.tube_outside / 2 + min(outside, inside)  # the tube pushed over to the other side
        over = s.nominal("cord") / 2 - gap
        what = f"the cord may lie beside the tube's end: {gap:.2f} mm of gap for a cord of {s.nominal('cord'):g} mm"
        less = -over / (2 if inside >= outside and not s.step else 1)
        remedy = f"make channel.clearance_outside {less:.2f} mm smaller, or take a thicker cord"
        features = (f"{s.reservoir}.tube", f"{s.reservoir}.cord")
        cases.append(Case("assembly", features, over, 0, what, remedy, nets=(s.loop,)))
    return outcome("seal.cover", cases, "placed numbers")


def _nearer_low(value: float, limits: Limits) -> bool:
    return abs(100 * value - limits.squeeze_low) <= abs(100 * value - limits.squeeze_high)


def squeeze_range(read: Read, limits: Limits) -> Outcome:
    """Worst-case squeeze of each cord in every condition, settled included, per cent."""
    told: list[tuple[Case, bool]] = []
    for s in read:
        now = _in_use(s, limits)
        told += now
        if now[0][0].margin >= 0:  # one that may not seal while new is told once
            told.append(_settled(s, limits))
    return graded("seal.squeeze-range", told, METHOD)


def _in_use(s: Sealed, limits: Limits) -> list[tuple[Case, bool]]:
    every = in_use(s.analysis)
    least = min(every, key=lambda c: c.squeeze.worst_low)
    most = max(every, key=lambda c: c.squeeze.worst_high)
    low = Case(s.plate, (*s.features, "least"), 100 * least.squeeze.worst_low, limits.squeeze_seals,
               _range_words(least, "may not seal"), s.to_measure(), nets=s.nets)  # fmt: skip
    high = Case(s.plate, (*s.features, "most"), 100 * most.squeeze.worst_high, limits.squeeze_bears,
                _range_words(most, "may be overloaded"), s.to_measure(), nets=s.nets, at_most=True)  # fmt: skip
    return [
        (low, 100 * min(c.known_squeeze[0] for c in every) < limits.squeeze_seals),
        (high, 100 * max(c.known_squeeze[1] for c in every) > limits.squeeze_bears),
    ]


def _settled(s: Sealed, limits: Limits) -> tuple[Case, bool]:
    """What still pushes back once the cord has set."""
    last = s.analysis.conditions[-1]
    case = Case(s.plate, (*s.features, last.name), 100 * last.squeeze.worst_low, limits.squeeze_settled,
                _range_words(last, "may have set too far to seal"),
                f"give channel.cord or seal.cord its compression_set by data sheet, or {s.to_measure()}",
                nets=s.nets)  # fmt: skip
    return case, 100 * last.known_squeeze[0] < limits.squeeze_settled


def _range_words(c: Condition, what: str) -> str:
    where = f"{c.name} at {c.celsius:g} °C"
    return f"at the worst tolerances the cord {what}, {where}; most of it comes from: {c.squeeze.dominant}"


def fill(read: Read, limits: Limits) -> Outcome:
    """Fill of each gland at its fullest, per cent: nominal first, then the worst case."""
    told: list[tuple[Case, bool]] = []
    for s in read:
        every = in_use(s.analysis)
        nominal = max(_percent(c.fill.nominal if c.fill else None) for c in every)
        worst = max(_percent(c.fill.worst_high if c.fill else None) for c in every)
        known = max(_percent(c.known_fill) for c in every)
        widen = s.widened(worst / limits.fill) if limits.fill < worst < NO_ROOM else f"widen the {s.pocket}"
        if worst > limits.fill and not isinstance(s.seal, TubeSeal):
            worst = math.ceil(worst)  # rings that differ by their length alone are told together
        told.append(
            (Case(s.plate, s.features, worst, limits.fill,
                  f"the cord has no room to give way: the {s.pocket} is {s.width:.2f} mm wide, nominal fill "
                  f"{nominal:.0f} %", f"{widen}, take thinner cord, or {s.to_measure()}", nets=s.nets,
                  at_most=True),
             nominal > limits.fill or known > limits.fill)
        )  # fmt: skip
    return graded("seal.fill", told, METHOD)


def _percent(value: float | None) -> float:
    return NO_ROOM if value is None else min(100 * value, NO_ROOM)


def drift(read: Read, limits: Limits) -> Outcome:
    """Nominal squeeze of each cord hottest and coldest, per cent; one that is out at filling already is told there."""
    told: list[tuple[Case, bool]] = []
    for s in read:
        filling, *others = in_use(s.analysis)
        for c in others:
            value = 100 * c.squeeze.nominal
            low = _nearer_low(c.squeeze.nominal, limits)
            limit, at_first = limits.squeeze_low if low else limits.squeeze_high, 100 * filling.squeeze.nominal
            if (at_first < limit) if low else (at_first > limit):
                continue
            case = Case(
                s.plate, (*s.features, c.name), value, limit,
                f"temperature takes the squeeze out of its limits, {c.name} at {c.celsius:g} °C",
                f"let the squeeze at filling be {abs(value - limit):.1f} points {'more' if low else 'less'}, "
                f"or {s.steadier()}", nets=s.nets, at_most=not low,
            )  # fmt: skip
            told.append((case, not limits.squeeze_seals <= value <= limits.squeeze_bears))
    return graded("seal.drift", told, METHOD)
