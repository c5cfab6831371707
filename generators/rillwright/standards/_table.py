"""Tables of published numbers, read from CSV files that say what they hold.

A file in `data/` begins with lines of the form `# word: text`:

    # table: what the table is
    # key: the columns that name a row, comma between
    # column: name | unit | meaning | standard | source | mark

one `column` line per column, and `# note:` lines. The unit `text` makes a column of words, `-` a number
without unit; a unit that ends in `?` (as in `MPa?`) lets a cell stay blank. The mark is one of `MARKS`;
`see row` points at the row's own column `mark`. A file is read when first asked for, checked once, and kept.
"""

from __future__ import annotations

import csv
import difflib
import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType

DATA = Path(__file__).parent / "data"
VERIFIED = "verified"
MEMORY = "from memory"
COMPUTED = "computed"
PRACTICE = "common practice, no source"
MARKS = (VERIFIED, MEMORY, COMPUTED, PRACTICE)
SEE_ROW = "see row"


class TableError(RuntimeError):
    """A data file of the program is not in order: names the file, the line and what is wrong."""


class UnknownSize(ValueError):
    """A size, name or class that a table does not hold; `choices` are those it does, `nearest` is close."""

    def __init__(
        self, what: str, given: object, choices: Iterable[object], where: str, advice: str = ""
    ) -> None:
        self.what, self.given, self.where = what, given, where
        self.choices = tuple(choices)
        self.nearest = _nearest(given, self.choices)
        known = ", ".join(_show(c) for c in self.choices)
        hint = f"; the nearest is {_show(self.nearest)}" if self.nearest is not None else ""
        todo = f"; {advice}" if advice else ""
        super().__init__(f"{where}: there is no {what} {_show(given)}; take one of {known}{hint}{todo}")


@dataclass(frozen=True, slots=True)
class Column:
    """What one column holds: unit, meaning, standard with edition, where it was read, and its mark."""

    name: str
    unit: str
    meaning: str
    standard: str
    source: str
    mark: str

    @property
    def is_text(self) -> bool:
        return self.unit.rstrip("?") == "text"

    @property
    def may_be_blank(self) -> bool:
        return self.unit.endswith("?")


@dataclass(frozen=True, slots=True)
class Row:
    """One row: numbers and words by column name."""

    numbers: Mapping[str, float]
    words: Mapping[str, str]

    def number(self, column: str) -> float:
        """The number in a column, in the column's unit. KeyError for a blank cell or an unknown column."""
        return self.numbers[column]

    def optional(self, column: str) -> float | None:
        """The number in a column, None for a blank cell."""
        return self.numbers.get(column)

    def text(self, column: str) -> str:
        """The word in a column, empty for a blank cell. KeyError for an unknown column."""
        return self.words[column]


@dataclass(frozen=True, slots=True)
class Table:
    """A checked table. `rows` is keyed by the words of the key columns, as they stand in the file."""

    name: str
    title: str
    key: tuple[str, ...]
    columns: Mapping[str, Column]
    rows: Mapping[tuple[str, ...], Row]

    def find(self, what: str, *given: str, advice: str = "") -> Row:
        """Row of a key. Raises `UnknownSize` with the keys that differ in the last word, or all."""
        row = self.rows.get(given)
        if row is not None:
            return row
        alike = [k[-1] for k in self.rows if k[:-1] == given[:-1]]
        if alike:
            where = " ".join([self.title, *given[:-1]])
            raise UnknownSize(what, given[-1], alike, where, advice)
        raise UnknownSize(what, " ".join(given), (" ".join(k) for k in self.rows), self.title, advice)

    def where(self, column: str, word: str) -> list[Row]:
        """Rows that have the word in a text column, in the order of the file."""
        return [r for r in self.rows.values() if r.text(column) == word]


@cache
def table(name: str) -> Table:
    """The table `data/<name>.csv`, read and checked on first use. Raises `TableError`."""
    return read_table(DATA / f"{name}.csv")


def read_table(path: Path) -> Table:
    """Read and check one file.

    Raises `TableError` for a missing heading, a column that is not documented or documented in vain, a blank
    heading, a row of another width, a number that is not finite, a blank cell, or a key that comes twice.
    """
    lines = path.read_text(encoding="utf-8").splitlines()
    head = [line for line in lines if line.startswith("#")]
    if lines[: len(head)] != head:
        raise TableError(f"{path.name}: the lines with # have to stand first")
    title, key, columns = _heading(path.name, head)
    body = list(csv.reader(lines[len(head) :], strict=True))
    if not body:
        raise TableError(f"{path.name}: no line with the column names")
    _check_names(path.name, body[0], columns, key)
    rows: dict[tuple[str, ...], Row] = {}
    for number, cells in enumerate(body[1:], start=len(head) + 2):
        place = f"{path.name}:{number}"
        row_key, row = _row(place, body[0], cells, columns, key)
        if row_key in rows:
            raise TableError(f"{place}: {' '.join(row_key)} comes twice")
        rows[row_key] = row
    return Table(path.stem, title, key, MappingProxyType(columns), MappingProxyType(rows))


