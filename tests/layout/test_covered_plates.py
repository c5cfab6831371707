"""Covered plates as numbers: routes that follow the ports, what the file may say, and messages with their line."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from rillwright.checks.plan.hardware import plan_checks
from rillwright.layout.features import Arc, PlateLayout
from rillwright.layout.job_layout import JobLayout
from rillwright.layout.paths import length, pieces
from rillwright.layout.pockets import Stroke
from rillwright.pipeline import plan
from rillwright.spec.job import Limits
from rillwright.spec.messages import SpecError

PARAMS = Path(__file__).parents[2] / "params"
TEXT = """\
job: board
loops: {warm: {}, cool: {tint: sky}}
plates:
  board:
    stock: {material: pom-c, thickness: 25}
    outline: {length: 160, width: 110}
    covers:
      seal: {stock: {thickness: 10}, screws: {thread: M3, pitch: 70}}
    windows:
      - {name: eye, at: [0, 5], length: 24, width: 24, corner_radius: 4}
    ports:
      - {name: in, loop: warm, on: cover, at: [-50, 10], thread: G1/8}
      - {name: out, loop: warm, on: outer, at: [50, 10], thread: G1/8}
      - {name: a, loop: cool, on: cover, at: [-50, -32], thread: G1/8}
      - {name: b, loop: cool, on: cover, at: [50, -32], thread: G1/8}
    channels:
      - {name: run, loop: warm, width: 6, depth: 6, joins: [in, out]}
      - {name: back, loop: cool, width: 6, depth: 6, joins: [a, b]}
