"""Foot prints that are shipped: every file reads, names its source, fits its schema, and stands on a plate."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest
from ruamel.yaml import YAML

from jobs import PARAMS, Job, written
from rillwright.cli import main
from rillwright.pipeline import plan
from rillwright.spec.interface import Interface
from rillwright.spec.schema import json_schema
from rillwright.spec.sized import read_interface

FILES = sorted((PARAMS / "interfaces").glob("*.yaml"))
ASKED = {
    "pump-flange": {"flange": 75, "pitch-circle": 62, "body": 46}, "flange-four-hole": {"pitch": 40},
    "card-terminal": {"in": 12, "out": -12}, "radiator-tank": {"in": 30, "out": -30},
}  # fmt: skip


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_a_shipped_foot_print_reads_and_says_where_its_sizes_are_from(path: Path) -> None:
    found = read_interface(path).model
    assert any(word in found.source for word in ("published", "common practice", "memory", "no standard"))
    jsonschema.validate(YAML(typ="safe").load(path), json_schema(Interface))


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_a_shipped_foot_print_stands_on_a_plate(tmp_path: Path, path: Path) -> None:
    mount = {"name": "m", "interface": path.stem, "side": "seal", "loop": "a", "set": ASKED.get(path.stem, {})}
    job: Job = {"job": "stands", "loops": {"a": {}}, "plates": {"p": {
        "stock": {"material": "pom-c", "thickness": 20}, "outline": {"length": 200, "width": 200}, "mounts": [mount]}}}
    (print_,) = plan(written(tmp_path, job)).layout.footprints
    assert print_.spaces


def test_its_schema_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema", "--interfaces"]) == 0
    assert "spaces" in json.loads(capsys.readouterr().out)["properties"]
