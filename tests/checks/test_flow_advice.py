"""What makes a passage wider is said in keys of the file, and written there it does what was said."""

from __future__ import annotations

from pathlib import Path

import pytest

from rillwright.checks.plan.flow_advice import advice
from rillwright.pipeline import check, plan

TEXT = """\
job: board
loops: {warm: {flow: 4}}
plates:
  board:
    stock: {material: pom-c, thickness: 25}
    outline: {length: 200, width: 80}
    covers:
      seal:
        stock: {thickness: 10}
        screws: {thread: M3, pitch: 40, head: on-top}
    ports:
      - {name: in, loop: warm, on: outer, at: [-60, 0]}
      - {name: out, loop: warm, on: outer, at: [60, 0]}
    channels:
      - {name: run, loop: warm, depth: 8, floor_radius: 1, joins: [in, out]}
"""


def written(folder: Path, *changes: tuple[str, str]) -> Path:
    text = TEXT
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path = folder / "board.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_wider_drilling_is_a_wider_channel(tmp_path: Path) -> None:
    (row,) = check(written(tmp_path)).flow
    said = next(w for w in row["worst"] if w["way"] == "board.in.drop")
    assert said["change"] == ("make channel run of board 10 mm wide instead of 8: the drilling from in into it becomes 8 "
                              "instead of 6")  # fmt: skip
    (wider,) = check(written(tmp_path, ("depth: 8", "width: 10, depth: 8"))).flow
    assert {g["way"]: g["size"][0] for g in wider["legs"]}["board.in.drop"] == 8
    # as the other port's drilling becomes wider too, more than was said is saved
    assert row["drop"]["nominal"] - wider["drop"]["nominal"] > said["saves"]


def test_a_channel_and_a_port(tmp_path: Path) -> None:
    plates = plan(written(tmp_path)).layout.plates
    assert advice(plates, "board.run", 8).change == "make channel run of board 10 mm wide instead of 8"
    assert advice(plates, "board.in", 11.8).change == "give port board.in a larger thread"


@pytest.mark.parametrize(("change", "said"), [
    (("at: [-60, 0]}", "at: [-60, 0], thread: G1/8}"), "give port board.in a larger thread: its drilling of 7.8 mm"),
    (("in, loop: warm, on: outer, at: [-60, 0]}", "in, loop: warm, on: left, at: [0, -8], thread: G1/8}"),
     "give port board.in a larger thread, or let it lie deeper below the face"),
])  # fmt: skip
def test_where_the_port_is_what_holds_it_back(tmp_path: Path, change: tuple[str, str], said: str) -> None:
    plates = plan(written(tmp_path, change, ("depth: 8", "width: 12, depth: 8"))).layout.plates
    (f,) = [f for p in plates for f in p.features if f.name in ("in.drop", "in.run")]
    assert advice(plates, f"board.{f.name}", f.facts["diameter"]).change.startswith(said)
