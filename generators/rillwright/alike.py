"""Findings that say the same of several features, for a text that says it once."""

from __future__ import annotations

import re
from collections.abc import Sequence

from .checks.finding import Finding

_QUOTED = re.compile(r"'[^']*'")
_COUNTED = {
    "faults": "fault", "faces": "face", "mouths": "mouth", "voids": "void", "loops": "loop", "openings": "opening",
    "places": "place", "differences": "difference", "holes": "hole", "findings": "finding", "ways": "way",
}  # fmt: skip


def grouped(findings: Sequence[Finding]) -> list[tuple[Finding, ...]]:
    """Findings in their order, those alike together where the first of them stands.

    Alike: one rule and gravity, the same words, the same figures to a thousandth; only names in quotes may differ.
    """
    groups: dict[tuple[object, ...], list[Finding]] = {}
    for f in findings:
        figures = tuple(None if v is None else round(v, 3) for v in (f.measured, f.limit))
        words = (_QUOTED.sub("", f.what), _QUOTED.sub("", f.remedy), f.waived)
        groups.setdefault((f.rule, f.severity, *figures, *words), []).append(f)
    return [tuple(g) for g in groups.values()]


def places(group: Sequence[Finding]) -> str:
    """Plates and features of all: `upper: a, b; lower: c`."""
    by_plate: dict[str, list[str]] = {}
    for f in group:
        by_plate.setdefault(f.plate, []).append(", ".join(f.features))
    between = ", " if all(len(f.features) == 1 for f in group) else "; "
    return "; ".join(f"{plate}{': ' if any(names) else ''}{between.join(names)}" for plate, names in by_plate.items())


def counted(value: float, unit: str) -> str:
    """The unit as it is said of a value: 1 face, 2 faces."""
    return _COUNTED.get(unit, unit) if value == 1 else unit
