"""What was measured of a cover's cord and grooves takes the place of classes and defaults in the seal's figures."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from rillwright.pipeline import check
from rillwright.spec.messages import SpecError

TEXT = """\
job: board
loops: {warm: {}}
plates:
  board:
    stock: {material: pom-c, thickness: 20}
    outline: {length: 160, width: 80}
    covers:
      seal:
        stock: {thickness: 10}
        cord: {diameter: 2, hardness: 50}
        groove: {depth: 1.5, width: 3.4}
        screws: {thread: M3, pitch: 40, head: on-top}
        MEASURED
    ports:
      - {name: in, loop: warm, on: cover, at: [-50, 0], thread: G1/8}
      - {name: out, loop: warm, on: cover, at: [50, 0], thread: G1/8}
    channels:
      - {name: run, loop: warm, joins: [in, out]}
"""


def told(folder: Path, measured: str) -> tuple[dict[str, Any], list[str]]:
    file = folder / "board.yaml"
    file.write_text(TEXT.replace("MEASURED", measured), encoding="utf-8")
    result = check(file)
    (gland,) = result.glands
    return gland, [f.remedy for f in result.findings if f.rule.startswith("seal.")]


def test_findings_name_the_keys_and_the_keys_answer_them(tmp_path: Path) -> None:
    _, said = told(tmp_path, "")
    assert any("measure the cord and write it as measured.cord of 'board', covers.seal" in s for s in said)
    gland, said = told(tmp_path, "measured: {cord: {value: 2.1, gauge: 0.02}}")
    assert not said
    # by hand: groove 1.5 ± 0.05, faces 0 to 0.05 apart, cord 2.1 ± 0.02 hardly stretched at filling
    now = gland["conditions"][0]["squeeze"]
    assert now["nominal"] == pytest.approx(100 * (1 - 1.5 / 2.1), abs=0.01)
    assert now["worst"] == pytest.approx([100 * (1 - 1.6 / 2.08), 100 * (1 - 1.45 / 2.12)], abs=0.1)


def test_a_groove_that_was_cut_too_deep_shows(tmp_path: Path) -> None:
    both = "measured: {cord: {value: 2.1, gauge: 0.02}, groove_depth: {value: 1.62, gauge: 0.01}}"
    gland, _ = told(tmp_path, both)
    now = gland["conditions"][0]["squeeze"]
    assert now["nominal"] == pytest.approx(100 * (1 - 1.62 / 2.1), abs=0.01)
    assert now["worst"] == pytest.approx([100 * (1 - 1.68 / 2.08), 100 * (1 - 1.61 / 2.12)], abs=0.1)


def test_a_bonded_cover_has_nothing_to_measure(tmp_path: Path) -> None:
    file = tmp_path / "board.yaml"
    stock, ports = TEXT.partition("        cord:")[0], TEXT.partition("MEASURED\n")[2]
    glued = stock + "        join: bonded\n        MEASURED\n" + ports
    file.write_text(glued.replace("MEASURED", "measured: {cord: {value: 2, gauge: 0.1}}"), encoding="utf-8")
    with pytest.raises(SpecError, match="a bonded cover has no measured"):
        check(file)
