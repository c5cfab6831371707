"""Answers of checks as plain data, and back, so that a part that did not change need not be measured again."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, fields
from pathlib import Path
from typing import Any

from .finding import Finding, Outcome
from .report import Case, Cases
from .result import Result

# Plain data of lists, dicts, numbers and text: found again if all parts are the same, else made and kept.
Kept = Callable[[tuple[Any, ...], Callable[[], Any]], Any]


def anew(_parts: tuple[Any, ...], make: Callable[[], Any]) -> Any:
    """A `Kept` that keeps nothing."""
    return make()


def plain_cases(cases: Cases) -> dict[str, dict[str, Any]]:
    """Cases by rule as plain data: those that may matter to an outcome, and how many others there were."""
    out = {}
    for rule, found in cases.items():
        worst = min(found, key=lambda c: c.margin, default=None)
        telling = [c for c in found if c is worst or c.margin < 0]
        out[rule] = {"cases": [_fields(c) for c in telling], "others": len(found) - len(telling)}
    return out


def cases_from(plain: dict[str, dict[str, Any]]) -> dict[str, tuple[list[Case], int]]:
    """By rule, the cases that `plain_cases` has kept and the number of the others."""
    return {rule: ([Case(**_frozen(c)) for c in found["cases"]], found["others"]) for rule, found in plain.items()}


def plain_result(result: Result) -> dict[str, Any]:
    """A whole answer as plain data, without its folder."""
    whole = {f.name: getattr(result, f.name) for f in fields(result) if f.name not in ("folder", "outcomes")}
    return {**whole, "outcomes": [asdict(o) for o in result.outcomes]}


def result_from(plain: dict[str, Any], folder: Path) -> Result:
    """The answer of `plain_result`, for files that lie in `folder`."""
    outcomes = tuple(
        Outcome(**{**o, "findings": tuple(Finding(**_frozen(f)) for f in o["findings"])}) for o in plain["outcomes"]
    )
    rest: dict[str, Any] = {name: tuple(v) if isinstance(v, list) else v for name, v in plain.items() if name != "outcomes"}
    return Result(outcomes=outcomes, folder=folder, **rest)


def _fields(case: Case) -> dict[str, Any]:
    return {f.name: _python(getattr(case, f.name)) for f in fields(case)}


def _python(value: Any) -> Any:
    """A value without arrays' own kinds of number."""
    if isinstance(value, tuple | list):
        return [_python(v) for v in value]
    return value.item() if hasattr(value, "item") else value


def _frozen(plain: dict[str, Any]) -> dict[str, Any]:
    return {name: _tuples(v) for name, v in plain.items()}


def _tuples(value: Any) -> Any:
    return tuple(_tuples(v) for v in value) if isinstance(value, list) else value
