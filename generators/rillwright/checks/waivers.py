"""Findings that the job accepts: marked with the reason, never hidden; a waiver that matches nothing is a finding."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from ..spec.machine import Waiver
from .finding import Finding, Outcome
from .report import Case, outcome
from .rules import RULES


def with_waivers(outcomes: Iterable[Outcome], waivers: Sequence[Waiver]) -> tuple[Outcome, ...]:
    """The outcomes with accepted findings marked, and one more outcome for the waivers themselves.

    A waiver of a rule that did not run (the quick check measures no solid) is not yet stale.
    """
    reasons = {w.key: w.reason for w in waivers}
    marked = [replace(o, findings=tuple(_marked(f, reasons) for f in o.findings)) for o in outcomes]
    if not waivers:
        return tuple(marked)
    found = {f.key for o in marked for f in o.findings}
    ran = {o.rule for o in marked}
    return (*marked, _stale(waivers, found, ran))


def _marked(f: Finding, reasons: dict[str, str]) -> Finding:
    return replace(f, waived=reasons[f.key]) if f.key in reasons else f


def rule_of(key: str) -> str:
    """The rule in a finding's key."""
    return key.rpartition("-")[0]


def _stale(waivers: Sequence[Waiver], found: set[str], ran: set[str]) -> Outcome:
    cases = []
    for w in waivers:
        rule = rule_of(w.key)
        stale = w.key not in found and (rule in ran or rule not in RULES)
        what = f"no finding has this key; it was waived because: {w.reason}"
        remedy = "take the waiver out of the file" if rule in RULES else f"there is no rule {rule!r}; correct the key"
        cases.append(Case("job", (w.key,), int(stale), 0, what, remedy, at_most=True))
    return outcome("waiver.stale", cases, "keys of all findings", "warning")
