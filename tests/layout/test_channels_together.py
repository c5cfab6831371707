"""Channels of one loop that meet: automatic ones that share an end, and one that runs into a line given by hand."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from board import TEXT as BOARD
from rillwright.layout import paths
from rillwright.layout.pockets import Pocket, Stroke
from rillwright.layout.routing.clearance import check
from rillwright.pipeline import plan

TEXT = BOARD.replace("- {name: run, loop: warm, joins: [in, out]}", "WARM")


def channels(folder: Path, warm: str) -> dict[str, Pocket]:
    """Pockets of the channels of a board whose warm loop is cut as written; the router's answer is checked besides."""
    file = folder / "board.yaml"
    file.write_text(TEXT.replace("WARM", warm), encoding="utf-8")
    job = plan(file)
    (body,) = (p for p in job.layout.plates if p.name == "board")
    return {p.name: p for p in body.pockets if p.role == "channel"}


def joined(pockets: dict[str, Pocket], places: list[tuple[float, float]]) -> bool:
    """Whether the middle lines of some pockets make one piece that passes all places, measured on the lines."""
    import shapely

    from rillwright.layout.routing.flat import path_line

    warm = [p.shape for n, p in pockets.items() if not n.startswith("back")]
    lines = [path_line(s.path) for s in warm if isinstance(s, Stroke)]
    wet = shapely.union_all([line.buffer(0.01) for line in lines])
    return wet.geom_type == "Polygon" and all(wet.distance(shapely.Point(q)) < 1e-6 for q in places)


def test_channels_that_share_an_end_are_one_tree(tmp_path: Path) -> None:
    found = channels(tmp_path, """- {name: run, loop: warm, joins: [in, [0, 20]]}
      - {name: on, loop: warm, width: 6, joins: [in, out]}
      - {name: third, loop: warm, depth: 5, joins: [[30, 55], out]}""")
    assert joined(found, [(-80, 30), (0, 20), (80, 30), (30, 55)])
    assert {n.partition(".")[0] for n in found} == {"run", "on", "third", "back"}
    assert found["run"].facts["width"] == 8
    assert found["on.1"].facts["width"] == 6
    assert found["third"].depth == 5
    assert set(found["run"].joins) >= {"on.1", "third"}
    assert "run" in found["third"].joins


def test_two_channels_end_to_end_are_as_long_as_one(tmp_path: Path) -> None:
    found = channels(tmp_path, """- {name: run, loop: warm, joins: [in, [0, 30]]}
      - {name: on, loop: warm, width: 6, joins: [[0, 30], out]}""")
    assert found["run"].facts["length"] == pytest.approx(80, abs=1e-6)
    assert found["on"].facts["length"] == pytest.approx(80, abs=1e-6)


@pytest.mark.parametrize(("given", "end"), [
    ("joins: [in, out], route: [in, [-40, 20], [40, 20], out]", (0.0, 20.0)),
    ("joins: [in, [0, 30], out], route: [in, [0, 30], out]", (0.0, 30.0)),
])  # fmt: skip
def test_an_end_on_a_given_line_runs_into_it(tmp_path: Path, given: str, end: tuple[float, float]) -> None:
    found = channels(tmp_path, f"""- {{name: run, loop: warm, {given}}}
      - {{name: on, loop: warm, width: 6, joins: [[{end[0]}, {end[1]}], [10, 50]]}}""")
    assert joined(found, [(-80, 30), end, (10, 50)])
    assert "run" in {o.partition(".")[0] for o in found["on"].joins}
    area = found["on"].shape
    assert isinstance(area, Stroke)
    assert paths.distance(area.path, end) < 1e-6


def test_away_from_where_they_meet_they_keep_apart(tmp_path: Path) -> None:
    """The straight way from the end on the line to the other end leaves the line at a slant; what was taken does not
    come near it again, and measured as it lies it keeps every distance."""
    file = tmp_path / "board.yaml"
    warm = """- {name: run, loop: warm, joins: [in, out], route: [in, out]}
      - {name: on, loop: warm, width: 6, joins: [[0, 30], [60, 55]]}"""
    file.write_text(TEXT.replace("WARM", warm), encoding="utf-8")
    made = plan(file).layout
    (asked,) = made.plans
    assert check(asked.problem, asked.routing).faults == ()
    (leg,) = asked.routing.paths["on"]
    near = [math.hypot(p[0], p[1] - 30) for _, p, _ in paths.along(leg.path, 0.5) if p[1] < 36]
    assert max(near) < 25
