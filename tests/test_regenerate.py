"""Building again: only what a change touches is made anew, and the answer is that of a build from nothing."""

from __future__ import annotations

import hashlib
import json
import os
import subprocess
import sys
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest

from jobs import PARAMS, Job, named, raw, written
from rillwright import keeper as keeping
from rillwright import pipeline, stages
from rillwright.checks.kept import plain_result
from rillwright.checks.result import Result
from rillwright.keeper import Keeper
from rillwright.store import Store

ROOT = Path(__file__).parents[1]
OUTPUTS = ("stl", "tables")
WITH_STEP = ("step", *OUTPUTS)


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return written(tmp_path, raw("bench-single"))


@pytest.fixture
def seen(monkeypatch: pytest.MonkeyPatch) -> Callable[[], Counter[str]]:
    """What was made, by kind, since it was last asked."""
    keepers: list[Keeper] = []

    class Watched(Keeper):
        def __init__(self, store: Store) -> None:
            super().__init__(store)
            keepers.append(self)

    monkeypatch.setattr(keeping, "Keeper", Watched)

    def made() -> Counter[str]:
        total = sum((k.made for k in keepers), Counter[str]())
        keepers.clear()
        return total

    return made


def store(tmp_path: Path) -> Store:
    return Store(tmp_path / "kept", 10**9)


def build(path: Path, out: Path, kept: Store, only: tuple[str, ...] = OUTPUTS) -> Result:
    return pipeline.build(path, out, only=only, store=kept)


def told(result: Result) -> str:
    """An answer as its files and words have it; lists and tuples are one."""
    return json.dumps([plain_result(result), result.as_dict()])


def contents(folder: Path, *less: str) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in folder.iterdir() if p.name not in less and p.suffix not in less}


def volumes(step: Path) -> list[float]:
    import cadquery as cq

    return sorted(round(s.Volume(), 3) for s in cq.importers.importStep(str(step)).solids().vals())


def move_a_hole(data: Job) -> Job:
    named(data["plates"]["lower"]["holes"], "bench")["grid"]["pitch"] = [107, 108]
    return data


def test_nothing_changed_nothing_written(job: Path, tmp_path: Path, seen: Callable[[], Counter[str]]) -> None:
    first = build(job, tmp_path / "out", store(tmp_path))
    assert seen()["plate"] == 2
    before = {p: p.stat().st_mtime_ns for p in (tmp_path / "out").iterdir()}
    said: list[str] = []
    again = pipeline.build(job, tmp_path / "out", said.append, OUTPUTS, store(tmp_path))
    assert told(again) == told(first)
    assert {p: p.stat().st_mtime_ns for p in (tmp_path / "out").iterdir()} == before
    assert len(said) == 1
    assert "nothing has changed" in said[0]
    assert seen() == Counter()


def test_a_folder_that_was_touched_or_lost_is_put_right(job: Path, tmp_path: Path) -> None:
    out, kept = tmp_path / "out", store(tmp_path)
    first = build(job, out, kept)
    whole = contents(out)
    (out / "upper.stl").write_bytes(b"solid")
    assert told(build(job, out, kept)) == told(first)
    assert contents(out) == whole
    (out / "parts.csv").unlink()
    build(job, out, kept)
    assert contents(out) == whole
    elsewhere = build(job, tmp_path / "other", kept)
    assert contents(tmp_path / "other") == whole
    assert (elsewhere.folder, elsewhere.outcomes) == (tmp_path / "other", first.outcomes)


