"""What `rillwright check` says of the seals of a shipped job, and of one whose tube is cut wrongly."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

import rillwright
from jobs import PARAMS, raw, written
from rillwright.cli import main

TRIPLE = PARAMS / "lab-triple.yaml"


def told(capsys: pytest.CaptureFixture[str], path: Path) -> tuple[int, str]:
    code = main(["check", str(path)])
    return code, " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize("name", ["left", "middle", "right"])
def test_each_seal_with_squeeze_fill_cord_joint_and_dominant_tolerance(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, text = told(capsys, TRIPLE)
    assert code == 0
    line = re.search(
        rf"seal {name}\.cord: squeeze ([\d.]+) %, worst ([\d.]+) to ([\d.]+) %, settled ([\d.]+) %; "
        rf"fill (\d+) %, worst (\d+) % 2 rings of 2 mm epdm, cut ([\d.]+) mm, joint beside {name}\.strut-1 "
        r"at x [-\d.]+, y -27\.5; widest tolerance: cord", text,
    )  # fmt: skip
    assert line is not None
    squeeze, low, high, settled, fill, most, cut = map(float, line.groups())
    assert squeeze == 25  # gap 1.5 = (250 + 6 − 253)/2 under cord of 2
    assert low < settled < squeeze < high
    assert fill < most
    assert cut == 172.8  # π · 55


@pytest.mark.parametrize(("length", "found"), [(254, "50 %, wanted 30 % at most"), (252, "0 %, wanted 20 % or more")])
def test_a_tube_1_mm_off_fails_with_both_figures(
    length: float, found: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = raw("lab-triple")
    for reservoir in job["reservoirs"]:
        reservoir["tube"]["length"] = length
    code, text = told(capsys, written(tmp_path, job))
    assert code == 1
    assert re.search(rf"error seal\.squeeze, 3 alike, assembly: .*?found {re.escape(found)}", text)


def test_no_numbers_library_is_loaded_for_it() -> None:
    script = "import sys, json; from rillwright.cli import main; main(sys.argv[1:]); print(json.dumps(sorted(sys.modules)))"
    env = {**os.environ, "PYTHONPATH": str(Path(rillwright.__file__).parents[1])}
    run = subprocess.run([sys.executable, "-c", script, "check", str(TRIPLE)], env=env, capture_output=True, text=True,
                         check=True)  # fmt: skip
    assert not {"numpy", "scipy", "shapely", "cadquery", "OCP"} & set(json.loads(run.stdout.splitlines()[-1]))
