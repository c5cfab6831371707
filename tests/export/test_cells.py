"""No table that is written can make a spreadsheet calculate; numbers stay numbers."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

import pytest

import rillwright
from rillwright.export.cells import cell, csv_text

FORMULAS = ["=cmd|'/c calc'!A1", "+1+cmd", "-2+3+cmd", "@SUM(A1)", "\t=1", "\n=1", " =1", "\uff1d1", "- note"]


@pytest.mark.parametrize("text", FORMULAS)
def test_text_that_could_begin_a_formula_is_marked(text: str) -> None:
    (row,) = list(csv.reader(io.StringIO(csv_text(("a",), [(text,)]), newline="")))[1:]
    assert row == [f"'{text}"]


@pytest.mark.parametrize("text", ["-13.000", "+5", "-1 0 0", "0 0 -1", "a = b", "", "5e-3", "-1e-05"])
def test_numbers_and_plain_words_stay(text: str) -> None:
    assert cell(text) == text


def test_a_bare_return_does_not_end_the_row() -> None:
    assert list(csv.reader(io.StringIO(csv_text(("a", "b"), [("x\r=1", 2)]), newline=""))) == [["a", "b"], ["x\n=1", "2"]]


def test_what_is_no_text_stays() -> None:
    assert [cell(v) for v in (-3, -2.5, None)] == [-3, -2.5, ""]


def test_every_table_is_written_by_this_module() -> None:
    root = Path(rillwright.__file__).parent
    own = [p.relative_to(root).as_posix() for p in root.rglob("*.py")
           if re.search(r"csv\.(writer|DictWriter)\(", p.read_text(encoding="utf-8"))]  # fmt: skip
    assert own == ["export/cells.py"]
