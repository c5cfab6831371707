"""The result table: one row a variant, as CSV and JSON. Every figure's unit stands in its name."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from ..export.cells import csv_text
from .variants import Sweep, Variant

HOLDS, FAILS, LOST, ELSEWHERE = "holds", "fails", "not built", "waits"
FIGURES = (
    "plates_g", "plates_tubes_struts_g", "coolant_ml", "wall_mm", "wall_at", "squeeze_low_percent",
    "squeeze_high_percent", "screws", "holes", "cord_mm", "drop_mbar", "velocity_m_s", "errors",
    "warnings", "notes", "waived", "seconds",
    "cpu_seconds", "peak_mb",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Row:
    """One variant and how it stands; `figures` of `work.build_variant`, empty where nothing was built."""

    variant: Variant
    state: str
    figures: dict[str, Any]
    trouble: str = ""

    def as_dict(self) -> dict[str, Any]:
        v = self.variant
        return {
            "name": v.name, "state": self.state, "trouble": self.trouble, "chosen": v.values, "settings": v.settings,
            **self.figures,
        }  # fmt: skip


def row_of(variant: Variant, record: dict[str, Any] | None, trouble: str = "") -> Row:
    """Row from the record in the variant's folder; without one it was lost if there is trouble to tell."""
    if record is None:
        return Row(variant, LOST if trouble else ELSEWHERE, {}, trouble)
    return Row(variant, HOLDS if record["row"]["holds"] else FAILS, record["row"])


def as_json(sweep: Sweep, rows: Sequence[Row]) -> dict[str, Any]:
    """All there is to tell about a sweep."""
    return {"format": 1, "sweep": sweep.name, "base": sweep.base, "columns": list(sweep.columns),
            "variants": [row.as_dict() for row in rows]}  # fmt: skip


def as_csv(sweep: Sweep, rows: Sequence[Row]) -> str:
    """The same as a table, without the single findings; nothing that was written can begin a formula."""
    lines = []
    for row in rows:
        rules = dict.fromkeys(f["rule"] for f in row.figures.get("findings", ()) if f["severity"] != "note")
        cells = [row.variant.name, row.state, *(row.variant.values.get(c) for c in sweep.columns)]
        cells += [*(row.figures.get(f) for f in FIGURES), " ".join(rules), row.trouble]
        lines.append([_plain(c) for c in cells])
    return csv_text(["name", "state", *sweep.columns, *FIGURES, "findings", "trouble"], lines)


def _plain(value: Any) -> Any:
    if isinstance(value, dict | list):
        return json.dumps(value, ensure_ascii=False)
    return value
