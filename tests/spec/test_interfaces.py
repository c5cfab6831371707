"""Foot prints that are shipped: every file reads, names its source, fits its schema, and stands on a plate."""

from __future__ import annotations

import importlib.resources
import importlib.util
import json
import os
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import jsonschema
import pytest
from ruamel.yaml import YAML

from jobs import Job, written
from rillwright.cli import main
from rillwright.pipeline import plan
from rillwright.spec.interface import Interface
from rillwright.spec.interface_files import SHIPPED
from rillwright.spec.schema import json_schema
from rillwright.spec.sized import read_interface

FILES = sorted(SHIPPED.glob("*.yaml"))
NAMES = [p.stem for p in FILES]
ROOT = Path(__file__).parents[2]
ASKED = {
    "pump-flange": {"flange": 75, "pitch-circle": 62, "body": 46}, "flange-four-hole": {"pitch": 40},
    "card-terminal": {"in": 12, "out": -12}, "radiator-tank": {"in": 30, "out": -30},
}  # fmt: skip


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_a_shipped_foot_print_reads_and_says_where_its_sizes_are_from(path: Path) -> None:
    found = read_interface(path).model
    assert any(word in found.source for word in ("published", "common practice", "memory", "no standard"))
    jsonschema.validate(YAML(typ="safe").load(path), json_schema(Interface))


def _job(name: str) -> Job:
    mount = {"name": "m", "interface": name, "side": "seal", "loop": "a", "set": ASKED.get(name, {})}
    return {"job": "stands", "loops": {"a": {}}, "plates": {"p": {
        "stock": {"material": "pom-c", "thickness": 20}, "outline": {"length": 200, "width": 200}, "mounts": [mount]}}}


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_a_shipped_foot_print_stands_on_a_plate(tmp_path: Path, path: Path) -> None:
    (print_,) = plan(written(tmp_path, _job(path.stem))).layout.footprints
    assert print_.spaces


def test_its_schema_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema", "--interfaces"]) == 0
    properties = json.loads(capsys.readouterr().out)["properties"]
    assert "spaces" in properties
    assert properties["interface"]["examples"] == NAMES


def test_jobs_and_foot_prints_name_them_the_same_way(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema"]) == 0
    mount = json.loads(capsys.readouterr().out)["$defs"]["Mount"]["properties"]["interface"]
    assert mount["examples"] == NAMES
    assert [read_interface(p).model.interface for p in FILES] == NAMES


def test_they_are_data_of_the_package() -> None:
    assert Path(str(importlib.resources.files("rillwright") / "interfaces")) == SHIPPED
    wanted = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["setuptools"]["package-data"]
    assert "interfaces/*.yaml" in wanted["rillwright"]


@pytest.mark.skipif(importlib.util.find_spec("setuptools") is None, reason="no build backend here")
def test_a_job_finds_them_where_only_the_package_was_installed(tmp_path: Path) -> None:
    source, site = tmp_path / "source", tmp_path / "site"
    left = shutil.ignore_patterns("node_modules", "__pycache__", "*.egg-info")
    shutil.copytree(ROOT / "generators", source / "generators", ignore=left)
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / name, source)
    # What a wheel holds, without the package `wheel`, which not every environment has.
    build = [sys.executable, "-c", "import setuptools; setuptools.setup()", "-q", "build_py", "--build-lib", str(site)]
    subprocess.run(build, cwd=source, check=True, capture_output=True)
    job = written(tmp_path, _job("fan-frame-120"))
    run = [sys.executable, "-m", "rillwright", "check", str(job)]
    done = subprocess.run(run, cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(site)}, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert sorted(p.stem for p in (site / "rillwright" / "interfaces").iterdir()) == NAMES