"""


def layout(folder: Path, text: str = TEXT) -> JobLayout:
    file = folder / "board.yaml"
    file.write_text(text, encoding="utf-8")
    return plan(file).layout


def troubles(folder: Path, *changes: tuple[str, str]) -> list[str]:
    """Every message of a changed file, without its folder."""
    text = TEXT
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    with pytest.raises(SpecError) as raised:
        layout(folder, text)
    return [str(p).partition("board.yaml:")[2] for p in raised.value.problems]


def body(found: JobLayout) -> PlateLayout:
    return next(p for p in found.plates if not p.cover_of)


def lines(found: JobLayout, channel: str) -> list[Stroke]:
    legs = [p for p in body(found).pockets if p.role == "channel" and p.name.split(".")[0] == channel]
    return [p.shape for p in legs if isinstance(p.shape, Stroke)]


def test_a_port_that_moves_takes_its_channel_along(tmp_path: Path) -> None:
    before, after = layout(tmp_path), layout(tmp_path, TEXT.replace("[50, 10]", "[50, 30]"))
    for found in (before, after):
        assert all(o.holds for o in plan_checks(found, Limits())), [o for o in plan_checks(found, Limits()) if not o.holds]
    (old,), (new,) = lines(before, "run"), lines(after, "run")
    ends = {old.path.start, old.path.pieces[-1].end}, {new.path.start, new.path.pieces[-1].end}
    assert ends == ({(-50.0, 10.0), (50.0, 10.0)}, {(-50.0, 10.0), (50.0, 30.0)})
    assert length(new.path) != pytest.approx(length(old.path), abs=0.5)
    # round the opening in true arcs, few of them: a way that hugs it bends once at each corner
    assert sum(isinstance(p, Arc) for p in old.path.pieces) <= 8
    # no bend tighter than the channel's width
    assert min(p.radius for p in pieces(old.path) if hasattr(p, "radius")) >= 6 - 1e-6
    assert [p.name for p in body(before).pockets if p.role == "groove"] == ["run.groove", "back.groove"]


def test_the_same_file_gives_the_same_layout(tmp_path: Path) -> None:
    assert layout(tmp_path) == layout(tmp_path)


def test_nothing_fits_and_the_file_says_where(tmp_path: Path) -> None:
    # the opening reaches across the plate, so that nothing passes beside it
    said = troubles(tmp_path, ("length: 24, width: 24", "length: 24, width: 104"), ("at: [0, 5]", "at: [0, 0]"))
    assert len(said) == 1
    assert said[0].startswith("18:9: plates.board.channels.0: there is no way for channel 'run'") or said[0].startswith(
        "17:9: plates.board.channels.0: there is no way for channel 'run'"
    )
    assert "mm of channel fit" in said[0]


def test_a_port_too_near_to_the_edge(tmp_path: Path) -> None:
    (said,) = troubles(tmp_path, ("[-50, 10]", "[-50, 50]"))
    assert said.startswith("17:61: plates.board.channels.0.joins.0: 'in' stands 5.00 mm from the plate's edge")
    assert "move it" in said


def test_names_and_loops_that_do_not_fit(tmp_path: Path) -> None:
    said = troubles(tmp_path, ("joins: [in, out]", "joins: [in, ot]"), ("joins: [a, b]", "joins: [a, out]"))
    assert said == [
        "15:9: plates.board.ports.3: port 'b' goes through the cover, and no channel joins it; name it under joins of a "
        "channel",
        '17:65: plates.board.channels.0.joins.1: there is no port, drilling or passage of this name (got "ot"); '
        'did you mean "out"?',
        "18:65: plates.board.channels.1.joins.1: 'out' belongs to loop warm, channel 'back' to loop cool; join what is of "
        "one loop only",
    ]


@pytest.mark.parametrize(("change", "words"), [
    (("on: outer, at: [50, 10]", "on: seal, at: [50, 10]"), "the seal face lies under a cover; write on: cover"),
    (("on: outer, at: [50, 10]", "on: outer-cover, at: [50, 10]"), "there is no cover on the outer face"),
    (("width: 6, depth: 6, joins: [in", "width: 6, depth: 24.5, joins: [in"), "goes through a body of 25 mm"),
    (("width: 6, depth: 6, joins: [in", "width: 6, depth: 20, joins: [in"), "too little for the thread of 'out'"),
    (("width: 6, depth: 6, joins: [in", "width: 6, depth: 6, face: outer, joins: [in"), "no cover on the outer face"),
    (("width: 6, depth: 6, joins: [in", "width: 6, floor_radius: 3, joins: [in"), "leaves no flat"),
    (("screws: {thread: M3", "cord: {diameter: 2.2}, screws: {thread: M3"), "give groove.depth and groove.width"),
    (("screws: {thread: M3, pitch: 70}", "join: bonded, screws: {thread: M3}"), "a bonded cover has no screws"),
    (("screws: {thread: M3, pitch: 70}", "join: bonded, cord: {diameter: 2}, screws: {thread: M3}"),
     "a bonded cover has no cord and no screws; leave them out"),
    (("stock: {material: pom-c, thickness: 25}", "stock: {material: pom-c, thickness: 11}"), "too little for the thread"),
    (("screws: {thread: M3", "screws: {length: 12, thread: M3"), "screws"),
])  # fmt: skip
def test_what_cannot_be_is_said_with_its_line(change: tuple[str, str], words: str, tmp_path: Path) -> None:
    if words == "screws":  # a length that is given is kept, and checked
        text = TEXT.replace(*change)
        found = {o.rule: o for o in plan_checks(layout(tmp_path, text), Limits())}
        assert not found["screw.engagement"].holds
        return
    said = troubles(tmp_path, change)
    assert any(words in s for s in said), said
    assert all(s[0].isdigit() for s in said)


def test_drawn_lines_keep_their_legs_and_arcs(tmp_path: Path) -> None:
    line = "joins: [in, out], route: [in, {through: [0, 35], to: [50, 10]}]"
    found = layout(tmp_path, TEXT.replace("joins: [in, out]", line).replace("at: [0, 5]", "at: [0, 0]"))
    (arc,) = lines(found, "run")
    assert [type(p) for p in arc.path.pieces] == [Arc]
    # three points: chord 100, rise 25
    assert pieces(arc.path)[0].radius == pytest.approx((50**2 + 25**2) / (2 * 25))  # type: ignore[union-attr]
    said = troubles(tmp_path, ("joins: [in, out]", "joins: [in, out], route: [in, [0, 40]]"))
    assert any("never comes to out" in s for s in said)


def test_two_levels_with_a_bore_between(tmp_path: Path) -> None:
    text = TEXT.replace("      seal:", "      outer: {stock: {thickness: 6}, join: bonded}\n      seal:")
    text = text.replace("on: outer, at: [50, 10]", "on: outer-cover, at: [50, 10]")
    text = text.replace("joins: [in, out]}", "joins: [in, down]}\n"
                        "      - {name: under, loop: warm, face: outer, width: 6, depth: 6, joins: [down, out]}\n"
                        "    passages:\n      - {name: down, loop: warm, at: [-50, 35], diameter: 5}\n"
                        "    channels2:")  # fmt: skip
    head, _, tail = text.partition("    channels2:\n")
    channel, rest = tail.split("\n", 1)
    text = head.replace("    passages:", channel + "\n    passages:") + rest
    found = layout(tmp_path, text)
    assert [(p.name, p.cover_of, p.seal_up, p.height) for p in found.plates] == [
        ("board", "", True, 0.0), ("board-cover", "board", False, 0.0), ("board-outer-cover", "board", True, -25.0),
    ]  # fmt: skip
    down = next(f for f in body(found).features if f.name == "down")
    assert (down.facts["start"], down.facts["length"]) == (5.0, 20.0)
    assert math.isclose(down.facts["diameter"], 5)


@pytest.mark.parametrize("name", ["wall-panel", "valve-board"])
def test_shipped_jobs_are_placed_without_an_error(name: str) -> None:
    found = plan(PARAMS / f"{name}.yaml").layout
    bad = [f for o in plan_checks(found, Limits()) for f in o.findings if f.severity == "error"]
    assert bad == []
    if name == "wall-panel":
        assert len(found.loops) == 5
        assert len(body(found).features) > 14
        assert found.plans[0].routing.smallest.spare >= -1e-3
