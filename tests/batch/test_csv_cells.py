"""The table's own reader against the standard library's, and the place of each cell."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rillwright.batch.csv_cells import read_cells
from rillwright.spec.messages import SpecError

WORDS = st.text(st.sampled_from('ab1. ,;"\n'), max_size=6)
TABLES = st.lists(st.lists(WORDS, min_size=2, max_size=4), min_size=2, max_size=5)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(TABLES, st.sampled_from(["\n", "\r\n"]), st.sampled_from([csv.QUOTE_ALL, csv.QUOTE_MINIMAL]))
def test_reads_what_the_standard_library_writes(tmp_path: Path, rows: list[list[str]], end: str, quoting: int) -> None:
    stream = io.StringIO()
    csv.writer(stream, lineterminator=end, quoting=quoting).writerows([["a,", "b"], *rows])
    path = tmp_path / "t.csv"
    path.write_text(stream.getvalue(), encoding="utf-8", newline="")
    wanted = [[cell.strip() for cell in row] for row in csv.reader(io.StringIO(stream.getvalue()))]
    wanted = [row for row in wanted if any(row)]
    if len(wanted) < 2:
        return
    found = read_cells(path)
    assert [[cell.text for cell in row] for row in found] == wanted
    text = stream.getvalue().split("\n")
    for cell in (c for row in found for c in row if c.text):
        here = text[cell.line - 1][cell.column - 1 :]
        assert here.startswith('"') or here.lstrip(" ").startswith(cell.text)


def test_places_and_semicolons(tmp_path: Path) -> None:
    path = tmp_path / "t.csv"
    path.write_text('\ufeffa;b\n\n"x\ny";2\n3;\n', encoding="utf-8")
    rows = read_cells(path)
    assert [[(c.text, c.line, c.column) for c in row] for row in rows] == [
        [("a", 1, 1), ("b", 1, 3)], [("x\ny", 3, 1), ("2", 4, 4)], [("3", 5, 1), ("", 5, 3)],
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "place", "words"),
    [
        ('a,b\n1,"2\n', "2:3", "not closed"),
        ('a,b\n"1"x,2\n', "2:4", "after the closing quote"),
        ("a,b\n", "1:1", "at least one line of values"),
    ],
)
def test_refusals(tmp_path: Path, text: str, place: str, words: str) -> None:
    path = tmp_path / "t.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(SpecError, match=words) as told:
        read_cells(path)
    assert f"t.csv:{place}:" in str(told.value)
