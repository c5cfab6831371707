"""The registry of outputs: names, what is made and what is kept, and what happens when one cannot be made."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from rillwright import pipeline
from rillwright.cli import main
from rillwright.export import outputs
from rillwright.export.errors import CannotWrite
from rillwright.export.outputs import NAMES, OUTPUTS, Output, UnknownOutput, chosen, required, writers

SINGLE = Path(__file__).parents[2] / "params" / "bench-single.yaml"
ALWAYS = {"checks.json", "manifest.json"}


@pytest.fixture(scope="module")
def everything(tmp_path_factory: pytest.TempPathFactory) -> set[str]:
    out = tmp_path_factory.mktemp("whole") / "out"
    pipeline.build(SINGLE, out)
    return {p.relative_to(out).as_posix() for p in out.rglob("*") if p.is_file()}


def test_every_file_of_a_build_has_one_output(everything: set[str]) -> None:
    owners = {name: [o.name for o in OUTPUTS if o.owns(name)] for name in everything - ALWAYS}
    assert {name: found for name, found in owners.items() if len(found) != 1} == {}


@pytest.mark.parametrize("output", OUTPUTS, ids=lambda o: o.name)
def test_every_writer_is_there_and_says_what_it_writes(output: Output) -> None:
    assert callable(output.load())
    assert output.help
    assert not output.help.endswith(".")
    assert output.files
    assert set(output.needs) <= set(NAMES[: NAMES.index(output.name)])


def test_only_what_is_asked_for_is_kept(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["build", str(SINGLE), "--out", str(tmp_path / "out"), "--only", "tables, step"]) == 0
    found = {p.name for p in (tmp_path / "out").iterdir()}
    assert found == ALWAYS | {"upper.step", "lower.step", "assembly.step", "features.csv", "parts.csv", "cord-cuts.csv"}
    assert "all checks hold" in capsys.readouterr().out  # the STL was there for them


def test_an_unknown_name_is_refused_with_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as end:
        main(["build", str(SINGLE), "--only", "step,tabels"])
    assert end.value.code == 2
    assert 'no output is named "tabels"; did you mean "tables"?' in capsys.readouterr().err
    with pytest.raises(UnknownOutput, match="known outputs: step, stl"):
        chosen(["qqq"])
    with pytest.raises(UnknownOutput, match="at least one"):
        chosen([])


def test_what_is_read_by_others_is_made_too() -> None:
    assert [o.name for o in required(chosen(["pictures"]))] == ["stl", "glb", "pictures"]
    assert [o.name for o in chosen(["tables", "step"])] == ["step", "tables"]  # in the order of the registry


class _Late:
    """A writer that goes on beside the checks."""

    def __init__(self) -> None:
        self.seen: list[str] = []

    def collect(self) -> str:
        self.seen.append("collect")
        return "left out 1 of 2 pages"

    def stop(self) -> None:
        self.seen.append("stop")


def bundle(folder: Path) -> Any:
    return SimpleNamespace(folder=folder, layout=SimpleNamespace(name="job"))


def registry(monkeypatch: pytest.MonkeyPatch, *found: tuple[Output, Any]) -> list[Output]:
    """Outputs with writers of the test's own, in place of the real ones."""
    run = {o.name: write for o, write in found}
    monkeypatch.setattr(outputs, "OUTPUTS", tuple(o for o, _ in found))
    monkeypatch.setattr(outputs, "MEASURED", ())
    monkeypatch.setattr(Output, "load", lambda self: run[self.name])
    return [o for o, _ in found]


def refuse(error: Exception) -> Any:
    def write(_: Any) -> None:
        raise error

    return write


PAGE = Output("page", ("page.*",), "nowhere:page", "a page", optional=True)


@pytest.mark.parametrize("error", [CannotWrite("no display\nhere"), ImportError("No module named 'typst'")])
def test_a_convenience_that_cannot_be_made_costs_a_line(
    error: Exception, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    wanted = registry(monkeypatch, (PAGE, refuse(error)), (replace(PAGE, name="other"), lambda _: None))
    said: list[str] = []
    with writers(wanted, said.append) as run:
        run.write(bundle(tmp_path), after_checks=False)
    assert len(said) == 1
    assert said[0].startswith("job: left out page: ")
    assert "\n" not in said[0]


def test_what_must_be_made_stops_the_build(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    wanted = registry(monkeypatch, (replace(PAGE, optional=False), refuse(CannotWrite("no"))))
    with pytest.raises(CannotWrite), writers(wanted, print) as run:
        run.write(bundle(tmp_path), after_checks=False)
    wanted = registry(monkeypatch, (PAGE, refuse(ValueError("a fault"))))  # a fault is none of the machine's doing
    with pytest.raises(ValueError, match="fault"), writers(wanted, print) as run:
        run.write(bundle(tmp_path), after_checks=False)


def test_work_beside_the_checks_is_waited_for_and_always_stopped(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    late, said = _Late(), list[str]()
    wanted = registry(monkeypatch, (PAGE, lambda _: late))
    with writers(wanted, said.append) as run:
        run.write(bundle(tmp_path), after_checks=False)
        run.finish(bundle(tmp_path))
    assert (late.seen, said) == (["collect", "stop"], ["job: left out 1 of 2 pages"])
    with pytest.raises(RuntimeError), writers(wanted, print) as run:  # noqa: PT012  # the block is what is tested
        run.write(bundle(tmp_path), after_checks=False)
        raise RuntimeError
    assert late.seen[2:] == ["stop"]


def test_writers_run_in_their_phase_and_only_readers_files_go(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    order: list[str] = []

    def writer(name: str) -> Any:
        def write(b: Any) -> None:
            order.append(name)
            (b.folder / f"{name}.txt").write_text("")

        return write

    base = Output("base", ("base.txt",), "", "what others read")
    late = Output("late", ("late.txt",), "", "a report", after_checks=True, needs=("base",))
    registry(monkeypatch, (base, writer("base")), (late, writer("late")))
    with writers([late], print) as run:
        run.write(bundle(tmp_path), after_checks=False)
        assert order == ["base"]
        run.write(bundle(tmp_path), after_checks=True)
        run.finish(bundle(tmp_path))
    assert order == ["base", "late"]
    assert [p.name for p in tmp_path.iterdir()] == ["late.txt"]
