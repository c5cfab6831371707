"""The head of the report: does the job hold, and what was found."""

from __future__ import annotations

from collections.abc import Iterable

from ...checks.finding import Finding, Outcome
from ...checks.result import Result
from .markup import Markup, el, sentence, table

SIGNS = {"error": "■", "warning": "▲", "note": "●"}  # shapes differ, for those to whom the colours do not
FEW = 3  # findings for one's knowledge that are not folded away
WORDS = {"error": "fails", "warning": "look at", "note": "for your knowledge"}
CAUTION = (
    "This proves geometry and nominal numbers only. Before use, prove every part with water, with the electronics "
    "unpowered and eye protection on."
)


def verdict(result: Result) -> Markup:
    """One sentence that cannot be missed, and the counts behind it."""
    live = [f for f in result.findings if not f.waived]
    count = {s: sum(f.severity == s for f in live) for s in SIGNS}
    waived = sum(bool(f.waived) for f in result.findings)
    rules, cases = len(result.outcomes), sum(o.cases for o in result.outcomes)
    if result.holds:
        said, under = "Holds", "Every check that must hold does."
    else:
        said, under = (
            "Do not cut",
            f"{_counted(count['error'], 'check fails', 'checks fail')}; the files are marked as failed.",
        )
    counts = [
        el("li", el("span", SIGNS[s], class_=f"sign {s}", aria_hidden="true"), f" {count[s]} {w}")
        for s, w in (("error", "that fail"), ("warning", "to look at"), ("note", "for your knowledge"))
    ]
    if waived:
        counts.append(el("li", f"{waived} accepted by the job"))
    return el(
        "section",
        el("h2", el("span", said, class_="stamp"), id="verdict-title"),
        el("p", under, f" {rules} rules were asked of {cases} cases."),
        el("ul", counts, class_="counts"),
        id="verdict",
        class_="holds" if result.holds else "fails",
        aria_labelledby="verdict-title",
    )


def _counted(n: int, one: str, many: str) -> str:
    return f"{n} {one if n == 1 else many}"


def figure(value: float | None, unit: str) -> str:
    """A measured figure with its unit; a dash where there is none."""
    if value is None:
        return "–"
    shown = f"{value:.4g}".rstrip()
    return f"{shown} {unit}".strip().replace("-", "−", 1) if value < 0 else f"{shown} {unit}".strip()


def findings(found: Iterable[Finding], placed: set[int]) -> Markup:
    """Findings, the gravest first. Those whose number is in `placed` have a button that turns the view there."""
    listed = list(enumerate(found, 1))
    grave = [_finding(f, i, i in placed) for i, f in listed if f.severity != "note" and not f.waived]
    rest = [_finding(f, i, i in placed) for i, f in listed if f.severity == "note" or f.waived]
    body: list[Markup] = [el("ol", grave, class_="findings") if grave else el("p", "Nothing fails, nothing needs a look.")]
    if rest:
        said = f"{len(rest)} more: for your knowledge, or accepted by the job"
        body.append(el("details", el("summary", said), el("ol", rest, class_="findings"), open=len(rest) <= FEW))
    return el("section", el("h2", "Findings"), body, id="findings")


def _finding(f: Finding, number: int, placed: bool) -> Markup:
    kind = "waived" if f.waived else f.severity
    head = [
        el("span", SIGNS[f.severity], class_=f"sign {f.severity}", aria_hidden="true"),
        el("span", f"{number} ", class_="no"),
        el("span", "accepted: " if f.waived else f"{WORDS[f.severity]}: ", class_="grade"),
        el("span", ", ".join((f.plate, *f.features)), class_="what"),
    ]
    show = (
        el(
            "button",
            "Show the place",
            type="button",
            data_mark=f"finding-{number}",
            class_="show",
            aria_label=f"Show the place of finding {number}: {f.rule}, {f.plate}",
        )
        if placed
        else None
    )
    facts = [
        el("span", f"measured {figure(f.measured, f.unit)}"),
        el("span", f"wanted {figure(f.limit, f.unit)}"),
        el("span", f.rule, class_="rule"),
    ]
    return el(
        "li",
        el("h3", head),
        el("p", sentence(f.what)),
        el("p", facts, class_="facts"),
        show,
        el("p", el("b", "Remedy: "), f.remedy, class_="remedy") if f.remedy else None,
        el("p", el("b", "Accepted because: "), f.waived) if f.waived else None,
        class_=kind,
        id=f"finding-{number}",
    )


def rules_table(outcomes: Iterable[Outcome]) -> Markup:
    """Every rule with the case nearest to its limit."""
    rows = [
        (
            el("span", o.question, el("br"), el("code", o.rule)),
            "holds" if o.holds and not o.findings else "holds, see findings" if o.holds else "fails",
            o.cases,
            figure(o.worst, o.unit),
            figure(o.limit, o.unit),
            o.worst_at,
        )
        for o in outcomes
    ]
    inside = table(
        ("Question", "Answer", "Cases", "Nearest to the limit", "Limit", "There"),
        rows,
        "Every rule that was asked",
        frozenset({2, 3, 4}),
    )
    return el(
        "section",
        el("h2", "All that was checked"),
        el("details", el("summary", f"{len(rows)} rules"), inside),
        id="checked",
    )
