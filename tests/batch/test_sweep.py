"""A sweep from end to end: resumed, in shards, with a worker killed on the way; and what stands on its page."""

from __future__ import annotations

import csv
import io
import json
import os
import signal
from concurrent.futures import Executor, Future
from pathlib import Path
from typing import Any

import pytest
from tiny import JOB, SWEEP, Pretend, figures, files, made

from jobs import PARAMS
from rillwright.batch import command
from rillwright.batch.order import Made, Order
from rillwright.batch.places import Here
from rillwright.batch.run import results
from rillwright.batch.sweep import Run
from rillwright.batch.variants import read_sweep
from rillwright.cli import main
from rillwright.export.errors import OutputError
from rillwright.standards.materials import material


def run(path: Path, out: Path, place: Any, shard: slice = slice(None)) -> tuple[Run, list[str]]:
    sweep = read_sweep(path)
    said: list[str] = []
    done = Run(sweep, out, said.append, ("step",))
    rows = done.build(sweep.variants[shard], place)
    return done, [r.state for r in rows]


def test_finished_variants_are_known_again_and_only_the_rest_is_built(tmp_path: Path) -> None:
    path, out, place = files(tmp_path), tmp_path / "out", Pretend()
    assert run(path, out, place, slice(0, None, 2))[1] == ["holds", "waits", "holds"]
    assert run(path, out, place, slice(1, None, 2))[1] == ["holds"] * 3
    assert place.asked == ["length-60", "length-80", "length-70"]
    assert run(path, out, place)[1] == ["holds"] * 3
    assert len(place.asked) == 3
    (out / "length-70" / "block.step").write_bytes(b"cut short")
    files(tmp_path, job=JOB, sweep=SWEEP.replace("80", "90"))
    run(path, out, place)
    assert place.asked[3:] == ["length-70", "length-90"]
    files(tmp_path, job=JOB.replace("thickness: 20", "thickness: 21"))
    run(path, out, place)
    assert place.asked[5:] == ["length-60", "length-70", "length-80"]


def test_what_went_wrong_is_told_and_tried_again(tmp_path: Path) -> None:
    def fails(order: Order) -> Made:
        if order.name == "length-70":
            raise MemoryError("no room")
        return Made(order.name, trouble="no good") if order.name == "length-80" else made(order)

    path, out = files(tmp_path), tmp_path / "out"
    done, states = run(path, out, Pretend(fails))
    assert states == ["holds", "not built", "not built"]
    assert [r.trouble for r in done.rows.values()] == ["", "no room", "no good"]
    again = Pretend()
    assert run(path, out, again)[1] == ["holds"] * 3
    assert again.asked == ["length-70", "length-80"]


def test_a_folder_that_is_not_this_sweeps_is_left_alone(tmp_path: Path) -> None:
    path, out = files(tmp_path), tmp_path / "out"
    out.mkdir()
    (out / "index.html").write_text("my own page")
    with pytest.raises(OutputError, match=r"holds index\.html, which no sweep wrote"):
        run(path, out, Pretend())
    assert (out / "index.html").read_text() == "my own page"
    run(path, tmp_path / "other", Pretend())
    files(tmp_path, SWEEP.replace("sweep: lengths", "sweep: widths"))
    with pytest.raises(OutputError, match="holds the results of sweep lengths"):
        run(path, tmp_path / "other", Pretend())
    with pytest.raises(OutputError, match=r"tiny\.yaml"):
        run(path, tmp_path / "tiny.yaml", Pretend())


class Silent(Executor):
    """Takes everything, answers nothing."""

    def submit(self, *_: Any, **__: Any) -> Future[Any]:
        return Future()


def test_an_executor_that_never_answers_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("rillwright.batch.run.GRACE", 0.05)
    orders = [Order(n, "", (), "") for n in "abc"]
    found = [(o.name, m.trouble) for o, m in results(orders, Silent(), made, 2, 0.01)]
    assert found == [(n, "no worker answered for 0.06 s") for n in "abc"]


