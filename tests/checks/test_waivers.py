"""Waivers mark findings and hide none; a stale one is a finding. Order of findings; schema of checks.json."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator, ValidationError

from jobs import raw, written
from rillwright.checks.finding import Finding
from rillwright.checks.result import Result
from rillwright.checks.schema import checks_schema
from rillwright.pipeline import check
from rillwright.spec.messages import SpecError
from rillwright.terminal import job_text, verdict

REASON = "the screw was tried in the strut and holds"


def long_screws(waivers: list[dict[str, str]]) -> dict[str, Any]:
    """bench-single with screws of 20 mm: 11 mm go into struts threaded 10 mm deep."""
    job = raw("bench-single")
    job["reservoirs"][0]["struts"] |= {"thread_depth": 10, "screw": {"length": 20}}
    return job | {"waivers": waivers}


def checked(folder: Path, waivers: list[dict[str, str]]) -> Result:
    return check(written(folder, long_screws(waivers)))


def errors(r: Result) -> list[Finding]:
    return [f for f in r.findings if f.severity == "error"]


def test_a_waived_finding_stays_and_does_not_fail_the_job(tmp_path: Path) -> None:
    before = checked(tmp_path, [])
    keys = [f.key for f in errors(before)]
    assert len(keys) == 8
    assert not before.holds
    after = checked(tmp_path, [{"key": k, "reason": REASON} for k in keys])
    assert after.holds
    assert [f.key for f in errors(after)] == sorted(keys)
    assert {f.waived for f in errors(after)} == {REASON}
    assert next(o for o in after.outcomes if o.rule == "screw.tip").worst == pytest.approx(-1)


def test_one_waiver_leaves_the_others_failing(tmp_path: Path) -> None:
    first = errors(checked(tmp_path, []))[0].key
    after = checked(tmp_path, [{"key": first, "reason": REASON}])
    assert not after.holds
    assert sum(bool(f.waived) for f in after.findings) == 1
    assert after.findings[-1].key == first  # shown last, but shown


def test_the_terminal_shows_a_waived_finding_with_its_reason(tmp_path: Path) -> None:
    keys = [f.key for f in errors(checked(tmp_path, []))]
    after = checked(tmp_path, [{"key": k, "reason": REASON} for k in keys])
    text = job_text(after, Path("x.yaml"), [], colour=False)
    assert 1 <= text.count(REASON) <= 8  # once for all that are alike
    assert all(k in text for k in keys)
    assert "8 waived" in verdict(after)


def test_a_stale_waiver_is_a_finding(tmp_path: Path) -> None:
    r = checked(tmp_path, [{"key": "screw.tip-00000000", "reason": REASON}])
    stale = [f for f in r.findings if f.rule == "waiver.stale"]
    assert [f.features for f in stale] == [("screw.tip-00000000",)]
    assert stale[0].severity == "warning"
    assert REASON in stale[0].what


def test_a_waiver_of_a_rule_that_does_not_exist_says_so(tmp_path: Path) -> None:
    r = checked(tmp_path, [{"key": "screw.tpi-00000000", "reason": REASON}])
    assert "there is no rule 'screw.tpi'" in next(f for f in r.findings if f.rule == "waiver.stale").remedy


def test_a_waiver_of_a_wall_is_not_stale_where_no_solid_was_measured(tmp_path: Path) -> None:
    r = checked(tmp_path, [{"key": "wall.lip-00000000", "reason": REASON}])
    assert not [f for f in r.findings if f.rule == "waiver.stale"]


@pytest.mark.parametrize(
    "waiver", [{"key": "screw.tip", "reason": REASON}, {"key": "screw.tip-00000000", "reason": "ok"},
               {"key": "screw.tip-00000000"}],
)  # fmt: skip
def test_a_waiver_needs_a_whole_key_and_a_reason(tmp_path: Path, waiver: dict[str, str]) -> None:
    with pytest.raises(SpecError, match=r"waivers\.0"):
        checked(tmp_path, [waiver])


def finding(severity: Any, measured: float, limit: float, waived: str = "") -> Finding:
    return Finding("wall.dry", severity, "p", (f"{severity}{measured}{waived}",), measured, limit, "mm", "", "", "", "",
                   waived=waived)  # fmt: skip


def test_errors_come_first_then_the_furthest_beyond_its_limit_then_what_is_waived() -> None:
    order = [
        finding("error", 0.1, 3), finding("error", 2.9, 3), finding("warning", 0, 3), finding("note", 0, 3),
        finding("error", 0, 3, "accepted"),
    ]  # fmt: skip
    shuffled = [order[i] for i in (4, 1, 3, 0, 2)]
    assert sorted(shuffled, key=lambda f: f.rank) == order


def test_the_schema_is_sound_and_refuses_what_is_not_a_result(tmp_path: Path) -> None:
    Draft202012Validator.check_schema(checks_schema())
    good = json.loads(json.dumps(checked(tmp_path, []).as_dict()))
    validator = Draft202012Validator(checks_schema())
    validator.validate(good)
    for spoil in ("severity", "key", "waived"):
        bad = {**good, "findings": [{**good["findings"][0], spoil: 3}]}
        with pytest.raises(ValidationError):
            validator.validate(bad)
