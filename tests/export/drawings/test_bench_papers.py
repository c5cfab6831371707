"""What the bench asked of the papers: floor radii, openings, ways behind ports, datum A on edges, one number of a screw."""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from jobs import PARAMS
from rillwright.export.drawings.behind import floor_at, goes_on
from rillwright.export.drawings.details import cutaways
from rillwright.export.drawings.openings import cut_round, tabs
from rillwright.export.drawings.tags import groups
from rillwright.export.sheets.cover_page import numbers
from rillwright.layout import paths
from rillwright.layout.features import Line, Outline
from rillwright.layout.pockets import Area, Pocket
from rillwright.layout.tightening import outwards
from rillwright.pipeline import build, plan

JOB = """
job: bench
coolant: {mix: water, temperature: 30}
loops: {mash: {tint: amber}}
plates:
  deck:
    stock: {material: pom-c, thickness: 20}
    outline: {length: 240, width: 120, corner_radius: 8}
    covers:
      seal: {stock: {material: pmma-cast, thickness: 10}, cord: {diameter: 2, material: epdm, tolerance: E1},
             screws: {thread: M4, pitch: 45}}
    windows: [{name: hatch, at: [60, -25], length: 80, width: 44, corner_radius: 8}]
    ports:
      - {name: in, loop: mash, flow: in, on: left, at: [25, -8], thread: G1/8}
      - {name: out, loop: mash, flow: out, on: cover, at: [80, 30], thread: G1/4}
    channels: [{name: run, loop: mash, width: 8, depth: 8, floor_radius: 0.5, joins: [in, out]}]
"""


@pytest.fixture(scope="module")
def papers(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Any]:
    folder = tmp_path_factory.mktemp("bench")
    job = folder / "bench.yaml"
    job.write_text(JOB, encoding="utf-8")
    build(job, folder / "out", only=["drawings", "bench"])
    return folder / "out", plan(job).layout


def _pages(path: Path) -> list[str]:
    return [" ".join(p.extract_text().split()) for p in PdfReader(path).pages]


def test_the_setup_sheet_names_the_cutter_and_what_is_cut_round(papers: tuple[Path, Any]) -> None:
    pages = _pages(papers[0] / "drawings.pdf")
    setup = next(t for t in pages if "deck, setup 1 of" in t)
    assert "end mill Ø8 with corner radius 0.5" in setup
    assert re.search(r"opening, cut round end mill Ø10, reach 30; go round, leave 3 tabs corner Ø16", setup)
    edge = next(t for t in pages if "left edge to the spindle" in t and "setup" in t)
    assert "Under the spindle: 240 of plate" in edge
    assert "drill press" in edge


def test_edges_say_where_they_are_measured_from_and_details_what_goes_on(papers: tuple[Path, Any]) -> None:
    pages = _pages(papers[0] / "drawings.pdf")
    seal = next(t for t in pages if "part drawing: seal face" in t and "deck" in t)
    assert "0 (A)" in seal
    detail = next(t for t in pages if "part drawing: details" in t and "deck" in t)
    assert "R0.5 along the floor" in detail
    plate = next(p for p in papers[1].plates if p.name == "deck")
    run = next(f for f in plate.features if f.name == "in.run")
    tag = next(m.tag for g in groups(plate) for m in g.members if m.item.name == "in.run")
    assert f"Ø{run.facts['diameter']:g} goes on: {tag}" in detail


def test_a_way_behind_is_drawn_from_the_floor_of_the_bore_on(papers: tuple[Path, Any]) -> None:
    plate = next(p for p in papers[1].plates if p.name == "deck")
    port = next(f for f in plate.features if f.name == "in")
    run = goes_on(port, plate)
    assert run is not None
    assert run.name == "in.run"
    (cut,) = [c for c in cutaways(groups(plate), plate, {}) if c.behind is not None]
    assert cut.behind is not None
    radius, start = cut.behind
    assert radius == run.facts["diameter"] / 2
    # on the cone of a 118° drill: the bore's radius less the way's, over the tangent of half the angle
    drop = (port.facts["bore_radius"] - radius) / math.tan(math.radians(59))
    assert start == pytest.approx(port.facts["bore_depth"] + drop)
    assert start < cut.down


def test_a_bore_is_as_deep_as_its_profile_says() -> None:
    profile = ((0.0, -1.0), (7.0, -1.0), (7.0, 1.0), (4.0, 1.0), (4.0, 12.0), (0.0, 14.0))
    assert [floor_at(profile, r) for r in (6.0, 4.0, 2.0)] == pytest.approx([1, 12, 13])


def test_a_ring_names_the_circle_that_its_joint_lies_beside(papers: tuple[Path, Any]) -> None:
    folder, layout = papers
    cover = next(p for p in layout.plates if p.cover_of)
    own = [f for f in cover.features if f.role == "screw"]
    by_hand = {own[i].name: n for n, i in enumerate(outwards([f.origin[:2] for f in own]), 1)}
    assert {name: n for (_, name), n in numbers(layout).items()} == by_hand
    text = " ".join(_pages(folder / "bench.pdf"))
    (ring,) = layout.rings
    assert re.search(rf"{re.escape(ring.beside)} {by_hand[ring.beside]} ", text)
    for f in own:
        where = rf"\b{by_hand[f.name]} {f.origin[0]:.1f} {f.origin[1]:.1f} {re.escape(f.name)}".replace(" -", " ?-")
        assert re.search(where, text), f.name


def test_tabs_follow_the_line_and_a_small_slug_is_cleared(papers: tuple[Path, Any]) -> None:
    plate = next(p for p in papers[1].plates if p.name == "deck")
    hatch = next(p for p in plate.pockets if p.name == "hatch")
    assert cut_round(hatch, plate, 10.0) == 3  # 231 mm round: one each 100 mm
    assert cut_round(hatch, plate, 15.0) == 0  # 44 mm is less than three cutters of 15
    assert cut_round(hatch, plate, None) == 0
    long = Outline((0.0, 0.0), (Line((400.0, 0.0)), Line((400.0, 100.0)), Line((0.0, 100.0)), Line((0.0, 0.0))))
    assert tabs(long) == paths.length(long) / 100
    shallow = Pocket("x", "recess", "seal", Area(long), 5.0, ("seal",))
    assert cut_round(shallow, plate, 10.0) == 0


def test_every_joint_beside_a_screw_has_a_circle() -> None:
    layout = plan(PARAMS / "wall-panel.yaml").layout
    assert all((r.plate, r.beside) in numbers(layout) for r in layout.rings)
