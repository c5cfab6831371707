"""The page maker by itself: names are data, documents flow, pages have their size."""

from __future__ import annotations

import io
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from rillwright.export.drawings.canvas import Canvas
from rillwright.export.drawings.dims import spread
from rillwright.export.drawings.paper import (
    Beside,
    Blanks,
    Block,
    Column,
    Document,
    Figure,
    Heading,
    Items,
    Sheet,
    Table,
    Text,
    Title,
    paper,
    pdf_bytes,
)

HOSTILE = (
    '#panic("x")', "#read(\"/etc/passwd\")", "$x^2$", "*b* _i_", "<script>alert(1)</script>", "=cmd|' /C calc'!A0",
    "@label", "\\u{41} \\", '"]]}) #{', "%%EOF", "// no /* no */", "`raw`",
)  # fmt: skip


def plain(title: Title, *blocks: Block) -> PdfReader:
    return PdfReader(io.BytesIO(pdf_bytes("t", [Document("A4", title, blocks)])))


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_are_printed_as_they_are(name: str) -> None:
    canvas = Canvas(*paper("A3"))
    canvas.label((100, 100), name, 2.5, "left")
    table = Table((Column(name), Column("n")), ((name, "1"),), caption=name)
    figure = Canvas(150, 20)
    figure.label((5, 5), name, 2.5, "left")
    blocks = (Heading(name), Text(name, boxed=True), Items((name,), tick=True), table, Blanks(((name, "mm"),)),
              Figure(figure, name), Beside((Text(name),), (Text(name),)))  # fmt: skip
    title = Title(name, name, name, name, name, name, name, name)
    pdf = PdfReader(io.BytesIO(pdf_bytes(name, [Sheet("A3", title, canvas), Document("A4", title, blocks)])))
    wanted = "".join(name.split())
    drawn, flown = ("".join(p.extract_text().split()) for p in pdf.pages)
    assert drawn.count(wanted) == 8 + 1  # seven fields and the revision, and the label
    assert flown.count(wanted) >= 8 + 10
    assert pdf.metadata is not None
    assert pdf.metadata.title == name


def test_a_long_table_goes_on_with_its_head() -> None:
    rows = tuple((f"T{i}", "x") for i in range(200))
    pdf = plain(Title("j", "p", "k", "r"), Table((Column("tag"), Column("what it is")), rows))
    assert len(pdf.pages) > 2
    found = [p.extract_text() for p in pdf.pages]
    assert all("what it is" in t for t in found)
    words = {w for t in found for w in t.split()}
    assert {f"T{i}" for i in range(200)} <= words


def test_pages_have_the_size_of_the_paper() -> None:
    title = Title("j", "p", "k", "r")
    pages = [Sheet("A3", title, Canvas(*paper("A3"))), Document("A4", title, (Text("x"),)),
             Document("A4", title, (Text("x"),), landscape=True)]  # fmt: skip
    pdf = PdfReader(io.BytesIO(pdf_bytes("t", pages)))
    sizes = [tuple(round(float(v) / 72 * 25.4) for v in p.mediabox[2:]) for p in pdf.pages]
    assert sizes == [(420, 297), (210, 297), (297, 210)]


def test_a_row_of_the_wrong_length_is_refused() -> None:
    with pytest.raises(ValueError, match="1 cells in a table of 2 columns"):
        Table((Column("a"), Column("b")), (("x",),))


def test_no_page_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one page"):
        pdf_bytes("t", [])


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(-500, 500), max_size=30), st.floats(0.1, 10))
def test_values_of_a_row_keep_their_order_and_distance(values: list[float], gap: float) -> None:
    places = sorted(values)
    moved = spread(places, gap)
    assert len(moved) == len(places)
    assert all(b - a >= gap - 1e-6 for a, b in pairwise(moved))
    if all(b - a >= gap for a, b in pairwise(places)):
        assert moved == pytest.approx(places, abs=1e-6)
    assert sum(moved) == pytest.approx(sum(places), abs=1e-5)  # least squares: the middle stays
