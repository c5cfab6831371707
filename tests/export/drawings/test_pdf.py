"""drawings.pdf read back: hole tables, cord lengths, setups; and that nothing lies on anything."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from rillwright.export.drawings.canvas import Label
from rillwright.export.drawings.paper import EDGE, LEFT, TITLE, Document, Sheet
from rillwright.export.drawings.write import write_drawings
from rillwright.layout.features import Arc
from rillwright.layout.pockets import Pocket, Stroke

JOBS = ("studio-twin", "lab-triple", "bench-single", "valve-board", "pump-bracket")


def two(v: float) -> str:
    return f"{v + 0.0 if abs(v) >= 0.005 else 0.0:.2f}"


def measured_to(p: Pocket) -> tuple[float, float]:
    """The start of a line; the middle of an area, whose arcs are quarters between sides, or halves."""
    if isinstance(p.shape, Stroke):
        return p.start
    at, reach = p.shape.outside.start, []
    for q in p.shape.outside.pieces:
        reach += [at, q.end, *([q.middle] if isinstance(q, Arc) else [])]  # of a quarter it lies inside the box anyhow
        at = q.end
    xs, ys = zip(*reach, strict=True)
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


@pytest.mark.parametrize("job", JOBS)
def test_each_row_of_the_hole_table_is_found(job: str, drawn: Callable[[str], Any]) -> None:
    d = drawn(job)
    for plate in d.bundle.layout.plates:
        tables = [t for t in d.texts if "part drawing: tables" in t and f"\n{plate.name}\n" in t]
        rows = [line for t in tables for line in t.split("\n")]
        for f in plate.features:
            start = f"{f.name} {' '.join(two(v) for v in f.origin)} "
            found = [r for r in rows if start in r]
            assert len(found) == 1, (plate.name, f.name, start)
            assert found[0].endswith(f.face)
            depth = "through" if len(f.mouths) == 2 else two(max(z for r, z in f.profile if r > 0))
            diameters = {two(2 * r) for r, _ in f.profile}
            diameter, said, *_ = found[0].partition(start)[2].split()
            assert set(diameter.split("/")) <= diameters, (plate.name, f.name)
            assert said == depth, (plate.name, f.name)
            if f.role in ("port", "plug", "mounting"):
                assert f.thread in found[0]
        for p in plate.pockets:
            height = 0.0 if p.face == "seal" else -plate.thickness
            start = f"{p.name} {' '.join(two(v) for v in (*measured_to(p), height))} "
            (row,) = [r for r in rows if start in r]
            if not isinstance(p.shape, Stroke) and p.name == "pump.body":
                assert " 46.00 through" in row  # Ø, from the parameter file
            assert row.endswith(f" {'through' if len(p.mouths) == 2 else two(p.depth)} {p.face}")


@pytest.mark.parametrize("job", JOBS)
def test_each_cord_length_is_on_the_part_that_has_the_groove(job: str, drawn: Callable[[str], Any]) -> None:
    d = drawn(job)
    grooves = [c for p in d.bundle.layout.plates for c in p.cuts if c.role in ("tube-channel", "groove")]
    assert bool(d.bundle.layout.rings) == bool(grooves)
    for ring in d.bundle.layout.rings:
        mine = " ".join(t for t in d.texts if "part drawing: tables" in t and f"\n{ring.plate}\n" in t)
        assert f"{ring.seal} {ring.cord.diameter:g} {ring.cord.material} {ring.cord.hardness:g} {ring.length:.1f}" in mine


def test_sheets_are_numbered_through_and_say_what_they_are(drawn: Callable[[str], Any]) -> None:
    found = drawn("studio-twin").texts
    for i, text in enumerate(found, 1):
        assert f"{i} of {len(found)}" in text
        assert "CHECK BEFORE CUTTING" in text
        assert "ISO 2768-1 m" in text
    kinds = " ".join(found)
    for words in ("part drawing: seal face", "part drawing: outer face", "part drawing: details", "setup 1 of 3: seal face",
                  "setup 2 of 3: outer face", "setup 3 of 3: back edge", "A-A", "Ra 1.6", "G1/4", "6 ±0.05"):  # fmt: skip
        assert words in kinds, words


def test_a_setup_sheet_tells_tools_depths_and_what_to_measure(drawn: Callable[[str], Any]) -> None:
    d = drawn("studio-twin")
    (first,) = [" ".join(t.split()) for t in d.texts if "upper, setup 1 of 3" in t]
    assert "end mill Ø5, reach 20" in first
    assert "A1 pocket depth 6.00 ±0.05" in first
    assert "dowels Ø6 and Ø8, 324 apart" in first
    assert "Y = -y of the part" in first
    assert "D1 -70.000 42.000" in first  # plate at y = -42, lying flipped about x
    assert "Eye protection" in first
    (second,) = [t for t in d.texts if "upper, setup 2 of 3" in t]
    assert "Plate flipped about x on the dowels" in second.replace("\n", " ")
    assert "countersink 90°" in second


def test_same_bytes_every_time(drawn: Callable[[str], Any]) -> None:
    d = drawn("bench-single")
    path = d.folder / "drawings.pdf"
    write_drawings(d.bundle)
    before = path.read_bytes()
    write_drawings(d.bundle)
    assert path.read_bytes() == before


Box = tuple[float, float, float, float]


def box(v: Label) -> Box:
    """What a label covers; its angle is 0 or 90."""
    shift = {"left": 0.0, "middle": 0.5, "right": 1.0}[v.anchor]
    along, up = (-v.width * shift, v.width * (1 - shift)), (-v.height / 2, v.height / 2)
    (x0, x1), (y0, y1) = (along, up) if v.angle == 0 else (up, along)
    return v.at[0] + x0, v.at[1] + y0, v.at[0] + x1, v.at[1] + y1


def overlap(a: Box, b: Box) -> float:
    """How deep two boxes lie in each other, mm; negative apart."""
    return min(min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1]))


def sheets(d: Any) -> Iterator[Sheet]:
    yield from (p for p in d.pages if isinstance(p, Sheet))


@pytest.mark.parametrize("job", JOBS)
def test_no_lettering_lies_on_other_lettering(job: str, drawn: Callable[[str], Any]) -> None:
    for sheet in sheets(drawn(job)):
        labels = [v for v in sheet.canvas.labels if v.text]
        for i, a in enumerate(labels):
            for b in labels[i + 1 :]:
                assert overlap(box(a), box(b)) < 0.05, (sheet.title.part, sheet.title.kind, a.text, b.text)


@pytest.mark.parametrize("job", JOBS)
def test_all_lettering_is_inside_the_border_and_off_the_title_block(job: str, drawn: Callable[[str], Any]) -> None:
    for sheet in sheets(drawn(job)):
        wide, high = sheet.canvas.width, sheet.canvas.height
        title = (wide - EDGE - TITLE[0], EDGE, wide - EDGE, EDGE + TITLE[1])
        for v in sheet.canvas.labels:
            left, low, right, top = box(v)
            room = min(left - LEFT, low - EDGE, wide - EDGE - right, high - EDGE - top)
            assert room > 0, (sheet.title.kind, v.text)
            assert overlap(box(v), title) < 0, (sheet.title.kind, v.text)


def test_every_tag_of_a_face_is_on_its_sheet(drawn: Callable[[str], Any]) -> None:
    d = drawn("lab-triple")
    on = {(s.title.part, s.title.kind): " ".join(v.text for v in s.canvas.labels).split() for s in sheets(d)}
    for plate in d.bundle.layout.plates:
        table = next(p for p in d.pages if isinstance(p, Document) and p.title.part == plate.name)
        rows = [r for b in table.blocks if getattr(b, "columns", ()) and b.columns[0].title == "tag" for r in b.rows]
        assert len(rows) == len(plate.features)
        for tag, *_, face in rows:
            kind = "outer face" if face == "outer" else "seal face"
            assert tag in on[plate.name, f"part drawing: {kind}"], (plate.name, tag)
    assert math.isclose(TITLE[0], 180)  # ISO 7200