def test_one_hole_moved_in_one_plate(
    job: Path, tmp_path: Path, seen: Callable[[], Counter[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Against a build from nothing: the same bytes, and solids of the same volume; the other plate is not cut again."""
    from rillwright.solids import build as room

    kept, cut = store(tmp_path), list[str]()
    build(job, tmp_path / "out", kept, WITH_STEP)
    seen()
    real = room.plate_solid
    monkeypatch.setattr(room, "plate_solid", lambda plate, swap=True: cut.append(plate.name) or real(plate, swap))
    edited = written(tmp_path, move_a_hole(raw("bench-single")))
    again = build(edited, tmp_path / "out", kept, WITH_STEP)
    made = seen()
    assert cut == ["lower"]
    assert (made["plate"], made["walls"], made["step"], made["nets"]) == (1, 1, 1, 1)
    assert made["air"] == 0  # the void is as it was
    fresh = build(edited, tmp_path / "fresh", Store(None, 0), WITH_STEP)
    assert told(again) == told(fresh)
    assert contents(tmp_path / "out", ".step", "manifest.json") == contents(tmp_path / "fresh", ".step", "manifest.json")
    for name in ("upper.step", "lower.step", "assembly.step"):
        assert volumes(tmp_path / "out" / name) == pytest.approx(volumes(tmp_path / "fresh" / name), rel=1e-9)


def test_a_limit_changed_cuts_and_writes_nothing_again(
    job: Path, tmp_path: Path, seen: Callable[[], Counter[str]]
) -> None:
    kept, data = store(tmp_path), raw("bench-single")
    build(job, tmp_path / "out", kept)
    seen()
    data["limits"] = {"wall_wet": 9.0}
    result = build(written(tmp_path, data), tmp_path / "out", kept)
    assert {k: n for k, n in seen().items() if n} == {"walls": 2}
    assert next(o.limit for o in result.outcomes if o.rule == "wall.wet-dry" and o.cases) == 9.0


def test_damaged_entries_are_made_again(job: Path, tmp_path: Path, seen: Callable[[], Counter[str]]) -> None:
    first = build(job, tmp_path / "out", store(tmp_path))
    whole = contents(tmp_path / "out", ".step", "manifest.json")
    seen()
    for path in (tmp_path / "kept").rglob("*"):
        if path.is_file():
            path.write_bytes(path.read_bytes()[:-3] + b"bad")
    assert told(build(job, tmp_path / "out", store(tmp_path))) == told(first)
    assert seen()["plate"] == 2
    assert contents(tmp_path / "out", ".step", "manifest.json") == whole


RUN = """
import sys
from rillwright.cli import main
code = main(["build", sys.argv[1], "--out", sys.argv[2], "--cache", sys.argv[3], "--only", "stl,tables"])
loaded = sorted({"cadquery", "OCP", "numpy", "pydantic", "ruamel"} & set(sys.modules))
print("loaded:", *loaded)
sys.exit(code)
"""


def started(job: Path, out: Path, kept: Path) -> subprocess.Popen[str]:
    paths = os.pathsep.join([str(ROOT / "generators"), os.environ.get("PYTHONPATH", "")])
    return subprocess.Popen([sys.executable, "-c", RUN, str(job), str(out), str(kept)], text=True,
                            stdout=subprocess.PIPE, env={**os.environ, "PYTHONPATH": paths})  # fmt: skip


def test_two_processes_at_once_and_then_no_kernel(job: Path, tmp_path: Path) -> None:
    kept = tmp_path / "kept"
    both = [started(job, tmp_path / name, kept) for name in ("a", "b")]
    said = [run.communicate(timeout=120)[0] for run in both]
    assert [run.returncode for run in both] == [0, 0]
    assert contents(tmp_path / "a", ".step", "manifest.json") == contents(tmp_path / "b", ".step", "manifest.json")
    third = started(job, tmp_path / "a", kept)
    answer = third.communicate(timeout=60)[0]
    assert third.returncode == 0
    assert answer.splitlines()[-1] == "loaded:"
    assert answer.splitlines()[:-1] == said[0].splitlines()[:-1]  # the same words as the build itself
    job.write_text(job.read_text() + "# a remark\n")  # read again, but nothing to cut or to measure
    fourth = started(job, tmp_path / "a", kept)
    assert not {"cadquery", "OCP"} & set(fourth.communicate(timeout=60)[0].splitlines()[-1].split())
    listed = json.loads((tmp_path / "a" / "manifest.json").read_text())
    assert listed["input"]["sha256"] == hashlib.sha256(job.read_bytes()).hexdigest()


def test_what_was_left_out_is_tried_again(job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from rillwright.export import still

    kept = store(tmp_path)
    monkeypatch.setattr(still, "CHILD", (sys.executable, "-c", "raise SystemExit(1)"))
    monkeypatch.setattr(still.begun, "__defaults__", (still.CHILD,))
    said: list[str] = []
    for _ in range(2):
        pipeline.build(job, tmp_path / "out", said.append, ["pictures"], kept)
    assert sum("left out" in s for s in said) == 2


def test_what_is_kept_of_a_plate_is_the_plate() -> None:
    import numpy as np

    from rillwright.solids.keep import packed, unpacked

    layout = pipeline.plan(PARAMS / "bench-single.yaml").layout
    solid, mesh = stages.Plates(layout, 0.05, Keeper(Store(None, 0)), print).of("upper")
    again, again_mesh = unpacked(packed(solid, mesh))
    assert again.Volume() == solid.Volume()
    assert [f.geomType() for f in again.Faces()] == [f.geomType() for f in solid.Faces()]
    assert again.isValid()
    for name in ("vertices", "triangles", "face_of_triangle"):
        assert np.array_equal(getattr(again_mesh, name), getattr(mesh, name))
    assert all(np.array_equal(a, b) for a, b in zip(again_mesh.edges, mesh.edges, strict=True))


def test_a_file_that_is_edited_during_the_build_is_built_again(tmp_path: Path, job: Path) -> None:
    kept, edited = store(tmp_path), raw("bench-single")
    named(edited["plates"]["lower"]["holes"], "bench")["grid"]["pitch"] = [100, 100]

    def says(words: str) -> None:
        if "measuring" in words:
            written(tmp_path, edited)

    pipeline.build(job, tmp_path / "out", says, only=OUTPUTS, store=kept)
    before = (tmp_path / "out" / "features.csv").read_bytes()
    build(job, tmp_path / "out", kept)
    assert (tmp_path / "out" / "features.csv").read_bytes() != before
