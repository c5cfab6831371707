"""Keys that another key says already: told with the place of the key to write instead."""

from __future__ import annotations

from pathlib import Path

import pytest

from rillwright.spec.interface import Interface
from rillwright.spec.job import Job
from rillwright.spec.load import load, load_text
from rillwright.spec.messages import SpecError

PANEL = Path(__file__).parents[2] / "params" / "wall-panel.yaml"
EYE = "    keep_out: [{name: eye, at: [0, 60], diameter: 20, cut: true}]\n    ports:"


def said(text: str, model: type[Job] | type[Interface] = Job) -> list[str]:
    with pytest.raises(SpecError) as raised:
        load_text(text, model, "x.yaml")
    return list(map(str, raised.value.problems))


def test_what_is_cut_out_is_told_to_go_under_windows_with_both_lines() -> None:
    text = PANEL.read_text(encoding="utf-8").replace("    ports:", EYE, 1)
    lines = text.splitlines()
    at = next(i for i, line in enumerate(lines, 1) if "cut: true" in line)
    windows = next(i for i, line in enumerate(lines, 1) if line == "    windows:")
    (problem,) = said(text)
    assert problem == (
        f"x.yaml:{at}:{lines[at - 1].index('cut') + 1}: plates.panel.keep_out.0.cut: what is cut out is written under "
        "windows, and kept out of by that alone (got true); move plates.panel.keep_out.0 under plates.panel.windows in "
        f"line {windows}, without cut and clearance"
    )


def test_a_plate_without_windows_gets_a_new_key_and_a_false_one_goes() -> None:
    text = PANEL.read_text(encoding="utf-8").replace("    windows:\n", "    keep_out:\n")
    text = text.replace("radius: 6}", "radius: 6, cut: yes}", 1)
    assert "move plates.panel.keep_out.0 under a new key plates.panel.windows, without cut and clearance" in said(text)[0]
    text = PANEL.read_text(encoding="utf-8").replace("    ports:", EYE.replace("true", "false"), 1)
    assert said(text)[0].endswith("(got false); leave cut out")


def test_a_foot_print_is_told_the_same() -> None:
    text = "interface: x\nsource: memory\nkeep_out: [{name: a, at: [0, 0], diameter: 9, cut: true}]\n"
    assert said(text, Interface)[0].endswith("move keep_out.0 under a new key windows, without cut and clearance")


def test_the_panel_has_its_opening_in_body_and_cover() -> None:
    from rillwright.layout.pockets import Area
    from rillwright.pipeline import placed

    body, cover = placed(load(PANEL, Job)).layout.plates
    for plate in (body, cover):
        (hole,) = [p for p in plate.pockets if p.name == "radiator"]
        assert isinstance(hole.shape, Area)
        assert len(hole.mouths) == 2
