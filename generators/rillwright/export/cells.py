"""Tables as CSV (UTF-8, comma, dot) that no spreadsheet takes for anything but data."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from typing import Any

STARTS = ("=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20")  # of a formula, also as full-width signs


def csv_text(columns: Sequence[str], rows: Iterable[Sequence[Any]]) -> str:
    """The whole table; every cell goes through `cell`."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([cell(c) for c in columns])
    writer.writerows([cell(c) for c in row] for row in rows)
    return out.getvalue()


def cell(value: Any) -> Any:
    """A value as it may stand in a cell: text that could begin a formula gets an apostrophe before it, as spreadsheets
    mark text; numbers, also several in one cell as of a direction, stay as they are."""
    if value is None:
        return ""
    if not isinstance(value, str):
        return value
    text = value.replace("\r\n", "\n").replace("\r", "\n")  # a bare one would end the row for some readers
    formula = text.startswith("\t") or text.lstrip().startswith(STARTS)
    return f"'{text}" if formula and not _numbers(text) else text


def _numbers(text: str) -> bool:
    try:
        return all(float(word) is not None for word in text.split())
    except ValueError:
        return False
