"""Every job in params/defects has the one defect that its first line names, and a build finds it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from jobs import PARAMS
from rillwright.checks.result import Result
from rillwright.checks.rules import RULES
from rillwright.checks.schema import checks_schema
from rillwright.pipeline import build

DEFECTS = sorted((PARAMS / "defects").glob("*.yaml"))


def expected(path: Path) -> tuple[str, set[str]]:
    """Rule, and words of the features' names, from the first line: `# expects: RULE feature feature`."""
    first = path.read_text(encoding="utf-8").splitlines()[0]
    assert first.startswith("# expects: "), path
    rule, *words = first.removeprefix("# expects: ").split()
    return rule, set(words)


@pytest.fixture(scope="module", params=DEFECTS, ids=lambda p: p.stem)
def defect(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Result]:
    path: Path = request.param
    return path, build(path, tmp_path_factory.mktemp("defects") / path.stem)


def test_there_are_ten() -> None:
    assert len(DEFECTS) == 10


def test_the_developers_list_is_that_of_the_files() -> None:
    text = (PARAMS.parent / "DEVELOPERS.md").read_text(encoding="utf-8")
    for path in DEFECTS:
        rule, words = expected(path)
        row = next(line for line in text.splitlines() if line.startswith(f"| `{path.stem}` |"))
        assert f"| `{rule}` |" in row
        assert all(w in row for w in words)


@pytest.mark.parametrize("path", DEFECTS, ids=lambda p: p.stem)
def test_a_file_names_its_defect_and_a_rule_that_exists(path: Path) -> None:
    rule, words = expected(path)
    assert rule in RULES
    assert words
    assert path.read_text(encoding="utf-8").splitlines()[1].startswith("# Defect: ")


def test_the_defect_is_found(defect: tuple[Path, Result]) -> None:
    path, result = defect
    rule, words = expected(path)
    found = [f for f in result.findings if f.rule == rule and words <= set(" ".join(f.features).split())]
    assert found, [(f.rule, f.features) for f in result.findings]
    assert len({f.plate for f in found}) == len(found), "reported twice"
    assert {f.severity for f in found} == {"error"}
    assert not result.holds


def test_checks_json_follows_the_published_schema(defect: tuple[Path, Result]) -> None:
    path, result = defect
    assert result.folder is not None
    written = json.loads((result.folder / "checks.json").read_text(encoding="utf-8"))
    Draft202012Validator(checks_schema()).validate(written)
    assert written["job"] == path.stem
    assert {k for o in written["checked"] for k in o["findings"]} == {f["key"] for f in written["findings"]}
