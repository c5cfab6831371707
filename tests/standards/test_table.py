"""The loader refuses tables that are not in order, and reads none before it is asked."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from rillwright.standards._table import DATA, MARKS, SEE_ROW, TableError, UnknownSize, read_table, table

HEAD = """# table: bolts
# key: thread
# column: thread | text | designation | ISO | book | verified
# column: d | mm | diameter | ISO | book | from memory
"""
NAMES = sorted(p.stem for p in DATA.glob("*.csv"))


def write(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "bolts.csv"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_table_in_order_is_read(tmp_path: Path) -> None:
    got = read_table(write(tmp_path, HEAD + "thread,d\nM3,3\nM4,4\n"))
    assert got.title == "bolts"
    assert got.find("thread", "M4").number("d") == 4
    assert got.columns["d"].unit == "mm"
    assert got.columns["d"].mark == "from memory"


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (HEAD + "thread,d\nM3,3\nM3,4\n", "bolts.csv:7: M3 comes twice"),
        (HEAD + "thread,d\nM3,inf\n", "bolts.csv:6: d is inf, not a finite number"),
        (HEAD + "thread,d\nM3,nan\n", "not a finite number"),
        (HEAD + "thread,d\nM3,3mm\n", "d is '3mm', not a number"),
        (HEAD + "thread,d\nM3,\n", "d is blank"),
        (HEAD + "thread,d\nM3,3,4\n", "3 cells, 2 columns"),
        (HEAD + "thread,d \nM3,3\n", "'d ' is blank or has a blank at its end"),
        (HEAD + "thread,d,\nM3,3,\n", "'' is blank"),
        (HEAD + "thread,d,d\nM3,3,3\n", "comes twice"),
        (HEAD + "thread,d,k\nM3,3,2\n", "column k has no # column: line"),
        (HEAD + "thread\nM3\n", "column d is described but not there"),
        (HEAD.replace("from memory", "surely") + "thread,d\nM3,3\n", "mark 'surely' is none of"),
        (HEAD.replace("from memory", SEE_ROW) + "thread,d\nM3,3\n", "no column mark"),
        (HEAD.replace(" | book | from memory", "") + "thread,d\nM3,3\n", "has to be name | unit"),
        (HEAD.replace("# key: thread\n", "") + "thread,d\nM3,3\n", "# key:"),
        (HEAD.replace("# key: thread", "# key: size") + "thread,d\nM3,3\n", "column size is described"),
        (HEAD + "thread,d\nM3,3\n# note: late\n", "have to stand first|cells"),
        (HEAD + "# colum: x\nthread,d\nM3,3\n", "is none of # table:"),
        (HEAD, "no line with the column names"),
    ],
)
def test_a_table_out_of_order_is_refused(tmp_path: Path, text: str, words: str) -> None:
    with pytest.raises(TableError, match=words.replace("|", r"\|") if "name | unit" in words else words):
        read_table(write(tmp_path, text))


def test_a_blank_cell_is_allowed_where_the_unit_says_so(tmp_path: Path) -> None:
    got = read_table(write(tmp_path, HEAD.replace("| mm |", "| mm? |") + "thread,d\nM3,\n"))
    row = got.find("thread", "M3")
    assert row.optional("d") is None
    with pytest.raises(KeyError):
        row.number("d")


@pytest.mark.parametrize("name", NAMES)
def test_every_table_of_ours_is_in_order_and_documented(name: str) -> None:
    got = table(name)
    assert got.rows
    for column in got.columns.values():
        assert column.mark in (*MARKS, SEE_ROW)
        assert column.meaning
    for row in got.rows.values():
        assert all(value >= 0 for value in row.numbers.values())


def test_a_table_is_read_once() -> None:
    assert table("cap") is table("cap")


def test_an_unknown_size_names_the_choices_and_the_nearest() -> None:
    with pytest.raises(UnknownSize, match=r"no thread M4\.5; take one of .*M4, M5.*nearest is M4") as seen:
        table("cap").find("thread", "M4.5")
    assert seen.value.choices == ("M2.5", "M3", "M4", "M5", "M6", "M8")
    assert seen.value.nearest == "M4"


def test_importing_reads_nothing_and_loads_no_kernel() -> None:
    code = (
        "import sys, builtins, io, pathlib\n"
        "def no(*a, **k): raise SystemExit('a file was read')\n"
        "from rillwright.standards import _table\n"
        "_table.read_table = no\n"
        "import rillwright.standards.screws, rillwright.standards.threads, rillwright.standards.glands\n"
        "import rillwright.standards.sheets, rillwright.standards.materials\n"
        "bad = {'cadquery', 'OCP', 'numpy', 'pydantic', 'trimesh'} & set(sys.modules)\n"
        "sys.exit(f'loaded {bad}' if bad else 0)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize("name", ["cord_tolerances", "moulded_sections", "sheet_tolerances"])
def test_a_range_is_what_its_name_says_and_joins_the_next(name: str) -> None:
    before: dict[str, float] = {}
    for key, row in table(name).rows.items():
        low, _, high = key[-1].partition("-")
        assert (row.number("above"), row.number("up_to")) == (float(low), float(high or low))
        if high:
            assert before.get(key[0] if len(key) > 1 else "", float(low)) == float(low)
            before[key[0] if len(key) > 1 else ""] = float(high)


@pytest.mark.parametrize(
    ("name", "column"),
    [("face_grooves", "cord_diameter"), ("metric_threads", "diameter"), ("cap", "thread_diameter"),
     ("countersunk", "thread_diameter")],
)  # fmt: skip
def test_a_row_is_named_for_its_diameter(name: str, column: str) -> None:
    for key, row in table(name).rows.items():
        assert row.number(column) == float(key[-1].removeprefix("M"))


def test_symmetric_sheets_are_symmetric() -> None:
    for (kind, _), row in table("sheet_tolerances").rows.items():
        if kind != "pom-c":
            assert row.number("minus_constant") == row.number("plus_constant")
            assert row.number("minus_fraction") == row.number("plus_fraction")
