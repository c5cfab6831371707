"""README.md says what the program does: its tables, commands, files and pictures are held against it."""

from __future__ import annotations

import re
import runpy
import shlex
from pathlib import Path

import pytest

from rillwright.checks.rules import RULES
from rillwright.cli import parser
from rillwright.pipeline import check
from rillwright.spec.job import Job
from rillwright.spec.load import load

ROOT = Path(__file__).parents[1]
TEXT = (ROOT / "README.md").read_text(encoding="utf-8")
SHELL = [line for block in re.findall(r"```sh\n(.*?)```", TEXT, re.DOTALL) for line in block.splitlines()]
TABLES = runpy.run_path(str(ROOT / "tests" / "readme_tables.py"))


def test_tables_are_those_of_the_program() -> None:
    same = TABLES["with_tables"](TEXT) == TEXT
    assert same, "README.md has tables of an older program: run `python tests/readme_tables.py`"


def test_every_rule_has_its_row() -> None:
    shown = TEXT.split("<!-- begin rules -->")[1].split("<!-- end rules -->")[0]
    assert set(re.findall(r"^\| `([^`]+)` \|", shown, re.MULTILINE)) == set(RULES)


def test_the_first_two_commands_build_and_test_from_a_fresh_clone() -> None:
    build, tests = SHELL[:2]
    for line in (build, tests):
        assert line.startswith("python3 -m venv .venv && .venv/bin/pip install -q ")
    assert build.endswith(" && .venv/bin/rillwright build params/studio-twin.yaml")
    assert "-e '.[test]'" in tests
    assert "--no-deps bd-warehouse" in tests
    assert tests.endswith("-m pytest -n 2")


@pytest.mark.parametrize("line", SHELL)
def test_commands_are_well_formed(line: str) -> None:
    for command in line.split(" && "):
        words = shlex.split(command)
        program = words[0].removeprefix(".venv/bin/")
        assert program in ("python3", "python", "pip", "rillwright")
        if program == "rillwright":
            parser().parse_args(words[1:])  # SystemExit for a word it does not know
            for path in words[2:]:
                assert path.startswith("my-job") or (ROOT / path).is_file()


def test_every_command_and_exit_code_is_named() -> None:
    listed = re.findall(r"^\| `rillwright (\w+)", TEXT, re.MULTILINE)
    choices = next(a.choices for a in parser()._actions if a.choices)
    assert sorted(listed) == sorted(choices or ())
    assert re.findall(r"^\| (\d) \| ", TEXT, re.MULTILINE) == ["0", "1", "2", "3"]


def test_pictures_and_links_lead_somewhere() -> None:
    targets = re.findall(r"\]\(([^)#]+)\)", TEXT)
    assert len(targets) >= 6
    for target in targets:
        assert (ROOT / target).is_file(), target


def test_the_example_is_a_job_whose_checks_hold(tmp_path: Path) -> None:
    example = re.findall(r"```yaml\n(.*?)```", TEXT, re.DOTALL)
    assert len(example) == 1
    path = tmp_path / "example.yaml"
    path.write_text(example[0], encoding="utf-8")
    assert load(path, Job).model.job == "example"
    result = check(path)
    assert result.holds, [f.what for f in result.findings]


def test_the_covered_plate_is_a_job_whose_checks_hold(tmp_path: Path) -> None:
    section = TEXT.split("## Covered plates\n")[1].split("\n## ")[0]
    plates = re.findall(r"^```\n(plates:\n.*?)```", section, re.DOTALL | re.MULTILINE)
    assert len(plates) == 1
    path = tmp_path / "panel.yaml"
    path.write_text(f"job: panel\nloops:\n  laser: {{tint: teal}}\n{plates[0]}", encoding="utf-8")
    result = check(path)
    assert result.holds
    told = [f.what for f in result.findings if f.severity in ("error", "warning")]
    assert not told, told


def test_the_ci_script_takes_its_command_from_the_readme() -> None:
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    pattern = re.search(r"grep -E '([^']+)' README\.md", script)
    assert pattern is not None
    assert [s for s in TEXT.splitlines() if re.search(pattern[1], s)] == [SHELL[1]]
    assert "set -euo pipefail" in script
    assert (ROOT / ".ci" / "run").stat().st_mode & 0o111
