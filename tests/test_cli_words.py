"""The commands that need no parameter file: schema, new, explain."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from rillwright.checks.rules import RULES
from rillwright.cli import main
from rillwright.explain import limit_words, rule_text
from rillwright.starter import TEMPLATE


@pytest.fixture(autouse=True)
def _in_an_empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def test_schema_takes_the_starter_and_refuses_a_misspelt_key(capsys: pytest.CaptureFixture[str]) -> None:
    from ruamel.yaml import YAML

    assert main(["schema"]) == 0
    schema = json.loads(capsys.readouterr().out)
    Draft202012Validator.check_schema(schema)
    data = YAML(typ="safe", pure=True).load(TEMPLATE)
    assert list(Draft202012Validator(schema).iter_errors(data)) == []
    data["limits"]["wal_wet"] = 3
    assert len(list(Draft202012Validator(schema).iter_errors(data))) == 1


def test_new_writes_a_file_once(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["new", "studio"]) == 0
    text = Path("studio.yaml").read_text(encoding="utf-8")
    assert "\njob: studio\n" in text
    assert "starter" not in text
    Path("studio.yaml").write_text("mine", encoding="utf-8")
    assert main(["new", "studio"]) == 2
    assert Path("studio.yaml").read_text(encoding="utf-8") == "mine"
    assert "studio.yaml is already there" in capsys.readouterr().err


@pytest.mark.parametrize("name", ["Studio", "../x", "a b", "1a", "", "a\n", "a" * 41])
def test_new_refuses_a_name_no_job_can_have(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["new", name]) == 2
    assert "must be a name of lower-case letters" in capsys.readouterr().err
    assert list(Path().iterdir()) == []


@pytest.mark.parametrize("rule", RULES.values(), ids=lambda r: r.name)
def test_every_rule_is_explained_with_a_key_that_exists(rule: Any) -> None:
    text = rule_text(rule.name)
    assert text is not None
    assert all(f"\n  {word}" in text for word in ("asks", "unit", "limit", "source"))
    assert all(len(line) <= 100 for line in text.splitlines())


def test_explain_names_the_key_and_its_default(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "wall.wet-dry"]) == 0
    assert "limits: wall_wet, default 3 " in capsys.readouterr().out
    assert limit_words("reservoirs.N.channel.wall").startswith("reservoirs.N.channel.wall, default 6 ")
    assert rule_text("wall.wet-dry-0a1b2c3d") == rule_text("wall.wet-dry")  # the key of a finding


def test_explain_of_an_unknown_rule_gives_the_nearest_and_all(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "wall.lops"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert 'there is no rule "wall.lops"; did you mean "wall.loops"?' in said.err
    assert all(f"  {name}\n" in said.err for name in RULES)


@pytest.mark.parametrize("arguments", [[], ["cut"], ["build"], ["check", "--out", "x", "y.yaml"], ["new"]])
def test_wrong_usage_ends_with_2(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as end:
        main(arguments)
    assert end.value.code == 2
    assert capsys.readouterr().out == ""


@pytest.mark.parametrize(("arguments", "said"), [
    ([], "give a command: build, check, "),
    (["chek", "x.yaml"], "there is no command 'chek', did you mean check?"),
    (["mill"], "there is no command 'mill'; the commands: build, "),
    (["check", "x.yaml", "--jsn"], "rillwright check: error: there is no option '--jsn', did you mean --json?"),
    (["build", "x.yaml", "--ou=y"], "did you mean --out?"),
    (["schema", "x"], "'x' is one word more than it takes"),
])  # fmt: skip
def test_wrong_usage_names_what_is_nearest(
    arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit):
        main(arguments)
    assert said in capsys.readouterr().err


def test_explain_lists_the_rules_of_a_kind(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["explain", "net"]) == 0
    told = [line.split()[0] for line in capsys.readouterr().out.splitlines()]
    assert told == [name for name in RULES if name.startswith("net.")]


def test_the_module_is_the_command() -> None:
    done = subprocess.run([sys.executable, "-m", "rillwright", "--version"], capture_output=True, text=True, check=True)
    assert done.stdout == "rillwright 0.1.0\n"
