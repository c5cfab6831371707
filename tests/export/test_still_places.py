"""Where pictures are cut and where their words stand; a placed assembly's passages keep their tint."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from rillwright.export.still import start_pictures
from rillwright.export.still_child import _hides
from rillwright.export.still_names import _covered, name_ports
from rillwright.export.still_plane import cutting_place
from rillwright.layout.job_layout import JobLayout
from rillwright.layout.machine import Stance, turned
from rillwright.pipeline import plan

PARAMS = Path(__file__).parents[2] / "params"


def layout(name: str) -> JobLayout:
    return plan(PARAMS / f"{name}.yaml").layout


def test_a_job_with_tubes_is_cut_through_one() -> None:
    job = layout("lab-triple")
    tubes = {f.origin[1] for p in job.plates for f in p.features if f.role == "tube-channel"}
    assert cutting_place(job) in tubes


def test_a_panel_is_cut_through_a_port_and_across_channels() -> None:
    job = layout("wall-panel")
    ports = {f.origin[1] for p in job.plates for f in p.features if f.role == "port"}
    y = cutting_place(job)
    assert y in ports
    crossed = {k.name for p in job.plates for k in p.pockets if k.role == "channel" and _spans(k, y)}
    assert crossed


def _spans(k: object, y: float) -> bool:
    points = [k.shape.path.start, *(q.end for q in k.shape.path.pieces)]  # type: ignore[attr-defined]
    return min(p[1] for p in points) < y < max(p[1] for p in points)


def test_the_plane_goes_with_the_assembly() -> None:
    job = layout("lab-triple")
    names = [p.name for p in job.plates]
    moved = replace(job, stances=dict.fromkeys(names, Stance((0.0, 70.0, 0.0), turned((0.0, 0.0, 180.0)))))
    assert cutting_place(moved) == pytest.approx(70.0 - cutting_place(job))


def test_the_drawing_process_is_told_where_assemblies_stand(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    orders = []
    monkeypatch.setattr("rillwright.export.still.begun", orders.append)
    planned = plan(PARAMS / "whole-machine.yaml")
    from rillwright.export.bundle import Bundle

    start_pictures(Bundle(tmp_path, planned.loaded.model, planned.layout, {}, {}, []))
    assert planned.layout.stances
    assert orders[0].layout.stances == planned.layout.stances


def test_an_opaque_plate_is_clear_where_its_face_hides_passages() -> None:
    panel = next(p for p in layout("wall-panel").plates if p.name == "panel")
    block = next(p for p in layout("whole-machine").plates if p.name == "manifold")
    base = next(p for p in layout("whole-machine").plates if p.name == "base")
    clear = [_hides(p, seal) for p in (panel, block, base) for seal in (True, False)]
    assert clear == [False, True, True, True, False, False]


class Paper:
    """A sheet that keeps what is written on it; one px for each mm."""

    def __init__(self) -> None:
        self.boxes: list[tuple[float, float, float, float]] = []
        self.words: list[str] = []

    def pixel(self, p: tuple[float, float, float]) -> tuple[float, float]:
        return 2 * p[0] + 600, 2 * p[1] + 450

    def text(self, words: str, at: tuple[float, float], size: int, middle: bool) -> None:
        assert (size, middle) == (15, True)
        half = 4.5 * len(words) + 8
        self.words.append(words)
        self.boxes.append((at[0] - half, at[1] - 11, at[0] + half, at[1] + 11))


@pytest.mark.parametrize("name", ["studio-twin", "lab-triple", "wall-panel", "valve-board"])
def test_words_stand_apart_and_beside_the_mouths(name: str) -> None:
    for plate in layout(name).plates:
        paper = Paper()
        name_ports(paper, plate, "")  # type: ignore[arg-type]
        assert len(paper.words) == sum(f.role in ("port", "plug") for f in plate.features)
        for i, box in enumerate(paper.boxes):
            assert _covered(box, paper.boxes[:i]) == 0, (plate.name, paper.words[i])
        for f in plate.features:
            if f.role == "port" and f.face in ("seal", "outer"):
                x, y = paper.pixel(f.origin)
                assert not any(b[0] < x < b[2] and b[1] < y < b[3] for b in paper.boxes), f.name