def test_no_more_is_on_the_way_than_asked() -> None:
    class Counting(Executor):
        on_the_way, most = 0, 0

        def submit(self, fn: Any, /, *args: Any, **_: Any) -> Future[Any]:
            future: Future[Any] = Future()
            future.set_result(fn(*args))
            self.on_the_way += 1
            self.most = max(self.most, self.on_the_way)
            return future

    executor = Counting()
    for _ in results([Order(str(n), "", (), "") for n in range(9)], executor, made, 3, 0):
        executor.on_the_way -= 1
    assert executor.most <= 3


@pytest.fixture(scope="module")
def killed(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """A real sweep of three, in one process that is killed while it builds the second; then the run after it."""
    folder = tmp_path_factory.mktemp("killed")
    path, out = files(folder), folder / "out"
    sweep, said = read_sweep(path), []

    def say(words: str) -> None:
        said.append(words)
        if words.startswith("[1/3]"):
            record = json.loads((out / sweep.variants[0].name / "variant.json").read_text())
            os.kill(record["row"]["process"], signal.SIGKILL)

    first = [r.state for r in Run(sweep, out, say, ("step",)).build(sweep.variants, Here(1, 120))]
    before = {p: p.stat().st_mtime_ns for p in out.glob("*/variant.json")}
    left = sorted(p.name for p in out.iterdir())
    second = Run(sweep, out, said.append, ("step",))
    states = [r.state for r in second.build(sweep.variants, Here(1, 120))]
    kept = [p.stat().st_mtime_ns == at for p, at in before.items()]
    return {"first": first, "second": states, "said": said, "kept": kept, "fresh": second.fresh, "left": left, "out": out}


def test_a_killed_worker_costs_one_variant_and_the_next_run_builds_that_one_only(killed: dict[str, Any]) -> None:
    assert killed["first"] == ["holds", "not built", "holds"]
    assert any("killed by signal 9 (SIGKILL)" in words for words in killed["said"])
    assert killed["left"] == ["index.html", "length-60", "length-80", "sweep.csv", "sweep.json"]
    assert (killed["second"], killed["fresh"], killed["kept"]) == (["holds"] * 3, 1, [True, True])


def test_two_variants_are_told_apart_by_what_their_files_say(
    killed: dict[str, Any], capsys: pytest.CaptureFixture[str]
) -> None:
    a, b = (killed["out"] / f"length-{n}" for n in (60, 70))
    assert main(["compare", str(a), str(b), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)["typed"]
    length = next(t for t in told if t["key"] == "plates.block.outline.length")
    line = (b / "length-70.yaml").read_text(encoding="utf-8").splitlines()[length["b_line"] - 1]
    assert (length["a"], length["b"]) == ("60", "70")
    assert "length: 70" in line


def test_a_variants_folder_is_a_job_and_its_figures_are_right(killed: dict[str, Any]) -> None:
    out: Path = killed["out"]
    rows = {v["name"]: v for v in json.loads((out / "sweep.json").read_text())["variants"]}
    assert main(["check", str(out / "length-70" / "length-70.yaml")]) == 0
    for length in (60, 70, 80):
        row = rows[f"length-{length}"]
        assert row["chosen"] == {"length": length}
        block = length * 40 * 20 - row["volumes_mm3"]["block"]
        # The tapped bores and the drilling, with the spotfaces beyond what counts as coolant.
        assert block == pytest.approx(1000 * row["coolant_ml"], rel=0.35)
        assert row["plates_g"] == pytest.approx(material("pom-c").density * 1e-6 * row["volumes_mm3"]["block"], abs=0.06)
    assert sorted(p.name for p in (out / "length-60").iterdir()) == [
        "assembly.step", "block.step", "checks.json", "length-60.yaml", "manifest.json", "thumbnail.png", "variant.json",
    ]  # fmt: skip


HOSTILE = '<script>alert(1)</script>"\'&=1+1'


def test_the_page_escapes_what_files_say_and_lets_no_other_script_run(tmp_path: Path) -> None:
    labels = f"values: [60, 70], labels: [{json.dumps(HOSTILE)}, plain]"
    path = files(tmp_path, SWEEP.replace("values: [60, 70, 80]", labels))
    finding = {"rule": "net.open", "severity": "error", "plate": HOSTILE, "features": [HOSTILE], "what": HOSTILE,
               "measured": 1.0, "limit": 2.0, "unit": "mm", "key": "k", "waived": ""}  # fmt: skip

    def work(order: Order) -> Made:
        if "plain" in order.name:
            return Made(order.name, trouble=HOSTILE)
        return Made(order.name, made(order).files, figures(holds=False, errors=1, findings=[finding]))

    out = tmp_path / "out"
    assert run(path, out, Pretend(work))[1] == ["fails", "not built"]
    text = (out / "index.html").read_text()
    assert text.count("<script>") == 1
    assert "alert(1)" in text
    assert "default-src 'none'" not in text  # written as an attribute, so escaped
    assert "default-src &#x27;none&#x27;; img-src data:;" in text
    assert "http://" not in text
    assert "https://" not in text
    rows = list(csv.reader(io.StringIO((out / "sweep.csv").read_text())))
    assert all(not cell.startswith(("=", "+", "@")) for row in rows for cell in row)
    assert rows[1][2] == HOSTILE


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    path, out = files(tmp_path), tmp_path / "out"
    assert main(["sweep", str(path), "--list", "--shard", "2/2"]) == 0
    assert capsys.readouterr().out == "length-70: length 70\n1 variant, each read and placed without a fault\n"
    monkeypatch.setattr(command, "_place", lambda _: Pretend())
    assert main(["sweep", str(path), "--out", str(out), "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert [v["state"] for v in document["variants"]] == ["holds"] * 3
    fails = Pretend(lambda order: Made(order.name, made(order).files, figures(holds=False, errors=1)))
    monkeypatch.setattr(command, "_place", lambda _: fails)
    assert main(["sweep", str(path), "--out", str(tmp_path / "two")]) == 1
    assert "lengths: 3 variants: 3 fails" in capsys.readouterr().out
    monkeypatch.setattr(command, "_place", lambda _: Pretend(lambda order: Made(order.name, trouble="gone")))
    assert main(["sweep", str(path), "--out", str(tmp_path / "three"), "--shard", "1/3"]) == 3
    assert "length-60: gone" in capsys.readouterr().out


def test_the_schema_of_a_sweep_file_takes_the_shipped_one(capsys: pytest.CaptureFixture[str]) -> None:
    from jsonschema import Draft202012Validator
    from ruamel.yaml import YAML

    assert main(["schema", "--sweeps"]) == 0
    schema = json.loads(capsys.readouterr().out)
    Draft202012Validator.check_schema(schema)
    data = YAML(typ="safe", pure=True).load(PARAMS / "sweeps" / "tube-sizes.yaml")
    assert list(Draft202012Validator(schema).iter_errors(data)) == []
    data["over"]["pitch"]["vales"] = [1]
    assert len(list(Draft202012Validator(schema).iter_errors(data))) == 1


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--shard", "3/2"], "must be K/N with K from 1 to N"),
        (["--workers", "0"], "must be a whole number from 1"),
        (["--limit", "-1"], "0 or more"),
        (["--only", "step,stp"], 'did you mean "step"?'),
        (["--workers", "2", "--scheduler", "tcp://127.0.0.1:9"], "leave one of the two out"),
    ],
)
def test_wrong_usage(tmp_path: Path, capsys: pytest.CaptureFixture[str], arguments: list[str], words: str) -> None:
    try:
        code = main(["sweep", str(files(tmp_path)), *arguments])
    except SystemExit as end:
        code = int(str(end.code))
    assert code == 2
    assert words in capsys.readouterr().err
