"""Cut list, assembly sheet and test sheet: blanks on sheets, counts and prices, and what the PDF says when read again."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from rillwright.export.drawings.paper import Document, Title, write_pdf
from rillwright.export.sheets.cover_page import cover_blocks
from rillwright.export.sheets.order import cut_list, lines, total
from rillwright.layout.features import Line as Straight
from rillwright.layout.features import Outline, PlateLayout
from rillwright.layout.nesting import blanks, nested
from rillwright.pipeline import build, plan
from rillwright.spec.buying import Buying, Sheet

PARAMS = Path(__file__).parents[3] / "params"


def plate(name: str, length: float, width: float) -> PlateLayout:
    x, y = length / 2, width / 2
    shape = Outline((-x, -y), (Straight((x, -y)), Straight((x, y)), Straight((-x, y)), Straight((-x, -y))))
    return PlateLayout(name, shape, 10, "pom-c", True, 0.0, ())


sides = st.floats(20, 280).map(lambda v: round(v, 1))


@given(st.lists(st.tuples(sides, sides), min_size=1, max_size=9))
@settings(max_examples=25, deadline=None)
def test_blanks_lie_on_their_sheets_and_apart(sizes: list[tuple[float, float]]) -> None:
    plates = [plate(f"p{i}", *s) for i, s in enumerate(sizes)]
    buying = Buying(sheets=[Sheet(material="pom-c", thickness=10, length=620, width=420)])
    found = nested(plates, buying)
    laid = [(n, p) for n, nest in enumerate(found.nests) for p in nest.laid]
    assert sorted(p.blank.plate for _, p in laid) == sorted(p.name for p in plates)
    for n, p in laid:
        assert p.x >= buying.rim - 0.11
        assert p.y >= buying.rim - 0.11
        assert p.x + p.length <= 620 - buying.rim + 0.11
        assert p.y + p.width <= 420 - buying.rim + 0.11
        assert sorted((p.length, p.width)) == pytest.approx(sorted((p.blank.length, p.blank.width)), abs=0.11)
        for m, q in laid:
            if m == n and p is not q:
                apart = max(q.x - p.x - p.length, p.x - q.x - q.length, q.y - p.y - p.width, p.y - q.y - q.width)
                assert apart >= buying.gap - 0.21
    for nest in found.nests:
        assert nest.waste == pytest.approx(100 - sum(p.length * p.width for p in nest.laid) / 620 / 420 * 100)


def test_the_cheaper_of_two_sheets_is_taken() -> None:
    plates = [plate("a", 200, 100), plate("b", 200, 100)]
    small = Sheet(material="pom-c", thickness=10, length=240, width=240, price=20)
    large = Sheet(material="pom-c", thickness=10, length=500, width=500, price=15)
    (nest,) = nested(plates, Buying(sheets=[small, large])).nests
    assert nest.sheet is large


def test_a_blank_that_no_sheet_takes_is_told() -> None:
    buying = Buying(sheets=[Sheet(material="pom-c", thickness=10, length=150, width=150)])
    assert [b.plate for b in nested([plate("long", 200, 50)], buying).without] == ["long"]
    assert [b.plate for b in nested([plate("long", 200, 50)], Buying()).without] == ["long"]


def test_a_blank_is_larger_than_its_plate() -> None:
    (b,) = blanks([plate("p", 200, 50)], 3)
    assert (b.length, b.width) == (206, 56)


def test_the_list_counts_and_sums() -> None:
    planned = plan(PARAMS / "studio-twin.yaml")
    found = lines(planned.layout, planned.loaded.model.buying)
    rows = {r["what"]: r for r in csv.DictReader(io.StringIO(cut_list(found)))}
    assert rows["screw ISO 10642 M4 × 30"]["count"] == "12"  # two tubes, three struts, two ends
    assert rows["strut Ø10.00 × 200.00"]["count"] == "6"
    assert float(rows["sheet 25 mm"]["price"]) == 78
    money, unknown = total(found)
    assert money == pytest.approx(78 + 1.2 + 12 * 0.12 + 0.9 * float(rows["cord 2 mm epdm 70 Shore A"]["count"]), abs=0.01)
    assert unknown == 3  # tubes, struts and fittings


def test_what_the_pdf_says(tmp_path: Path) -> None:
    result = build(PARAMS / "studio-twin.yaml", tmp_path / "out", only=["bench"])
    text = " ".join(p.extract_text() for p in PdfReader(tmp_path / "out" / "bench.pdf").pages)
    text = " ".join(text.split())
    for s in result.seals:
        assert f"{s['cut_length']:.1f}" in text
    for c in result.clamping:
        assert f"{c['tightening']['steps'][-1]:.2f}" in text
    for n in result.nets:
        assert f"Fill {n['coolant_ml']:.0f} mL" in text
    for words in ("never above", "eye protection", "electronic part", "Cut list", "left over"):
        assert words.lower() in text.lower()


def test_a_cover_has_its_torque_and_every_screw_a_number(tmp_path: Path) -> None:
    layout = plan(PARAMS / "wall-panel.yaml").layout
    (hold,) = layout.cover_holds
    together, table = cover_blocks(layout)
    write_pdf(tmp_path / "p.pdf", "p", [Document("A4", Title("j", "all", "assembly", "0"), (together, table))])
    text = " ".join(" ".join(p.extract_text() for p in PdfReader(tmp_path / "p.pdf").pages).split())
    assert f"→ {hold.torque:.2f} N·m" in text
    screws = [f for p in layout.plates if p.name == hold.cover for f in p.features if f.role == "screw"]
    assert len(screws) == hold.number
    for f in screws:
        assert re.search(rf"\b\d+ {f.origin[0]:.1f} {f.origin[1]:.1f}\b".replace(" -", " ?-"), text), f.name


def test_fittings_and_tubing_are_on_the_list() -> None:
    planned = plan(PARAMS / "whole-machine.yaml")
    rows = list(csv.DictReader(io.StringIO(cut_list(lines(planned.layout, planned.loaded.model.buying)))))
    open_ports = sum(f.role == "port" and bool(f.thread) for p in planned.layout.plates for f in p.features)
    assert sum(int(r["count"]) for r in rows if r["kind"] == "fitting") == open_ports
    straight = sum(r.straight for r in planned.layout.runs) / 1000
    assert sum(float(r["count"]) for r in rows if r["kind"] == "tubing") == pytest.approx(straight, abs=0.02)
