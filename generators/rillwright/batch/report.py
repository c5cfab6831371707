"""A sweep's results as text for a terminal."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from .table import ELSEWHERE, Row
from .variants import Sweep

_HEADS = ("plates g", "coolant mL", "wall mm", "squeeze %", "screws", "holes", "cord mm", "findings", "s")


def text(sweep: Sweep, rows: Sequence[Row], out: Path) -> str:
    """A line for every variant but those that wait, what was not built and why, the count, and where it all lies."""
    lines = [("variant", "state", *_HEADS), *(_line(row) for row in rows if row.state != ELSEWHERE)]
    widths = [max(len(line[i]) for line in lines) for i in range(len(lines[0]))]
    table = ["  ".join(_set(c, w, i) for i, (c, w) in enumerate(zip(line, widths, strict=True))).rstrip() for line in lines]
    table.insert(1, "-" * len(table[0]))
    lost = [f"{row.variant.name}: {row.trouble}" for row in rows if row.trouble]
    counts = Counter(row.state for row in rows)
    told = ", ".join(f"{n} {state}" for state, n in counts.items())
    parts = ["\n".join(table), "\n".join(lost), f"{sweep.name}: {len(rows)} variants: {told}",
             f"in {out.as_posix()}: index.html, sweep.csv, sweep.json, and a folder for each variant"]  # fmt: skip
    return "\n\n".join(p for p in parts[:2] if p) + "\n\n" + "\n".join(parts[2:])


def _line(row: Row) -> tuple[str, ...]:
    f = row.figures
    if not f:
        return (row.variant.name, row.state, *("-" for _ in _HEADS))
    squeeze = "-" if f["squeeze_low_percent"] is None else f"{f['squeeze_low_percent']:g} to {f['squeeze_high_percent']:g}"
    found = [f"{f[k]} {word}" for k, word in (("errors", "err"), ("warnings", "warn")) if f[k]]
    return (
        row.variant.name, row.state, _number(f["plates_g"]), _number(f["coolant_ml"]), _number(f["wall_mm"]), squeeze,
        str(f["screws"]), str(f["holes"]), _number(f["cord_mm"]), ", ".join(found) or "none", _number(f["seconds"]),
    )  # fmt: skip


def _number(value: float | None) -> str:
    return "-" if value is None else f"{value:.5g}"


def _set(cell: str, width: int, column: int) -> str:
    return cell.ljust(width) if column < 2 or column in (5, 9) else cell.rjust(width)


def shown(value: Any) -> str:
    """A chosen value as it is read: text bare, the rest as JSON."""
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
