"""Cells of a CSV file with the line and column of each (RFC 4180; `;` is taken for the comma where no comma is)."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from ..spec.messages import Problem, SpecError

MAX_BYTES = 4 * 1024 * 1024


@dataclass(frozen=True, slots=True)
class Cell:
    """Text of a cell, without its quotes and the blanks round it; line and column count from 1."""

    text: str
    line: int
    column: int


def read_cells(path: Path) -> list[list[Cell]]:
    """Rows of cells, rows without any text left out. Raises SpecError for a file that is no such table."""
    try:
        raw = path.read_bytes() if path.is_file() else None
    except OSError as error:
        raise _wrong(path, 0, 0, f"cannot be read: {error.strerror or error}") from None
    if raw is None:
        raise _wrong(path, 0, 0, "there is no such file", "give the table's path as seen from the sweep file")
    if len(raw) > MAX_BYTES:
        raise _wrong(path, 0, 0, "is larger than 4 MiB, which no table of variants needs")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise _wrong(path, line, 1, f"byte 0x{raw[error.start]:02x} is not UTF-8", "save it as UTF-8") from None
    rows = [row for row in _rows(path, text) if any(cell.text for cell in row)]
    if len(rows) < 2:
        raise _wrong(path, 1, 1, "needs a first line of parameter paths and at least one line of values")
    return rows


def _rows(path: Path, text: str) -> list[list[Cell]]:
    head = text.split("\n", 1)[0]
    mark = ";" if ";" in head and "," not in head else ","
    rows: list[list[Cell]] = [[]]
    at, line, start = 0, 1, 0
    while at < len(text):
        column = at - start + 1
        if text[at] == '"':
            cell, end = _quoted(path, text, at, line, column)
        else:
            ends = [i for i in (text.find(mark, at), text.find("\n", at)) if i >= 0]
            end = min(ends, default=len(text))
            cell = text[at:end]
        rows[-1].append(Cell(cell.strip(), line, column))
        newlines = text.count("\n", at, end)
        line, start = line + newlines, text.rfind("\n", at, end) + 1 if newlines else start
        if text.startswith("\r\n", end):
            end += 1
        if end < len(text) and text[end] == "\n":
            rows.append([])
            line, start = line + 1, end + 1
        elif end < len(text) and text[end] != mark:
            raise _wrong(path, line, end - start + 1, "text stands after the closing quote of a cell")
        elif end == len(text) - 1:
            rows[-1].append(Cell("", line, end - start + 2))  # the line ends with a comma
        at = end + 1
    return rows


def _quoted(path: Path, text: str, at: int, line: int, column: int) -> tuple[str, int]:
    """Text between quotes, and where the cell ends; a quote in it is written twice."""
    out, i = [], at + 1
    while (close := text.find('"', i)) >= 0:
        out.append(text[i:close])
        if not text.startswith('""', close):
            return "".join(out), close + 1
        out.append('"')
        i = close + 2
    raise _wrong(path, line, column, "a quoted cell is not closed before the file ends")


def _wrong(path: Path, line: int, column: int, what: str, do: str | None = None) -> SpecError:
    return SpecError([Problem(str(path), line, column, "", what, None, do)])
