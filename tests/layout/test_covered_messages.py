"""Covered plates that cannot be made as they are written: each message stands at its line, and is true."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from board import TEXT
from rillwright.layout.job_layout import JobLayout
from rillwright.layout.paths import Bow, Straight, path, pieces
from rillwright.layout.pockets import Stroke
from rillwright.layout.telling import heard_by
from rillwright.pipeline import plan
from rillwright.spec.messages import SpecError

RUN, SCREWS = "joins: [in, out]}", "head: on-top}"


def layout(folder: Path, *changes: tuple[str, str]) -> JobLayout:
    text = TEXT
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    file = folder / "board.yaml"
    file.write_text(text, encoding="utf-8")
    return plan(file).layout


def trouble(folder: Path, *changes: tuple[str, str]) -> str:
    with pytest.raises(SpecError) as raised:
        layout(folder, *changes)
    (problem,) = raised.value.problems
    return str(problem).partition("board.yaml:")[2].partition("plates.board.")[2]


@pytest.mark.parametrize(("change", "said"), [
    ((RUN, "joins: [in, out], route: [in, {through: [-40, 30], to: [0, 30]}, out]}"),
     "channels.0.route.1: an arc's three points lie in a line; give a place [x, y] instead of an arc"),
    ((RUN, "joins: [in, out], route: [in, [0, 30], [0, 30], out]}"), "channels.0.route.2: the point 0, 30 comes twice"),
    ((RUN, "joins: [in, out], route: [in, [0, 90], out]}"), "channels.0.route: the line of 'run' leaves the plate at x -2"),
    ((RUN, "joins: [in, out], pins: [[0, 69]]}"), "channels.0.pins.0: the pin stands 1.00 mm from the plate's edge"),
    ((RUN, "joins: [in, out], pins: [[0, 72]]}"), "channels.0.pins.0: the pin stands 2.00 mm beyond the plate's edge"),
    ((RUN, "joins: [in, [0, 30], out]}\n      - {name: on, loop: cool, width: 6, joins: [[0, 30], a]}"),
     "channels.1.joins.0: 'on-1' is where channel 'run' of the same face ends too"),
    ((RUN, "joins: [in, [0, 30]], pins: [[-40, 20]]}\n"
      "      - {name: on, loop: warm, joins: [[0, 30], out], pins: [[40, 20]]}"),
     "channels.1.pins: 'on' and 'run' share an end and are laid as one tree, and both have pins"),
    ((SCREWS, "head: on-top, at: [[0, 55], [-80, 31]]}"),
     "covers.seal.screws.at.1: the screw given at x -80, y 31 is too near to a groove"),
    ((SCREWS, "head: on-top, at: [[0, 52], [1, 52]]}"),
     "covers.seal.screws.at.1: the screw given at x 1, y 52 stands 1.00 mm from that at x 0, y 52"),
    (("    ports:", "    windows: [{name: eye, at: [0, 65], length: 20, width: 20}]\n    ports:"),
     "windows.0.at: the window runs off the plate"),
    ((SCREWS, "head: on-top, into: nut}\n      outer: {stock: {thickness: 6}, join: bonded}"),
     "covers.seal.screws.into: nuts behind the body would lie under the cover of its other face"),
    # ISO 10642 M8: 17.92 across on a hole of 9, at 90 degrees
    (("stock: {thickness: 10}\n        screws: {thread: M3, pitch: 40, head: on-top}",
      "stock: {thickness: 4.4}\n        screws: {thread: M8, pitch: 40}"),
     "covers.seal.screws.head: a countersink 4.5 mm deep goes through a cover of 4.4 mm"),
    ((SCREWS, "head: on-top, length: 10}"),
     "covers.seal.screws.length: a screw 10 mm long just reaches its thread; give 16"),
    ((SCREWS, "head: on-top, length: 8}"), "covers.seal.screws.length: a screw 8 mm long ends 2.0 mm before its thread"),
    ((SCREWS, "head: on-top, length: 60}"),  # 25 of body less 2 of floor and 1 beyond the tip
     "covers.seal.screws.length: a screw 60 mm long reaches 50.0 mm into the body, which has room for 22.0; give 16.0 to"),
    ((SCREWS, "head: on-top, into: insert, length: 40}"),
     "covers.seal.screws.length: a screw 40 mm long reaches 30.0 mm into its insert, which has room for "),
    ((RUN, "joins: [in, out], route: [in, [40, 30], [40, 60], [0, 60], [0, 10], [60, 10], out]}"),
     "channels.0.route: the line of 'run' crosses itself at x 0.0, y 30.0; lead it round, or cut"),
    (("run, loop: warm, joins: [in, out]}\n      - {name: back, loop: cool, joins: [a, b]}",
      "run, loop: warm, joins: [in, out], route: [in, [-40, -50], [40, -50], out]}\n"
      "      - {name: back, loop: cool, joins: [a, b], route: [a, b]}"),
     "channels.1.route: 'back' of loop cool runs into 'run' of loop warm at x -"),
    (("run, loop: warm, joins: [in, out]}\n      - {name: back, loop: cool, joins: [a, b]}",
      "run, loop: warm, joins: [in, out], route: [in, [-20, 30], [-20, -23], [20, -23], [20, 30], out]}\n"
      "      - {name: back, loop: cool, joins: [a, b], route: [a, b]}"),  # 7 mm from middle to middle, each 8 wide
     "channels.1.route: 'back' of loop cool runs into 'run' of loop warm at x "),
    ((SCREWS, "head: on-top}\n        groove: {depth: 30}"),
     "covers.seal.groove.depth: a groove 30 mm deep goes through a body of 25 mm; make it"),
    (("    ports:", "    frame: {border: 16, strip: 16}\n    ports:"), "channels.0.joins.0: 'in' stands 1"),
])  # fmt: skip
def test_it_stands_at_its_line(tmp_path: Path, change: tuple[str, str], said: str) -> None:
    assert trouble(tmp_path, change).startswith(said)


def test_what_stands_inside_of_an_opening_is_told_how_far_it_has_to_go(tmp_path: Path) -> None:
    eye = "    keep_out: [{name: eye, at: [-80, 30], length: 20, width: 20}]\n    ports:"
    said = trouble(tmp_path, ("    ports:", eye))
    assert "stands 10.00 mm inside of eye" in said
    wanted = float(said.partition("needs ")[2].partition(" mm")[0])
    assert f"move it {wanted + 10:.2f} mm away" in said


def test_the_name_of_the_place_where_an_arc_ended(tmp_path: Path) -> None:
    arcs = "joins: [in, out], route: [in, {through: [-40, 50], to: [0, 30]}, {through: [40, 10], to: [80, 30]}, out]}"
    (leg,) = [p for p in layout(tmp_path, (RUN, arcs)).plates[0].pockets if p.name == "run"]
    assert leg.shape.path.pieces[-1].end == (80.0, 30.0)  # type: ignore[union-attr]


def test_lines_that_are_given_may_meet(tmp_path: Path) -> None:
    met = ("joins: [in, [0, 30]], route: [in, [0, 30]]}\n"
           "      - {name: on, loop: warm, width: 6, joins: [[0, 30], out], route: [[0, 30], out]}")  # fmt: skip
    found = layout(tmp_path, (RUN, met))
    assert [p.name for p in found.plates[0].pockets if p.role == "groove"] == ["run.groove", "back.groove"]


def test_a_slot_for_light_round_the_rim_closes_nothing_off(tmp_path: Path) -> None:
    glow = "    lights: [{name: glow, face: seal, inset: 6, strip: {width: 4, height: 2}}]\n    ports:"
    found = layout(tmp_path, ("    ports:", glow), ("length: 220, width: 140", "length: 250, width: 170"))
    assert any(p.name == "glow" for p in found.plates[0].pockets)


def test_a_large_port_in_an_edge_does_not_stand_in_its_own_way(tmp_path: Path) -> None:
    edge = "\n      - {name: c, loop: warm, on: back, at: [0, -8], thread: G1/4}\n    channels:"
    found = layout(tmp_path, ("\n    channels:", edge), ("joins: [in, out]", "depth: 9, joins: [in, c, out]"))
    assert any(f.name == "c.run" for f in found.plates[0].features)


@pytest.mark.parametrize(("thread", "said"), [
    ("G1/8", "bring it within 9 mm of that face, or make the channel 11 mm deep"),
    ("G1/4", "make the channel 11 mm deep, or take a smaller thread and bring it within 9 mm of that face"),
])  # fmt: skip
def test_a_port_in_an_edge_below_its_channel_is_told_what_is_true(tmp_path: Path, thread: str, said: str) -> None:
    edge = f"\n      - {{name: c, loop: warm, on: back, at: [0, -11], thread: {thread}}}\n    channels:"
    port, deep = ("\n    channels:", edge), ("joins: [in, out]", "depth: 9, joins: [in, c, out]")
    assert said in trouble(tmp_path, port, deep)
    assert layout(tmp_path, port, (deep[0], deep[1].replace("9", "11")))


@pytest.mark.parametrize(("width", "depth", "thick"), [(6, 12, 25), (8, 13, 30), (10, 12, 30), (12, 13, 32)])
def test_a_port_of_the_default_thread_in_an_edge(tmp_path: Path, width: int, depth: int, thick: int) -> None:
    edge = "\n      - {name: c, loop: warm, on: back, at: [0, -12]}\n    channels:"
    run = ("joins: [in, out]", f"width: {width}, depth: {depth}, joins: [in, c, out]")
    found = layout(tmp_path, ("\n    channels:", edge), run, ("thickness: 25", f"thickness: {thick}"))
    assert any(f.name == "c.run" for f in found.plates[0].features)


def test_a_way_along_a_round_bay_of_the_outline_is_one_arc(tmp_path: Path) -> None:
    bay = ("{polygon: [[-110, -70], [-20, -70], {through: [0, -10], to: [20, -70]}, [110, -70], [110, 70], [-110, 70]], "
           "chamfer: 1}")  # fmt: skip
    moved = [(f"[{x}, 30], thread", f"[{x}, 45], thread") for x in (-80, 80)]
    found = layout(tmp_path, ("{length: 220, width: 140}", bay), *moved)
    (leg,) = [p for p in found.plates[0].pockets if p.name == "back"]
    assert isinstance(leg.shape, Stroke)
    straight, bow, on = pieces(leg.shape.path)
    # circle through the bay's three points: x² + (y + c)² = (c - 10)² at (20, -70): c = 130/3
    assert isinstance(bow, Bow)
    assert bow.centre == pytest.approx((0, -130 / 3), abs=1e-6)
    assert not isinstance(straight, Bow)
    assert not isinstance(on, Bow)


def test_an_arc_of_a_few_micrometres_is_a_line() -> None:
    made = path([Straight((0, 0), (10, 0)), Bow((10, 8), 8, -math.pi / 2, 3e-5), Straight((10.00024, 0), (20, 1))])
    assert len(pieces(made)) == 3


def test_an_area_kept_out_of_that_closes_the_way_is_named_and_tried_without(tmp_path: Path) -> None:
    bar = "    keep_out: [{name: bar, at: [0, 0], length: 12, width: 128}]\n    ports:"
    said = trouble(tmp_path, ("    ports:", bar))
    assert "bar" in said.partition("in its way")[0]
    assert "bar moved away or made smaller (tried without it)" in said


def test_what_takes_seconds_gives_signs_of_life(tmp_path: Path) -> None:
    heard: list[str] = []
    bar = "    keep_out: [{name: bar, at: [0, 0], length: 12, width: 128}]\n    ports:"
    with heard_by(heard.append), pytest.raises(SpecError):
        layout(tmp_path, ("    ports:", bar))
    assert heard[0] == "board: looking for ways of its channels with less room for screws"
    assert any("looking for what stands in the way" in line for line in heard)


def test_a_line_that_ends_on_itself_or_crosses_its_own_loop_can_be_cut(tmp_path: Path) -> None:
    on, back = "route: [in, out]", "[80, 55], [0, 55]"
    wider = ("width: 140", "width: 180")
    layout(tmp_path, wider, (RUN, f"joins: [in, out], route: [in, out, {back}, [0, 30]]}}"))
    more = f"{{name: more, loop: warm, joins: [out, [0, 10]], route: [out, {back}, [0, 10]]}}"
    layout(tmp_path, wider, (RUN, f"joins: [in, out], {on}}}\n      - {more}"))
