"""What a check answers with: a summary for the rule, and a finding for everything that is not right."""

from __future__ import annotations

import hashlib
from dataclasses import asdict, dataclass
from typing import Any, Literal

Severity = Literal["error", "warning", "note"]
Bound = Literal["exact", "lower", "estimate"]
Point = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that is not as it has to be. Lengths in mm, places in the plate's frame."""

    rule: str
    severity: Severity
    plate: str
    features: tuple[str, ...]
    measured: float | None
    limit: float | None
    unit: str
    what: str  # plain words, without the figures
    remedy: str
    source: str
    method: str
    bound: Bound = "exact"
    tolerance: float = 0.0  # of the measurement, in `unit`
    nets: tuple[str, ...] = ()
    at: tuple[Point, ...] = ()  # both closest points where there are two
    waived: str = ""  # the reason why the job accepts it, empty where it does not

    @property
    def shortfall(self) -> float:
        """How far beyond its limit, as a share of the limit (of 1 where the limit is 0); for sorting only."""
        if self.measured is None or self.limit is None:
            return 0.0
        return abs(self.measured - self.limit) / (abs(self.limit) or 1.0)

    @property
    def rank(self) -> tuple[bool, int, float, str]:
        """Order in a report: what counts first, the gravest first, then the furthest beyond its limit."""
        return bool(self.waived), ("error", "warning", "note").index(self.severity), -self.shortfall, self.key

    @property
    def key(self) -> str:
        """Stable name of the finding: rule, plate and feature names, no coordinates."""
        text = "|".join([self.rule, self.plate, *sorted(self.features)])
        return f"{self.rule}-{hashlib.sha256(text.encode()).hexdigest()[:8]}"

    def as_dict(self) -> dict[str, Any]:
        return {"key": self.key, **asdict(self)}


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one rule looked at: how many cases, the one nearest to its limit, and its findings."""

    rule: str
    question: str
    cases: int
    worst: float | None
    limit: float | None
    unit: str
    source: str
    findings: tuple[Finding, ...] = ()
    worst_at: str = ""  # names of the features of the worst case

    @property
    def holds(self) -> bool:
        return not any(f.severity == "error" and not f.waived for f in self.findings)

    def as_dict(self) -> dict[str, Any]:
        d = asdict(self)
        d["findings"] = [f.key for f in self.findings]
        return {**d, "holds": self.holds}
