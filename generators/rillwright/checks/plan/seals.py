"""Checks of the cords at the tube ends, and what there is to tell about each.

What is an error: a nominal squeeze or fill outside its limits, and a worst case that no longer seals by tolerances
that the user stated or measured alone. A worst case that is bad only by a class of cord or by one of our defaults is
a warning that names what to measure: cord of class E2 takes up the whole range by itself, and no job would pass.
"""

from __future__ import annotations

from typing import Any

from ...layout.features import JobLayout
from ...layout.seal import TubeSeal
from ...spec.job import Limits
from ..finding import Outcome
from ..report import Case, graded, outcome
from .seal_chain import Analysis, Condition, analyse, draw
from .seal_record import record

METHOD = "tolerance chain of the tube stack"
NO_ROOM = 1000.0  # per cent, told as the fill where the tube stands on the floor and no gland is left
Read = list[tuple[TubeSeal, Analysis]]


def analysed(layout: JobLayout) -> Read:
    """Every tube seal with its analysis; computed once for the same numbers."""
    return [(s, analyse(s)) for s in layout.seals]


def seal_checks(layout: JobLayout, limits: Limits) -> list[Outcome]:
    """The rules of tube seals."""
    read = analysed(layout)
    return [
        squeeze(read, limits), cover(read), squeeze_range(read, limits), fill(read, limits), drift(read, limits)
    ]  # fmt: skip


def seal_records(layout: JobLayout, limits: Limits, draws: bool = True) -> list[dict[str, Any]]:
    """One record of plain numbers per tube; see `seal_record`. Without `draws` there is no Monte Carlo in it."""
    good = (limits.squeeze_low / 100, limits.squeeze_high / 100)
    still = (limits.squeeze_seals / 100, limits.squeeze_bears / 100)
    return [record(s, a, draw(s, good, still) if draws else None) for s, a in analysed(layout)]


def squeeze(read: Read, limits: Limits) -> Outcome:
    """Squeeze of each tube's cords at filling temperature by nominal or measured lengths, per cent."""
    cases = []
    for s, a in read:
        now = a.filling
        low = _nearer_low(now.squeeze.nominal, limits)
        what = f"the cord is squeezed too {'little' if low else 'much'}: the gap is {now.gap:.2f} mm for a cord of "
        limit = limits.squeeze_low if low else limits.squeeze_high
        cases.append(
            Case("assembly", _features(s), 100 * now.squeeze.nominal, limit, f"{what}{s.nominal('cord'):g} mm",
                 _cut_to(s, a, limits), nets=(s.loop,), at_most=not low)
        )  # fmt: skip
    return outcome("seal.squeeze", cases, METHOD)


def cover(read: Read) -> Outcome:
    """How far the tube's end reaches past the middle of a cord that lies against the outer wall of its channel, mm."""
    cases = []
    for s, _ in read:
        outside = s.channel[1] - s.tube_outside / 2
        inside = s.tube_outside / 2 - s.tube_wall - s.channel[0]
        gap = outside + min(outside, inside)  # the tube pushed over to the other side
        over = s.nominal("cord") / 2 - gap
        what = f"the cord may lie beside the tube's end: {gap:.2f} mm of gap for a cord of {s.nominal('cord'):g} mm"
        less = -over / (2 if inside >= outside else 1)
        remedy = f"make channel.clearance_outside {less:.2f} mm smaller, or take a thicker cord"
        cases.append(Case("assembly", _features(s), over, 0, what, remedy, nets=(s.loop,)))
    return outcome("seal.cover", cases, "placed numbers")


def _nearer_low(value: float, limits: Limits) -> bool:
    return abs(100 * value - limits.squeeze_low) <= abs(100 * value - limits.squeeze_high)


def _features(s: TubeSeal) -> tuple[str, ...]:
    return (f"{s.reservoir}.tube", f"{s.reservoir}.cord")


def _cut_to(s: TubeSeal, a: Analysis, limits: Limits) -> str:
    """The tube or strut length that would give the middle of the limits."""
    wanted = (limits.squeeze_low + limits.squeeze_high) / 200
    longer = 2 * s.nominal("cord") * (wanted - a.filling.squeeze.nominal)
    tube, strut = s.nominal("tube length"), s.nominal("strut length")
    return f"cut the tube to {tube + longer:.2f} mm, or the struts to {strut - longer:.2f} mm"


