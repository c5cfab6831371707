"""A sheet too thin for the bores along it is told by `check`, with the sheet that would do."""

from __future__ import annotations

from pathlib import Path

import pytest

from rillwright.checks.finding import Finding
from rillwright.pipeline import check

TEXT = """\
job: block
loops: {run: {}}
plates:
  block:
    stock: {thickness: THICK}
    outline: {length: 120, width: 60}
    ports:
      - {name: a, loop: run, on: left, at: [0, Z]}
      - {name: b, loop: run, on: right, at: [0, Z]}
    drillings:
      - {name: bore, from: a, to: b, diameter: 8}
"""


def told(folder: Path, z: float, thick: float) -> list[Finding]:
    path = folder / "block.yaml"
    path.write_text(TEXT.replace("THICK", f"{thick:g}").replace("Z", f"{z:g}"), encoding="utf-8")
    return [f for f in check(path).findings if f.rule == "bore.sheet"]


# Spotface of G1/4: Ø19 (DIN 3852-2) and a lip of 0.4: 9.9 on either side; tapping drill Ø11.8 and a wall of 3: 8.9.
@pytest.mark.parametrize(("z", "thick", "measured", "said"), [
    (-14, 15, -8.5, "take a sheet of 24 mm or thicker instead of 15, or take a smaller thread"),
    (-14, 23.8, 0.3, "put it between z -13.9 and -9.9, or take a sheet of 24 mm or thicker instead of 23.8"),
    (-9, 19, -0.5, "take a sheet of 20 mm or thicker instead of 19 and put it at z -9.9, or take a smaller thread"),
    (-9.8, 30, 0.3, "put it between z -20.1 and -9.9"),
])  # fmt: skip
def test_the_remedy_names_the_sheet(tmp_path: Path, z: float, thick: float, measured: float, said: str) -> None:
    a, b = told(tmp_path, z, thick)
    assert (a.features, b.features) == (("a", "bore"), ("b",))
    assert a.measured == pytest.approx(measured)
    assert a.remedy == b.remedy == said


@pytest.mark.parametrize(("z", "thick"), [(-14, 24), (-9.9, 20), (-13.9, 23.8)])
def test_what_was_said_holds(tmp_path: Path, z: float, thick: float) -> None:
    assert not told(tmp_path, z, thick)
