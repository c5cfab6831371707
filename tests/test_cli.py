"""The commands: what they answer, where they write, and with which exit code."""

from __future__ import annotations

import argparse
import contextlib
import json
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from rillwright import pipeline
from rillwright.checks.rules import RULES
from rillwright.cli import main, parser
from rillwright.export.errors import OutputError
from rillwright.starter import starter_text
from rillwright.terminal import CAUTION


@pytest.fixture(autouse=True)
def _in_an_empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("RILLWRIGHT_DEBUG", raising=False)


def job(name: str = "bench", old: str = "", new: str = "") -> Path:
    """A starter file in the working directory with one piece of text exchanged."""
    text = starter_text(name)
    assert not old or text.count(old) == 1
    path = Path(f"{name}.yaml")
    path.write_text(text.replace(old, new) if old else text, encoding="utf-8")
    return path


def too_tight(name: str = "tight") -> Path:
    """A job whose cord is squeezed too much: struts 1.5 mm shorter than the tube asks for."""
    return job(name, "      diameter: 10\n", "      diameter: 10\n      length: 150\n")


def commands(top: argparse.ArgumentParser) -> Iterator[tuple[str, argparse.ArgumentParser]]:
    for action in top._actions:
        if isinstance(action, argparse._SubParsersAction):
            yield from action.choices.items()


# Help.


def test_every_command_and_option_has_help() -> None:
    top = parser()
    subs = dict(commands(top))
    assert set(subs) == {"build", "check", "sweep", "compare", "schema", "new", "explain", "coupon", "leaktest"}
    listed = next(a for a in top._actions if isinstance(a, argparse._SubParsersAction))
    assert all(choice.help for choice in listed._choices_actions)
    for each in (top, *subs.values()):
        assert each.description
        assert all(a.help for a in each._actions if a is not listed)


# check.


def test_check_tells_every_rule_and_writes_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    path = job()
    assert main(["check", str(path)]) == 0
    text = capsys.readouterr().out
    assert re.search(r"^seal\.squeeze +holds +1 +25 ", text, re.M)
    assert re.search(r"^no case for: .*\bport\.spacing\b", text, re.M | re.S)
    assert re.search(r"^all checks hold", text, re.M)
    assert CAUTION not in text
    assert list(Path().iterdir()) == [path]


def test_a_failed_check_ends_with_1_and_says_what_to_do(capsys: pytest.CaptureFixture[str]) -> None:
    # Gap (150 + 2·3 − 153)/2 = 1.5 mm for a 3 mm cord: 50 %, where 30 % is the most; 25 % wants 2.25 mm.
    assert main(["check", str(too_tight())]) == 1
    text = capsys.readouterr().out
    assert re.search(r"^seal\.squeeze +FAILS +1 +50 ", text, re.M)
    assert "found    50 %, wanted 30 % at most\n" in text
    assert "remedy   cut the tube to 151.50 mm" in text
    assert "key      seal.squeeze-" in text
    assert re.search(r"^[0-9]+ checks? failed", text, re.M)


