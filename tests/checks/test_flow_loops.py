"""Loops that pass several assemblies, pumps that are given without a flow, and pumps too weak to move anything."""

from __future__ import annotations

from pathlib import Path

import pytest

from rillwright.export.flow_plot import flow_svg
from rillwright.pipeline import check

BLOCK = """
  {name}:
    stock: {{material: pom-c, thickness: 30}}
    outline: {{length: {length}, width: 60}}
    ports:
      - {{name: a, loop: run, flow: in, on: left, at: [0, -15]}}
      - {{name: b, loop: run, flow: out, on: right, at: [0, -15]}}
    drillings:
      - {{name: bore, from: a, to: b, diameter: {d}}}
"""


def job(tmp_path: Path, loop: str, *sizes: tuple[float, float]) -> Path:
    path = tmp_path / "blocks.yaml"
    blocks = "".join(BLOCK.format(name=f"block-{i}", d=d, length=n) for i, (d, n) in enumerate(sizes))
    head = f"job: blocks\ncoolant: {{mix: water, temperature: 20}}\nloops: {{run: {{{loop}}}}}\nplates:"
    path.write_text(head + blocks, encoding="utf-8")
    return path


def test_a_pump_drives_all_assemblies_of_its_loop(tmp_path: Path) -> None:
    sizes = ((6, 120), (4, 90))
    rows = check(job(tmp_path, "pump: [[0, 0.6], [10, 0]], outside: [[0, 0], [10, 0.3]]", *sizes)).flow
    assert [r["elsewhere"]["assemblies"] for r in rows] == [["block-1"], ["block-0"]]
    q, p = (rows[0]["working_point"]["nominal"][k] for k in ("flow", "pressure"))
    assert rows[1]["working_point"]["nominal"]["flow"] == q
    # Each block asked alone at that flow: what they lose together with the outside is what the pump gives.
    alone = [check(job(tmp_path, f"flow: {q}", s)).flow[0]["drop"]["nominal"] for s in sizes]
    assert p == pytest.approx(sum(alone) + 0.03 * q, rel=2e-3)
    assert p == pytest.approx(0.6 - 0.06 * q, rel=1e-4)


def test_without_a_flow_the_pump_s_own_is_judged(tmp_path: Path) -> None:
    text = "pump: [[0, 0.3], [10, 0.05]], outside: [[0, 0], [10, 0.2]]"
    (row,) = check(job(tmp_path, text, (6, 120))).flow
    assert row["flow"] == row["working_point"]["nominal"]["flow"] != 4
    (stated,) = check(job(tmp_path, f"flow: 2, {text}", (6, 120))).flow
    assert (stated["flow"], stated["working_point"]) == (2, row["working_point"])


def test_a_pump_that_moves_nothing_is_told(tmp_path: Path) -> None:
    path = job(tmp_path, "pump: [[0, 0.1], [10, 0]], outside: [[0, 0.2], [2, 0.3]]", (6, 120))
    (found,) = (f for f in check(path).findings if f.rule == "flow.asked")
    assert "moves nothing" in found.what


def test_the_plot_of_a_pump_counts_the_other_assemblies(tmp_path: Path) -> None:
    pump = ((0.0, 0.6), (10.0, 0.0))
    row = check(job(tmp_path, "pump: [[0, 0.6], [10, 0]]", (6, 120), (4, 90))).flow[0]
    assert "whole loop" in flow_svg(row, pump, None)
    assert flow_svg(row, pump, None) != flow_svg({**row, "elsewhere": None}, pump, None)
