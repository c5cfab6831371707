"""Which rules wait for a build: the rules' table against the modules that ask them, and against answers."""

from __future__ import annotations

import ast
from pathlib import Path

import jobs
import rillwright
from rillwright import pipeline
from rillwright.checks.rules import RULES

CHECKS = Path(rillwright.__file__).parent / "checks"
WAITING = [name for name, rule in RULES.items() if rule.built]


def named_in(files: list[Path]) -> set[str]:
    """Rules whose names stand in these modules."""
    every = (n for f in files for n in ast.walk(ast.parse(f.read_text(encoding="utf-8"))))
    return {n.value for n in every if isinstance(n, ast.Constant) and n.value in RULES}


def test_rules_that_are_measured_on_solids_are_marked_so_and_no_others() -> None:
    # checks/air.py judges what checks/solid/air.py has measured.
    assert named_in([*(CHECKS / "solid").glob("*.py"), CHECKS / "air.py"]) == set(WAITING)
    assert not named_in(list((CHECKS / "plan").glob("*.py"))) & set(WAITING)


def test_check_asks_none_of_them_and_says_so() -> None:
    answer = pipeline.check(jobs.PARAMS / "bench-single.yaml").as_dict()
    assert answer["by_build_only"] == WAITING
    assert not {o["rule"] for o in answer["checked"]} & set(WAITING)