def _heading(file: str, head: Sequence[str]) -> tuple[str, tuple[str, ...], dict[str, Column]]:
    title, key = "", tuple[str, ...]()
    columns: dict[str, Column] = {}
    for line in head:
        word, _, text = line.lstrip("# ").partition(":")
        if word == "table":
            title = text.strip()
        elif word == "key":
            key = tuple(k.strip() for k in text.split(","))
        elif word == "column":
            column = _column(file, text)
            columns[column.name] = column
        elif word != "note":
            raise TableError(f"{file}: {line!r} is none of # table:, # key:, # column:, # note:")
    if not (title and key and columns):
        raise TableError(f"{file}: it needs # table:, # key: and one # column: per column")
    return title, key, columns


def _column(file: str, text: str) -> Column:
    parts = [p.strip() for p in text.split("|")]
    if len(parts) != 6 or not all(parts):
        form = "name | unit | meaning | standard | source | mark"
        raise TableError(f"{file}: {text.strip()!r} has to be {form}")
    column = Column(*parts)
    if column.mark not in (*MARKS, SEE_ROW):
        raise TableError(f"{file}: column {column.name}: mark {column.mark!r} is none of {', '.join(MARKS)}")
    return column


def _check_names(file: str, names: Sequence[str], columns: Mapping[str, Column], key: Sequence[str]) -> None:
    for name in names:
        if not name or name != name.strip():
            raise TableError(f"{file}: the heading {name!r} is blank or has a blank at its end")
        if name not in columns:
            raise TableError(f"{file}: column {name} has no # column: line")
    if len(set(names)) != len(names):
        raise TableError(f"{file}: a column name comes twice")
    for name in (*columns, *key):
        if name not in names:
            raise TableError(f"{file}: column {name} is described but not there")
    if any(c.mark == SEE_ROW for c in columns.values()) and "mark" not in names:
        raise TableError(f"{file}: a column says '{SEE_ROW}' but there is no column mark")


def _row(
    place: str, names: Sequence[str], cells: Sequence[str], columns: Mapping[str, Column], key: Sequence[str]
) -> tuple[tuple[str, ...], Row]:
    if len(cells) != len(names):
        raise TableError(f"{place}: {len(cells)} cells, {len(names)} columns")
    raw = dict(zip(names, (c.strip() for c in cells), strict=True))
    numbers: dict[str, float] = {}
    words: dict[str, str] = {}
    for name, cell in raw.items():
        column = columns[name]
        if not cell and not column.may_be_blank:
            raise TableError(f"{place}: {name} is blank")
        if column.is_text:
            words[name] = cell
        elif cell:
            numbers[name] = _number(place, name, cell)
    if "mark" in words and words["mark"] not in MARKS:
        raise TableError(f"{place}: mark {words['mark']!r} is none of {', '.join(MARKS)}")
    return tuple(raw[k] for k in key), Row(MappingProxyType(numbers), MappingProxyType(words))


def _number(place: str, name: str, cell: str) -> float:
    try:
        value = float(cell)
    except ValueError:
        raise TableError(f"{place}: {name} is {cell!r}, not a number") from None
    if not math.isfinite(value):
        raise TableError(f"{place}: {name} is {cell}, not a finite number")
    return value


def _nearest(given: object, choices: Sequence[object]) -> object | None:
    """Closest of the choices: by value for numbers and sizes such as M4, else by spelling; None if far."""
    sizes = [(_size(c), c) for c in choices]
    letter, value = _size(given)
    if math.isfinite(value) and all(name == letter and math.isfinite(v) for (name, v), _ in sizes):
        return min(sizes, key=lambda s: abs(s[0][1] - value), default=(("", 0.0), None))[1]
    folded = {str(c).casefold().replace(" ", ""): c for c in choices}
    close = difflib.get_close_matches(str(given).casefold().replace(" ", ""), folded, n=1, cutoff=0.6)
    return folded[close[0]] if close else None


def _size(value: object) -> tuple[str, float]:
    """Letters and number of a size: ("M", 4.0) for "M4", ("", 2.5) for 2.5; nan for any other word."""
    match = re.fullmatch(r"([A-Z]*)([0-9]+(?:\.[0-9]+)?)", str(value))
    return (match[1], float(match[2])) if match else ("", math.nan)


def _show(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)
