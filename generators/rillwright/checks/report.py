"""Turning measured cases into outcomes: one shared way, so that no rule forgets its worst case."""

from __future__ import annotations

from dataclasses import dataclass, replace

from .finding import Bound, Finding, Outcome, Point, Severity
from .rules import RULES


@dataclass(frozen=True, slots=True)
class Case:
    """One measured thing. `margin` below zero breaks the rule; without one it is limit − or + measured."""

    plate: str
    features: tuple[str, ...]
    measured: float
    limit: float
    what: str
    remedy: str
    at: tuple[Point, ...] = ()
    nets: tuple[str, ...] = ()
    at_most: bool = False  # the limit is an upper one
    tolerance: float = 0.0

    @property
    def margin(self) -> float:
        return self.limit - self.measured if self.at_most else self.measured - self.limit


Cases = dict[str, list[Case]]  # by rule
UNEXPECTED = "mend the other findings first; if this one stays alone, report it as a fault of the program"
EPSILON = 1e-6  # mm: what double precision leaves after a boolean; far below any gap that matters


def outcome(
    rule: str, cases: list[Case], method: str, severity: Severity = "error", bound: Bound = "exact", others: int = 0
) -> Outcome:
    """The rule's answer over all its cases, and a finding for each that breaks its limit.

    `others`: how many more there were, which hold and none of which is the nearest.
    """
    r = RULES[rule]
    bad = sorted((c for c in cases if c.margin < -EPSILON), key=lambda c: c.margin)
    worst = min(cases, key=lambda c: c.margin, default=None)
    findings = tuple(
        Finding(
            rule, severity, c.plate, c.features, round(c.measured, 4), c.limit, r.unit, c.what, c.remedy, r.source,
            method, bound, c.tolerance, c.nets, c.at,
        )
        for c in bad
    )  # fmt: skip
    return Outcome(
        rule, r.question, len(cases) + others, None if worst is None else round(worst.measured, 4),
        None if worst is None else worst.limit, r.unit, r.source, findings,
        "" if worst is None else ", ".join((worst.plate, *worst.features)),
    )  # fmt: skip


def graded(rule: str, told: list[tuple[Case, bool]], method: str, bound: Bound = "estimate") -> Outcome:
    """The rule's answer over cases of which those marked True are errors and the others warnings where they break it."""
    whole = outcome(rule, [c for c, _ in told], method, severity="warning", bound=bound)
    hard = outcome(rule, [c for c, bad in told if bad], method, bound=bound).findings
    keys = {f.key for f in hard}
    return replace(whole, findings=(*hard, *(f for f in whole.findings if f.key not in keys)))
