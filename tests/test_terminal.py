"""The text of a result: words, figures, widths, colours."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from pathlib import Path

import pytest

from rillwright.bench_notes import bench_lines
from rillwright.checks.finding import Finding, Outcome, Severity
from rillwright.checks.result import Result
from rillwright.terminal import CAUTION, WIDTH, answer, coloured, figure, found, job_text, verdict

LONG = "a-name-that-is-as-long-as-names-can-be-a"  # 40 characters


def finding(
    severity: Severity = "error", measured: float | None = 2.1, limit: float | None = 3.0, name: str = "drain"
) -> Finding:
    return Finding(
        "wall.outside", severity, "upper", (f"{LONG}.{LONG}", name), measured, limit, "mm",
        "the wall between them is too thin " * 4, "move it 0.90 mm to +x", "no source", "exact distance",
        at=((-84.0, -0.0, -25.0), (-84.004, 0.0, -13.0)),
    )  # fmt: skip


def outcome(*findings: Finding, cases: int = 4, worst: float | None = 2.1) -> Outcome:
    where = f"upper, {LONG}.{LONG}, drain"
    return Outcome("wall.outside", "?", cases, worst, 3.0, "mm", "no source", findings, where)


def text(*outcomes: Outcome, colour: bool = False, folder: Path | None = Path("outputs/x")) -> str:
    return job_text(Result("x", outcomes, folder), Path("x.yaml"), [f"{LONG}.step"] * 5, colour)


@pytest.mark.parametrize(
    ("value", "words"),
    [(None, "-"), (3, "3"), (3.0, "3"), (9.35, "9.35"), (-0.0, "0"), (-0.00001, "0"), (2.9996, "2.9996"),
     (-10.5, "-10.5"), (100.0, "100"), (1e-4, "0.0001")],
)  # fmt: skip
def test_figures(value: float | None, words: str) -> None:
    assert figure(value) == words


@pytest.mark.parametrize(
    ("measured", "limit", "words"),
    [(2.1, 3.0, "2.1 mm, wanted 3 mm or more"), (35.0, 30.0, "35 mm, wanted 30 mm at most"), (4.0, None, "4 mm"),
     (None, None, "")],
)  # fmt: skip
def test_found_tells_the_side_of_the_limit(measured: float | None, limit: float | None, words: str) -> None:
    assert found(finding(measured=measured, limit=limit)) == words


def test_answers_are_words() -> None:
    assert answer(outcome(finding())) == "FAILS"
    assert answer(outcome(finding("warning"))) == "warns"
    assert answer(outcome(finding("note"))) == "noted"
    assert answer(outcome(replace(finding(), waived="seen"))) == "waived"
    assert answer(outcome()) == "holds"
    assert answer(outcome(cases=0, worst=None)) == "no case"


def test_every_line_fits_whatever_the_names() -> None:
    every = text(outcome(finding(), finding("warning")), outcome(finding("note")), outcome(worst=123456.7891))
    assert max(map(len, [*every.splitlines(), *CAUTION.splitlines()])) <= WIDTH


def test_a_block_says_what_where_and_what_to_do() -> None:
    block = text(outcome(finding()))
    assert f"error    wall.outside, upper:\n         {LONG}.{LONG}, drain\n" in block
    assert "where    x -84, y 0, z -25 and x -84, y 0, z -13\n" in block
    assert "remedy   move it 0.90 mm to +x\n" in block
    assert re.search(r"\nkey      wall\.outside-[0-9a-f]{8}\n", block)


def test_notes_of_one_rule_make_one_entry_after_the_errors() -> None:
    notes = [finding("note", name=f"rim-{i}") for i in range(200)]
    told = text(outcome(*notes, finding()))
    assert told.count("\nnotes ") == 1
    assert "notes    wall.outside, 200 in upper; the first: the wall" in told
    assert told.index("\nerror ") < told.index("\nnotes ") < told.index("\n1 check failed")


def test_verdict_counts_checks_not_findings() -> None:
    assert verdict(Result("x", (outcome(),))) == "all checks hold"
    assert verdict(Result("x", (outcome(finding(), finding()),))) == "1 check failed"
    assert verdict(Result("x", (outcome(finding()), outcome(finding())))) == "2 checks failed"
    assert verdict(Result("x", (outcome(finding("warning")),))) == "all checks hold, 1 warning"


def test_a_waived_finding_stays_shown_last_with_its_reason() -> None:
    told = text(outcome(replace(finding(), waived="proved on a coupon"), finding("note")))
    assert "waived   wall.outside (error), upper:" in told
    assert "because  proved on a coupon\n" in told
    assert told.index("\nnote ") < told.index("\nwaived ") < told.index("\nall checks hold, 1 waived\n")


def test_rules_without_a_case_share_one_last_line_of_the_table() -> None:
    empty = [replace(outcome(cases=0, worst=None), rule=rule) for rule in ("net.open", "wall.dry")]
    told = text(empty[0], outcome(), empty[1], folder=None)
    table = told.split("\n\n")[1].splitlines()
    assert table[-1] == "no case for: net.open, wall.dry"
    assert [line.split()[0] for line in table[2:-1] if line[0] != " "] == ["wall.outside"]
    assert "no case for" not in text(outcome())
    assert text(empty[0]).split("\n\n")[1] == "no case for: net.open"  # no heads of columns over nothing


def test_without_solids_it_is_said_in_one_line_what_only_a_build_measures() -> None:
    told = text(outcome(), folder=None).splitlines()
    assert told[-1].startswith("only `build` measures: ")
    assert all(word in told[-1] for word in ("walls", "nets", "clashes", "trapped air"))
    assert "only `build` measures" not in text(outcome())


def test_colour_adds_nothing_but_colour() -> None:
    results = outcome(finding(), finding("warning")), outcome()
    painted = text(*results, colour=True)
    assert "\x1b[1;31mFAILS" in painted
    assert re.sub(r"\x1b\[[0-9;]*m", "", painted) == text(*results)


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_colours_on_a_terminal_only_and_never_with_no_color(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.delenv("NO_COLOR", raising=False)
    assert coloured(Terminal())
    assert not coloured(io.StringIO())
    monkeypatch.setenv("NO_COLOR", "1")
    assert not coloured(Terminal())
    monkeypatch.delenv("NO_COLOR")
    monkeypatch.setenv("TERM", "dumb")
    assert not coloured(Terminal())


def test_findings_alike_are_told_once_with_every_key() -> None:
    many = [replace(finding(name=f"strut-{i}"), at=((float(i), 0.0, 0.0),), remedy=f"mend 'strut-{i}'") for i in range(24)]
    told = text(outcome(*many, finding(name="other", measured=1.0), cases=30))
    assert told.count("what     the wall between them is too thin") == 2
    assert "24 alike" in told
    assert "and 23 more" in told
    assert "the like for the others" in told
    for f in many:
        assert f.key in told
        assert f.features[1] in told
    assert max(map(len, told.splitlines())) <= WIDTH


def test_findings_that_differ_in_figures_or_gravity_are_told_apart() -> None:
    told = text(outcome(finding(), finding("warning", name="b"), finding(measured=2.0, name="c")))
    assert "alike" not in told


@pytest.mark.parametrize(
    ("value", "words"), [(1, "1 face, wanted 0 faces at most"), (2, "2 faces, wanted 0 faces at most")]
)
def test_one_is_told_in_the_singular(value: float, words: str) -> None:
    assert found(replace(finding(measured=value, limit=0), unit="faces")) == words


def test_grooves_in_faces_are_told_with_squeeze_cord_and_joint() -> None:
    spread = {"nominal": 25.0, "worst": [10.0, 40.0], "rss": [15.0, 35.0]}
    now = {"name": "filling", "celsius": 20.0, "squeeze": spread, "fill": spread, "yield_within_limits": None,
           "yield_seals": None}  # fmt: skip
    gland = {
        "seal": "run.cord", "plate": "panel", "pieces": 3, "conditions": [now, now | {"name": "settled", "fill": None}],
        "cord": {"diameter": 2.0, "material": "epdm", "moulded": False}, "cut_length": 172.8, "stretch": spread,
        "joint": {"beside": "cover.screw-3", "at": [1.0, -0.0]}, "dominant": "cord",
    }  # fmt: skip
    lines = bench_lines((), (), (), (), (gland,))
    assert lines[0].startswith("seal     run.cord and 2 alike in panel: squeeze 25.0 %, worst 10.0 to 40.0 %, settled 25")
    assert lines[1] == ("         3 rings of 2 mm epdm, cut 172.8 mm, joint beside cover.screw-3 at x 1.0, y 0.0; "
                        "widest tolerance: cord")  # fmt: skip
