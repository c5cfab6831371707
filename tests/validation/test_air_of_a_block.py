"""Air and coolant left in a bored block, by whole mouths of its ports: against volumes by geometry alone."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from manifold3d import Manifold

from rillwright.checks.solid import air
from rillwright.checks.solid.air import air_rows, turned
from rillwright.layout.nets import Assembly, assemblies
from rillwright.layout.stands import Stand
from rillwright.pipeline import plan

JOB = """
job: block
coolant: {mix: water, temperature: 20}
loops: {run: {flow: 4}}
plates:
  block:
    stock: {material: pom-c, thickness: 40}
    outline: {length: 200, width: 60}
    ports:
      - {name: a, loop: run, on: left, at: [0, -20]}
      - {name: b, loop: run, on: right, at: [0, -20]}
    drillings:
      - {name: bore, from: a, to: b, diameter: 8}
"""
PORT, DEEP = 11.8 / 2, 18.5  # bore of G1/4 and its depth
RISE = 12.0  # how far the blind riser reaches above the bore's axis


def rod(radius: float, length: float, at: tuple[float, float, float], turn: tuple[float, float, float]) -> Any:
    return Manifold.cylinder(length, radius, radius, 96).rotate(turn).translate(at)


def block(tmp_path: Path) -> tuple[Assembly, Any]:
    """The assembly, and its void with a blind riser Ø8 on the middle of the bore."""
    path = tmp_path / "block.yaml"
    path.write_text(JOB, encoding="utf-8")
    (a,) = assemblies(plan(path).layout)
    (z,) = {round(t.at[2], 6) for t in a.net("run") if t.kind == "port"}
    along = (0.0, 90.0, 0.0)
    left, right = rod(PORT, DEEP, (-100, 0, z), along), rod(PORT, DEEP, (100 - DEEP, 0, z), along)
    return a, left + right + rod(4, 190, (-95, 0, z), along) + rod(4, RISE, (0, 0, z), (0, 0, 0))


def test_a_blind_riser_keeps_air_and_a_turn_over_clears_it(tmp_path: Path) -> None:
    a, void = block(tmp_path)
    ways = [Stand("up", (0, 0, 1)), Stand("over", (0, 0, -2)), Stand("side", (0, 1, 0))]
    up, over, side = air_rows(a, "run", [void], ways)
    riser = math.pi * 16 * (RISE - 4) / 1000  # what lies above the crown of the bore
    assert up["trapped_ml"] == pytest.approx(riser, abs=math.pi * 16 * 0.6 / 1000)  # half a cell at each end
    (pocket,) = up["air"]
    assert pocket["near"] == "block.bore"
    assert pocket["at"][:2] == pytest.approx((0, 0), abs=0.3)
    (rest,) = over["coolant"]  # in the assembly's own frame, however it stands
    assert rest["at"] == pytest.approx(pocket["at"], abs=0.6)
    assert (over["trapped_ml"], side["trapped_ml"]) == (0, 0)
    assert over["undrained_ml"] == pytest.approx(riser, abs=math.pi * 16 * 0.6 / 1000)
    assert up["undrained_ml"] == side["undrained_ml"] == 0
    assert up["grid_ml"] == pytest.approx(void.volume() / 1000, rel=0.05)  # a circle of 8 cells across is 52 of them


@pytest.mark.parametrize("lean", [0.0, 20.0])
def test_on_end_the_upper_port_vents_and_the_lower_one_drains(tmp_path: Path, lean: float) -> None:
    a, void = block(tmp_path)
    up = (math.cos(math.radians(lean)), math.sin(math.radians(lean)), 0.0)
    (row,) = air_rows(a, "run", [void], [Stand("on end", up)])
    assert (row["vent"], row["drain"]) == ("block.b", "block.a")
    by = {b["port"]: b for b in row["by_port"]}
    whole = void.volume() / 1000
    # By the upper port alone nothing runs out but what fills its own mouth; by the lower one all but the riser's corner.
    assert by["block.b"]["undrained_ml"] == pytest.approx(whole, rel=0.05)
    assert by["block.a"]["trapped_ml"] == pytest.approx(whole, rel=0.05)
    assert by["block.b"]["trapped_ml"] == row["trapped_ml"]
    assert by["block.a"]["undrained_ml"] == row["undrained_ml"] < 0.1 * whole


def test_a_pocket_on_end_is_told_where_it_lies(tmp_path: Path) -> None:
    a, void = block(tmp_path)
    z = next(t.at[2] for t in a.net("run") if t.kind == "port")
    stub = rod(4, 40, (-80, 0, z + 10), (0, 90, 0))  # a blind bore beside the other, open to it at its left end alone
    joined = void + stub + rod(4, 16, (-80, 0, z - 4), (0, 0, 0))
    (row,) = air_rows(a, "run", [joined], [Stand("on end", (1, 0, 0))])
    # Above the link's upper side at x −76 the stub keeps its air, to its blind end at x −40.
    most = row["air"][0]
    assert most["at"] == pytest.approx((-58, 0, z + 10), abs=0.6)
    assert most["ml"] == pytest.approx(math.pi * 16 * 36 / 1000, rel=0.05)


def test_levels_of_a_tube_are_shares_of_its_cylinder() -> None:
    (a,) = assemblies(plan(Path(__file__).parents[2] / "params" / "bench-single.yaml").layout)
    low, high = sorted(p.height for p in a.plates)
    (tube,) = (h for h in a.hardware if h.kind == "tube")
    x, y = tube.origin[:2]
    void = rod(20, high - low, (x, y, low), (0, 0, 0)) + rod(4, 10, (x, y, low - 10), (0, 0, 0))
    (upright, lying) = air_rows(a, a.loops[0], [void], [Stand("upright", (0, 0, 1)), Stand("lies", (0, 1, 0))])
    assert [v["share"] for v in upright["levels"]] == [0.25, 0.5, 0.75, 1.0]
    for v in upright["levels"]:
        assert v["above_mm"] == pytest.approx(v["share"] * (high - low), abs=0.06)
        assert v["ml"] == pytest.approx((math.pi * 400 * v["share"] * (high - low) + math.pi * 160) / 1000, rel=0.01)
    assert lying["levels"] == []


def test_a_loop_too_large_for_its_grid_gets_a_coarser_one(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    a, void = block(tmp_path)
    monkeypatch.setattr(air, "MOST", 6_000)
    (row,) = air_rows(a, "run", [void], [Stand("up", (0, 0, 1))])
    assert 1 < row["grid_mm"] < 2
    half_a_cell = math.pi * 16 * 0.7 * row["grid_mm"] / 1000
    assert row["trapped_ml"] == pytest.approx(math.pi * 16 * (RISE - 4) / 1000, abs=half_a_cell)


def test_turned_is_a_turn() -> None:
    for up in ((0, 0, 1), (0.3, -2, 0.1), (1, 0, 0)):
        t = turned(up)
        assert np.allclose(t @ t.T, np.eye(3))
        assert np.linalg.det(t) == pytest.approx(1)
        assert t @ np.asarray(up, float) == pytest.approx([0, 0, np.linalg.norm(up)])