def squeeze_range(read: Read, limits: Limits) -> Outcome:
    """Worst-case squeeze of each tube's cords at every temperature, per cent."""
    told: list[tuple[Case, bool]] = []
    for s, a in read:
        least = min(a.conditions, key=lambda c: c.squeeze.worst_low)
        most = max(a.conditions, key=lambda c: c.squeeze.worst_high)
        known_low = 100 * min(c.known_squeeze[0] for c in a.conditions)
        known_high = 100 * max(c.known_squeeze[1] for c in a.conditions)
        told.append(
            (Case("assembly", (*_features(s), "least"), 100 * least.squeeze.worst_low, limits.squeeze_seals,
                  _range_words(least, "may not seal"), _measure(s, a), nets=(s.loop,)),
             known_low < limits.squeeze_seals)
        )  # fmt: skip
        told.append(
            (Case("assembly", (*_features(s), "most"), 100 * most.squeeze.worst_high, limits.squeeze_bears,
                  _range_words(most, "may be overloaded"), _measure(s, a), nets=(s.loop,), at_most=True),
             known_high > limits.squeeze_bears)
        )  # fmt: skip
    return graded("seal.squeeze-range", told, METHOD)


def _range_words(c: Condition, what: str) -> str:
    where = f"{c.name} at {c.celsius:g} °C"
    return f"at the worst tolerances the cord {what}, {where}; most of it comes from: {c.squeeze.dominant}"


def _measure(s: TubeSeal, a: Analysis) -> str:
    if not a.measure:
        return "all is measured: cut the tube or the struts to what was read, or take cord that varies less"
    key = next(t.key for t in s.lengths if t.dimension.name == a.measure)
    left = round(100 * a.measure_leaves)
    return f"measure the {a.measure} and write it as measured.{key} of {s.reservoir!r}: that leaves {left} % of the range"


def fill(read: Read, limits: Limits) -> Outcome:
    """Fill of each tube channel's gland at its fullest, per cent: nominal first, then the worst case."""
    told: list[tuple[Case, bool]] = []
    for s, a in read:
        nominal = max(_percent(c.fill.nominal if c.fill else None) for c in a.conditions)
        worst = max(_percent(c.fill.worst_high if c.fill else None) for c in a.conditions)
        known = max(_percent(c.known_fill) for c in a.conditions)
        wide = s.nominal("channel width")
        told.append(
            (Case("assembly", _features(s), worst, limits.fill,
                  f"the cord has no room to give way: the channel is {wide:.2f} mm wide, nominal fill {nominal:.0f} %",
                  f"widen the channel, take thinner cord, or {_measure(s, a)}", nets=(s.loop,), at_most=True),
             nominal > limits.fill or known > limits.fill)
        )  # fmt: skip
    return graded("seal.fill", told, METHOD)


def _percent(value: float | None) -> float:
    return NO_ROOM if value is None else min(100 * value, NO_ROOM)


def drift(read: Read, limits: Limits) -> Outcome:
    """Nominal squeeze of each tube's cords hottest and coldest, per cent."""
    told: list[tuple[Case, bool]] = []
    for s, a in read:
        for c in a.conditions[1:]:
            value = 100 * c.squeeze.nominal
            low = _nearer_low(c.squeeze.nominal, limits)
            moved = value - 100 * a.filling.squeeze.nominal
            case = Case(
                "assembly", (*_features(s), c.name), value, limits.squeeze_low if low else limits.squeeze_high,
                f"temperature takes the squeeze out of its limits, {c.name} at {c.celsius:g} °C",
                f"let the squeeze at filling be {abs(moved):.1f} % {'more' if moved < 0 else 'less'}, or take steel struts",
                nets=(s.loop,), at_most=not low,
            )  # fmt: skip
            told.append((case, not limits.squeeze_seals <= value <= limits.squeeze_bears))
    return graded("seal.drift", told, METHOD)
