"""`rillwright leaktest`: the plan of a pressure-decay test, and the answer to its readings."""

from __future__ import annotations

import hashlib
import json
import math
import re
import shutil
from pathlib import Path

import pytest

from jobs import PARAMS
from rillwright.checks.plan.leak_test import CAUTIONS, Readings, answer, plan_test
from rillwright.cli import main

READ = ["--start", "0.3", "--end", "0.28", "--minutes", "60"]
CALM = [word for which in ("start", "end") for word in (f"--{which}-temperature", "20", f"--{which}-barometer", "1013.25")]


@pytest.fixture
def job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A shipped job of one loop in an empty folder."""
    monkeypatch.chdir(tmp_path)
    shutil.copy(PARAMS / "bench-single.yaml", "bench.yaml")
    return "bench.yaml"


def built(volume: float | None, of: str | None = None) -> None:
    """What a build leaves for the volume of loop `bench`, mL."""
    folder = Path("outputs", "bench-single")
    folder.mkdir(parents=True)
    nets = [{"assembly": "1", "loop": "bench", "coolant_ml": volume}]
    (folder / "checks.json").write_text(json.dumps({"nets": nets}), encoding="utf-8")
    seen = hashlib.sha256(Path(of).read_bytes()).hexdigest() if of else "0"
    (folder / "manifest.json").write_text(json.dumps({"input": {"sha256": seen}}), encoding="utf-8")


def test_rate_is_the_formula_of_the_method() -> None:
    # V Δp/(t p_atm), ASTM E2930: 500 mL × 0.02 bar / (60 min × 1.01325 bar), worked by hand.
    found = answer(Readings(0.3, 0.28, 60, (20, 20), (1013.25, 1013.25)), 500)
    assert found.rate == pytest.approx(0.16449, abs=5e-6)
    assert found.corrected == pytest.approx(0.02)
    assert found.verdict == "leaks"


def test_a_tight_loop_that_cools_is_tight_and_one_that_warms_may_leak() -> None:
    # Gay-Lussac: 131.325 kPa at 293.15 K is 130.877 kPa at 292.15 K, so the gauge falls to 0.29552 bar.
    cooled = answer(Readings(0.3, 0.29552, 60, (20, 19), (1013.25, 1013.25)), 500)
    assert cooled.corrected == pytest.approx(0, abs=1e-5)
    assert cooled.verdict == "tight"
    assert answer(Readings(0.3, 0.3, 60, (20, 25), (1013.25, 1013.25)), 500).verdict == "leaks"


def test_the_weather_is_no_leak() -> None:
    found = answer(Readings(0.3, 0.295, 60, (20, 20), (1010, 1015)), 500)  # 5 hPa are 0.005 bar
    assert found.corrected == pytest.approx(0, abs=1e-12)
    assert found.verdict == "tight"


def test_uncertainty_is_that_of_the_drop_where_nothing_fell() -> None:
    # Two readings each, ± over √3: √(2/3 (0.1² + 0.05² + (131.325 × 0.5/293.15)²)) = 0.2047 kPa; twice that is told.
    found = answer(Readings(0.3, 0.3, 60, (20, 20), (1013.25, 1013.25)), 500)
    assert found.uncertainty == pytest.approx(2 * 500 * 0.20446 / 101.325 / 60, rel=2e-3)
    assert found.rate == 0


@pytest.mark.parametrize(("end", "word"), [(0.2999, "tight"), (0.288, "undecided"), (0.26, "leaks"), (0.32, "undecided")])
def test_verdicts(end: float, word: str) -> None:
    assert answer(Readings(0.3, end, 60, (20, 20), (1013.25, 1013.25)), 500).verdict == word


def test_unread_thermometer_and_barometer_widen_the_answer_and_are_named() -> None:
    read = answer(Readings(0.3, 0.29, 60, (20, 20), (1013.25, 1013.25)), 500)
    blind = answer(Readings(0.3, 0.29, 60), 500)
    assert blind.rate == pytest.approx(read.rate)
    assert blind.uncertainty > 3 * read.uncertainty
    assert "read both temperatures and the barometer" in blind.why


def test_after_the_planned_time_a_leak_at_the_limit_has_moved_the_gauge_ten_steps() -> None:
    plan = plan_test("main", 500, 0.5, gauge=0.001, limit=0.1)
    assert plan.minutes == pytest.approx(500 * 10 * 0.001 / (0.1 * 1.01325))  # ASTM E2930, resolution ten times finer
    assert (plan.pressure, plan.highest, plan.coarse) == (0.3, 0.5, False)
    assert plan.drift == pytest.approx(1.31325 / 293.15)  # p ΔT/T
    assert plan_test("main", 500, 0.5, gauge=0.01).coarse


@pytest.mark.parametrize(("stated", "highest", "pressure"), [(0.2, 0.2, 0.2), (2.0, 0.5, 0.3), (0.5, 0.5, 0.3)])
def test_pressure_never_passes_the_jobs_nor_ours(stated: float, highest: float, pressure: float) -> None:
    plan = plan_test("main", 500, stated)
    assert (plan.highest, plan.pressure) == (highest, pressure)


def test_plan_on_the_bench(job: str, capsys: pytest.CaptureFixture[str]) -> None:
    built(487.2, job)
    assert main(["leaktest", job]) == 0
    text = capsys.readouterr().out
    words = " ".join(text.split())
    assert "test bench: 487.2 mL under 0.3 bar gauge for 48 min or more; never above 0.5 bar (our choice" in words
    assert "published trade advice caps air at 50 kPa" in words
    assert text.count("caution  ") == len(CAUTIONS)
    for word in ("unpowered", "clear", "water first", "Never go above", "eye protection", "acrylic"):
        assert word in words
    assert max(map(len, text.splitlines())) <= 100


def test_a_file_changed_since_the_build_is_told(job: str, capsys: pytest.CaptureFixture[str]) -> None:
    built(487.2)
    assert main(["leaktest", job]) == 0
    assert "bench.yaml is not the file that was built last" in capsys.readouterr().out


@pytest.mark.parametrize(("end", "code", "word"), [("0.3", 0, "tight"), ("0.2", 1, "leaks"), ("0.288", 1, "undecided")])
def test_exit_code_follows_the_verdict(
    end: str, code: int, word: str, job: str, capsys: pytest.CaptureFixture[str]
) -> None:
    built(500.0, job)
    assert main(["leaktest", job, *READ, "--end", end, *CALM]) == code
    text = capsys.readouterr().out
    assert re.search(rf"^verdict  {word}: ", text, re.M)
    assert re.search(r"^rate     \S+ ± \S+ mL/min of air \(k = 2\), limit 0.1 mL/min$", text, re.M)
    assert "caution" not in text


def test_readings_above_the_highest_pressure_are_answered_with_a_caution(
    job: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["leaktest", job, "--volume", "500", "--start", "0.8", "--end", "0.8", "--minutes", "60", *CALM]) == 0
    assert "caution  started at 0.8 bar, above the 0.5 bar" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ([], "there is no outputs/bench-single/checks.json; run `rillwright build bench.yaml` first, or give --volume"),
        (["--loop", "other"], "there is no loop 'other'; give --loop with one of bench"),
        (["--start", "0.3"], "give --end and --minutes as well"),
        ([*READ, "--start-temperature", "20"], "give --end-temperature as well"),
        ([*READ, "--volume", "500", "--start-barometer", "101", "--end-barometer", "101"], "from 800 to 1100 hPa"),
        ([*READ, "--volume", "500", "--start", "0"], "the start pressure must be above 0 bar"),
        ([*READ, "--volume", "-1"], "volume"),
        ([*READ, "--volume", "500", "--minutes", "0"], "duration"),
    ],
)
def test_what_cannot_be_answered_ends_with_2(
    words: list[str], told: str, job: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["leaktest", job, *words]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert told in said.err


def test_a_loop_that_was_not_proved_closed_has_no_volume(job: str, capsys: pytest.CaptureFixture[str]) -> None:
    built(None, job)
    assert main(["leaktest", job]) == 2
    assert "no volume of loop 'bench'" in capsys.readouterr().err


def test_a_number_that_is_none_ends_with_2(job: str) -> None:
    for text in ("much", "nan", "inf"):
        with pytest.raises(SystemExit) as end:
            main(["leaktest", job, "--volume", text])
        assert end.value.code == 2


def test_several_loops_are_all_planned_but_readings_are_of_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    file = str(PARAMS / "lab-triple.yaml")
    folder = Path("outputs", "lab-triple")
    folder.mkdir(parents=True)
    nets = [{"loop": n, "coolant_ml": 100.0 * i} for i, n in enumerate(("compute-a", "compute-b", "storage"), 1)]
    (folder / "checks.json").write_text(json.dumps({"nets": nets}), encoding="utf-8")
    assert main(["leaktest", file]) == 0
    minutes = [int(m) for m in re.findall(r"gauge for (\d+) min", " ".join(capsys.readouterr().out.split()))]
    assert minutes == [round(v * 0.01 / (0.1 * 1.01325)) for v in (100, 200, 300)]
    assert main(["leaktest", file, *READ]) == 2
    assert "give --loop with one of compute-a, compute-b, storage" in capsys.readouterr().err
    assert main(["leaktest", file, *READ, "--loop", "storage"]) == 1
    assert math.isclose(float(re.findall(r"rate +(\S+)", capsys.readouterr().out)[0]), 0.0987, rel_tol=1e-3)


def test_json_says_the_same_as_the_text(job: str, capsys: pytest.CaptureFixture[str]) -> None:
    built(500, of=job)
    assert main(["leaktest", job, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    (plan,) = told["plans"]
    assert (told["code"], plan["loop"], plan["volume"]) == (0, "bench", 500)
    assert told["cautions"] == list(CAUTIONS)
    code = main(["leaktest", job, *READ, *CALM, "--json"])
    told = json.loads(capsys.readouterr().out)
    assert (code, told["code"], told["answer"]["verdict"]) == (1, 1, "leaks")
    assert told["answer"]["rate"] == pytest.approx(0.16449, abs=5e-6)
    assert told["readings"]["celsius"] == [20, 20]


def test_json_of_what_cannot_be_answered(job: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["leaktest", job, "--json"]) == 2
    out, err = capsys.readouterr()
    assert "build" in json.loads(out)["error"]
    assert "build" in err