def test_a_bad_file_ends_with_2_and_names_the_place(capsys: pytest.CaptureFixture[str]) -> None:
    path = job("bench", "      wall: 5\n", "      wall: -5\n")
    assert main(["check", str(path)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    line = next(i for i, t in enumerate(path.read_text(encoding="utf-8").splitlines(), 1) if "wall: -5" in t)
    assert said.err.startswith(f"bench.yaml:{line}:13: reservoirs.0.tube.wall: ")


def test_several_files_all_run_and_the_worst_code_is_returned(capsys: pytest.CaptureFixture[str]) -> None:
    files = [str(too_tight()), "not-there.yaml", str(job())]
    assert main(["check", *files]) == 2
    said = capsys.readouterr()
    assert "tight, from tight.yaml" in said.out
    assert "bench, from bench.yaml" in said.out
    assert "not-there.yaml: there is no such file" in said.err


def test_json_is_an_object_for_one_file_and_a_list_for_several(capsys: pytest.CaptureFixture[str]) -> None:
    good, bad = str(job()), str(too_tight())
    assert main(["check", good, "--json"]) == 0
    one = json.loads(capsys.readouterr().out)
    assert (one["job"], one["holds"], one["exit"], one["folder"]) == ("bench", True, 0, None)
    assert main(["check", bad, "not-there.yaml", "--json"]) == 2
    two = json.loads(capsys.readouterr().out)
    assert [e["exit"] for e in two] == [1, 2]
    assert "seal.squeeze" in [f["rule"] for f in two[0]["findings"] if f["severity"] == "error"]
    assert two[1]["errors"] == ["not-there.yaml: there is no such file"]


# build: one true run, the rest with the pipeline's answers put in its place.


def test_the_starter_builds_with_every_check_holding(capfd: pytest.CaptureFixture[str]) -> None:
    assert main(["new", "bench"]) == 0
    capfd.readouterr()
    assert main(["build", "bench.yaml", "--json"]) == 0
    said = capfd.readouterr()  # of the process, since the kernel writes past Python
    result = json.loads(said.out)
    assert result["holds"]
    assert [f["key"] for f in result["findings"] if f["severity"] == "error"] == []
    assert {o["rule"] for o in result["checked"]} <= set(RULES)
    assert result["folder"] == "outputs/bench"
    assert {"upper.step", "upper.stl", "lower.step", "lower.stl", "assembly.step", "checks.json"} <= set(result["files"])
    assert sorted(p.name for p in Path("outputs/bench").iterdir()) == result["files"]
    assert "bench: cutting plate upper" in said.err


def built(path: Path, out: Path, say: pipeline.Say, *_: Any) -> pipeline.Result:
    """Stands for `pipeline.build`: writes one file, measures nothing."""
    say(f"to {out}")
    out.mkdir(parents=True)
    (out / "checks.json").write_text("{}", encoding="utf-8")
    done = pipeline.check(path)
    return pipeline.Result(done.job, done.outcomes, out)


@pytest.mark.parametrize(
    ("names", "options", "folders"),
    [
        (["a"], [], ["outputs/a"]),
        (["a", "b"], [], ["outputs/a", "outputs/b"]),
        (["a"], ["--out", "here"], ["here"]),
        (["a", "b"], ["--out", "here"], ["here/a", "here/b"]),
    ],
)
def test_where_results_go(
    names: list[str], options: list[str], folders: list[str], monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    monkeypatch.setattr(pipeline, "build", built)
    assert main(["build", *(str(job(n)) for n in names), *options]) == 0
    assert capsys.readouterr().err.splitlines() == [f"to {Path(f)}" for f in folders]
    assert all(Path(f, "checks.json").exists() for f in folders)


def test_a_built_job_that_fails_names_its_files_all_the_same(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(pipeline, "build", built)
    assert main(["build", str(too_tight())]) == 1
    text = capsys.readouterr().out
    tail = text[text.index(" failed") :].splitlines()
    assert tail[1] == "the files are written all the same: to look at, not to cut from"
    assert tail[2:4] == ["in outputs/tight:", "  checks.json"]
    assert text.endswith(f"\n\n{CAUTION}\n")


def test_two_files_of_one_job_are_refused_before_anything_is_built(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(pipeline, "build", built)
    other = job("other")
    twin = Path("twin.yaml")
    twin.write_text(other.read_text(encoding="utf-8").replace("job: other", "job: bench"), encoding="utf-8")
    assert main(["build", str(other), str(job()), str(twin)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert 'twin.yaml: its job is named "bench", and so is that of bench.yaml; nothing was built' in said.err
    assert not Path("outputs").exists()
    assert main(["build", str(other), str(other)]) == 2


def raising(error: BaseException) -> Any:
    def build(*_: Any) -> pipeline.Result:
        raise error

    return build


def test_results_that_cannot_be_written_end_with_2(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(pipeline, "build", raising(OutputError("the disk is full")))
    assert main(["build", str(job())]) == 2
    assert capsys.readouterr().err == "bench.yaml: the disk is full\n"


@pytest.mark.parametrize(("module", "name"), [("build", "GeometryError"), ("meshing", "MeshError")])
def test_geometry_that_cannot_be_made_ends_with_3_and_the_rest_is_built(
    module: str, name: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    import importlib

    error = getattr(importlib.import_module(f"rillwright.solids.{module}"), name)

    def build(path: Path, out: Path, say: pipeline.Say, *_: Any) -> pipeline.Result:
        if path.name == "bad.yaml":
            raise error("plate 'upper': it falls into 2 pieces")
        return built(path, out, say)

    monkeypatch.setattr(pipeline, "build", build)
    assert main(["build", str(job("bad")), str(job()), "--json"]) == 3
    said = capsys.readouterr()
    assert "bad.yaml: the geometry could not be made: plate 'upper': it falls into 2 pieces" in said.err
    assert "Traceback" not in said.err
    assert [e["exit"] for e in json.loads(said.out)] == [3, 0]


def test_a_fault_of_the_program_is_said_to_be_one(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(pipeline, "check", raising(ZeroDivisionError("division by zero")))
    path = str(job())
    assert main(["check", path]) == 3
    said = capsys.readouterr().err
    assert "a fault of the program, not of the file: ZeroDivisionError: division by zero" in said
    assert "RILLWRIGHT_DEBUG=1" in said
    assert "Traceback" not in said
    monkeypatch.setenv("RILLWRIGHT_DEBUG", "1")
    assert main(["check", path]) == 3
    assert "Traceback (most recent call last)" in capsys.readouterr().err


STOPPED = "stopped; no folder of results is left half written\n"


def test_ctrl_c_ends_with_130_and_one_plain_line(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(pipeline, "build", raising(KeyboardInterrupt()))
    assert main(["build", str(job()), "--json"]) == 130
    said = capsys.readouterr()
    assert (said.out, said.err) == ("", STOPPED)


def test_ctrl_c_amid_an_import_waits_for_its_end_and_no_longer(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    Path("slow_to_load.py").write_text(
        "import signal, time\nstages = ['begun']\nsignal.raise_signal(signal.SIGINT)\n"
        "time.sleep(0.1)\nstages.append('loaded')\n"
    )
    monkeypatch.syspath_prepend(".")
    reached = []

    def build(_path: Path, _out: Path, _say: pipeline.Say, *_: Any) -> pipeline.Result:
        import slow_to_load  # type: ignore[import-not-found]

        reached.extend(slow_to_load.stages)  # inside of it nothing may be raised
        time.sleep(5)
        reached.append("placed")
        raise AssertionError

    monkeypatch.setattr(pipeline, "build", build)
    assert main(["build", str(job())]) == 130
    assert reached == ["begun", "loaded"]
    assert capsys.readouterr().err == STOPPED
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler


def test_ctrl_c_while_a_job_is_placed_stops_it_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    reached = []

    def build(*_: Any) -> pipeline.Result:
        signal.raise_signal(signal.SIGINT)  # the kernel is not loaded, and nothing is said for a while
        reached.append("placed")
        raise AssertionError

    monkeypatch.setattr(pipeline, "build", build)
    assert main(["build", str(job())]) == 130
    assert reached == []


@pytest.mark.parametrize(("number", "code"), [(signal.SIGTERM, 143), (signal.SIGHUP, 129)])
def test_a_build_that_is_told_to_end_clears_up_first(
    monkeypatch: pytest.MonkeyPatch, number: signal.Signals, code: int
) -> None:
    cleared = []

    def build(*_: Any) -> pipeline.Result:
        try:
            signal.raise_signal(number)
        finally:
            cleared.append(True)
        raise AssertionError

    monkeypatch.setattr(pipeline, "build", build)
    assert main(["build", str(job())]) == code
    assert cleared == [True]
    assert signal.getsignal(number) is signal.SIG_DFL


@pytest.mark.parametrize("command", ["check", "build", "sweep"])
def test_no_command_takes_ctrl_c_for_a_broken_import(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], command: str
) -> None:
    Path("compiled.py").write_text(  # as compiled modules do it
        "import signal\ntry:\n    signal.raise_signal(signal.SIGINT)\n"
        "except KeyboardInterrupt:\n    raise ImportError('failed to import') from None\n"
    )
    monkeypatch.syspath_prepend(".")
    monkeypatch.delitem(sys.modules, "compiled", raising=False)

    def loading(*_: Any) -> pipeline.Result:
        import compiled  # type: ignore[import-not-found]  # noqa: F401

        time.sleep(5)
        raise AssertionError

    monkeypatch.setattr(pipeline, "build", loading)
    monkeypatch.setattr(pipeline, "check", loading)
    monkeypatch.setattr("rillwright.batch.variants.read_sweep", loading)
    assert main([command, str(job())]) == 130
    assert capsys.readouterr().err == STOPPED


def test_ctrl_c_that_a_library_swallows_still_stops_the_run(monkeypatch: pytest.MonkeyPatch) -> None:
    built_after = []

    def build(path: Path, out: Path, say: pipeline.Say, *_: Any) -> pipeline.Result:
        say("cutting")
        if path.name == "other.yaml":
            built_after.append(path)
        with contextlib.suppress(KeyboardInterrupt):
            signal.raise_signal(signal.SIGINT)
        return built(path, out, say)

    monkeypatch.setattr(pipeline, "build", build)
    assert main(["build", str(job()), str(job("other"))]) == 130
    assert built_after == []
    assert not Path("outputs").exists()


def test_a_reader_that_goes_away_is_no_fault() -> None:
    command = [sys.executable, "-m", "rillwright", "schema"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert process.stderr.read() == b""
    assert process.returncode == 141


@pytest.mark.parametrize("closed", [[0], [1], [2], [0, 1, 2]])
def test_started_without_its_streams_it_works_all_the_same(closed: list[int]) -> None:
    tell = f"import os, sys; [os.close(n) for n in {closed}]; os.execv(sys.executable, [sys.executable, *sys.argv[1:]])"
    command = [sys.executable, "-c", tell, "-m", "rillwright", "check", str(job())]
    assert subprocess.run(command, capture_output=True, check=False).returncode == 0
