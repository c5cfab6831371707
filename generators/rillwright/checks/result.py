"""What a whole run answers with: every rule's outcome, and the records of seals, clamping and nets."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from .finding import Finding, Outcome
from .rules import RULES, Rule

FORMAT = 1  # of checks.json; counts up when a field changes its meaning


@dataclass(frozen=True, slots=True)
class Result:
    """What a run answers with."""

    job: str
    outcomes: tuple[Outcome, ...]
    folder: Path | None = None
    seals: tuple[dict[str, Any], ...] = ()  # of `seal_records`, one per tube
    clamping: tuple[dict[str, Any], ...] = ()  # of `clamp_records`, one per tube
    nets: tuple[dict[str, Any], ...] = ()  # of `net_rows`, one per loop and assembly; empty where no solid was made
    glands: tuple[dict[str, Any], ...] = ()  # of `gland_records`, one per groove in a face, those alike once
    faces: tuple[dict[str, Any], ...] = ()  # of `face_records`, one per port and plug

    flow: tuple[dict[str, Any], ...] = ()  # of `flow_records`, one per loop and assembly

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Every finding, waived ones last, the gravest first, then the furthest beyond its limit."""
        return tuple(sorted((f for o in self.outcomes for f in o.findings), key=lambda f: f.rank))

    @property
    def holds(self) -> bool:
        return all(o.holds for o in self.outcomes)

    @property
    def waiting(self) -> tuple[Rule, ...]:
        """Rules that were not asked, since they are measured on solids and none were made."""
        return tuple(r for r in RULES.values() if r.built) if self.folder is None else ()

    def as_dict(self) -> dict[str, Any]:
        return {
            "format": FORMAT,
            "job": self.job,
            "holds": self.holds,
            "by_build_only": [r.name for r in self.waiting],
            "checked": [o.as_dict() for o in self.outcomes],
            "findings": [f.as_dict() for f in self.findings],
            "seals": list(self.seals),
            "glands": list(self.glands),
            "faces": list(self.faces),
            "clamping": list(self.clamping),
            "nets": list(self.nets),
            "flow": list(self.flow),
        }
