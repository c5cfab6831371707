"""Results as text for a terminal: a line for every rule, a block for every finding, and the verdict.

Meaning is in words, never in a colour alone. Every line but a file's own name fits `WIDTH` columns.
"""

from __future__ import annotations

import os
import textwrap
from collections import Counter
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TextIO

from .alike import counted, grouped, places
from .bench_notes import bench_lines
from .checks.finding import Finding, Outcome, Point
from .checks.result import Result

WIDTH = 100
CAUTION = (
    "This proves geometry and nominal numbers only. Before use, prove every part with water, with the\n"
    "electronics unpowered and eye protection on."
)
_HEADINGS = ("rule", "answer", "cases", "nearest", "limit", "unit", "where")
_ANSWER = 1
_NO_CASE = "no case"
_RIGHT = (2, 3, 4)  # columns of numbers
_COLOURS = {"holds": "32", "FAILS": "1;31", "error": "1;31", "warns": "33", "warning": "33"}


def coloured(stream: TextIO) -> bool:
    """Whether to colour: only on a terminal that can, and not where NO_COLOR is set."""
    return stream.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def job_text(result: Result, file: Path, files: Sequence[str], colour: bool) -> str:
    """All there is to say about one job; `files` are those in its folder."""
    parts = [f"{result.job}, from {file}", "\n".join(_table(result.outcomes, colour))]
    bench = bench_lines(result.seals, result.clamping, result.nets, result.flow, result.glands, result.faces)
    parts += ["\n".join(wrapped for line in bench for wrapped in _fitted(line))] if bench else []
    standing = [f for f in result.findings if f.severity != "note" and not f.waived]
    parts += ["\n".join(_block(g, colour)) for g in grouped(standing)]
    notes = _notes([f for f in result.findings if f.severity == "note" and not f.waived])
    parts += ["\n".join(notes)] if notes else []
    parts += ["\n".join(_block(g, colour)) for g in grouped([f for f in result.findings if f.waived])]
    parts.append("\n".join(_verdict(result, files, colour)))
    return "\n\n".join(parts)


def _fitted(line: str) -> list[str]:
    return textwrap.wrap(line, WIDTH, subsequent_indent=" " * 9, drop_whitespace=True) or [line]


def answer(outcome: Outcome) -> str:
    """A rule's answer in a word. A rule that met no case says so: it has proved nothing."""
    if not outcome.holds:
        return "FAILS"
    standing = [f for f in outcome.findings if not f.waived]
    if any(f.severity == "warning" for f in standing):
        return "warns"
    if standing:
        return "noted"
    return "waived" if outcome.findings else "holds" if outcome.cases else _NO_CASE


def figure(value: float | None) -> str:
    """A number with four decimals at most, a dash for none."""
    if value is None:
        return "-"
    text = f"{round(value, 4) + 0.0:.4f}"  # + 0.0: no minus before a zero
    return text.rstrip("0").rstrip(".")


def _aligned(figures: Iterable[str]) -> list[str]:
    """Numbers with their decimal points below each other once they are set flush right."""
    every = list(figures)
    tails = [len(f) - f.find(".") if "." in f else 0 for f in every]
    return [f + " " * (max(tails, default=0) - t) for f, t in zip(every, tails, strict=True)]


def _table(outcomes: Sequence[Outcome], colour: bool) -> list[str]:
    """A line for each rule that met a case, and one for all the others."""
    told = [o for o in outcomes if answer(o) != _NO_CASE]
    columns: list[list[str]] = [
        [o.rule for o in told], [answer(o) for o in told], [str(o.cases) for o in told],
        _aligned(figure(o.worst) for o in told), _aligned(figure(o.limit) for o in told),
        [o.unit for o in told], [o.worst_at.replace(", ", ": ", 1) for o in told],
    ]  # fmt: skip
    widths = [max(map(len, [h, *c])) for h, c in zip(_HEADINGS[:-1], columns, strict=False)]
    indent = sum(widths) + 2 * len(widths)
    room = max(WIDTH - indent, 16)
    lines = [_row(_HEADINGS, widths, colour=False), "-" * WIDTH] if told else []
    for cells in zip(*columns, strict=True):
        # Two lines at most, so that a void of many passages does not drown the rest; checks.json has all.
        where = textwrap.wrap(cells[-1], room, break_on_hyphens=False, max_lines=2, placeholder=" …") or [""]
        lines.append(_row((*cells[:-1], where[0]), widths, colour))
        lines += [" " * indent + rest for rest in where[1:]]
    return [*lines, *_without_case([o.rule for o in outcomes if answer(o) == _NO_CASE])]


def _without_case(rules: Sequence[str]) -> list[str]:
    text = f"{_NO_CASE} for: {', '.join(rules)}"
    return textwrap.wrap(text, WIDTH, subsequent_indent="  ", break_on_hyphens=False) if rules else []


def _row(cells: Sequence[str], widths: Sequence[int], colour: bool) -> str:
    # Set to width first and painted then: the signs of a colour have a length but no width.
    set_ = [c.rjust(w) if i in _RIGHT else c.ljust(w) for i, (c, w) in enumerate(zip(cells, widths, strict=False))]
    set_[_ANSWER] = _paint(set_[_ANSWER], colour, cells[_ANSWER])
    return "  ".join([*set_, cells[-1]]).rstrip()


def _paint(text: str, colour: bool, like: str) -> str:
    code = _COLOURS.get(like)
    return f"\x1b[{code}m{text}\x1b[0m" if colour and code else text


def _block(group: Sequence[Finding], colour: bool) -> list[str]:
    """One finding, or several that are alike, with the figures of the first."""
    f, more = group[0], len(group) - 1
    word = "waived" if f.waived else f.severity
    rule = f"{f.rule} ({f.severity})" if f.waived else f.rule
    rule += f", {len(group)} alike" if more else ""
    lines = _wrapped(word, f"{rule}, {places(group)}")
    lines[0] = lines[0].replace(word, _paint(word, colour, word), 1)
    where = _places(f.at) + (f", and {more} more" if more and f.at else "")
    remedy = f.remedy + ("; the like for the others" if more and len({g.remedy for g in group}) > 1 else "")
    rows = {"what": f.what, "found": found(f), "where": where, "remedy": remedy, "because": f.waived}
    for name, text in rows.items():
        lines += _wrapped(name, text) if text else []
    return [*lines, *_wrapped("keys" if more else "key", ", ".join(g.key for g in group))]


def _wrapped(word: str, text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=f"{word:<9}", subsequent_indent=" " * 9, break_on_hyphens=False)


def found(f: Finding) -> str:
    """Measured against wanted; a finding is always on the wrong side of its limit, which tells the side."""
    if f.measured is None:
        return ""
    within = f" ± {figure(f.tolerance)}" if f.tolerance else ""
    bound = "" if f.bound == "exact" else f" ({'lower bound' if f.bound == 'lower' else 'estimate'})"
    text = f"{figure(f.measured)}{within}{_unit(f.measured, f)}{bound}"
    if f.limit is None:
        return text
    side = " or more" if f.measured < f.limit else " at most" if f.measured > f.limit else ""
    return f"{text}, wanted {figure(f.limit)}{_unit(f.limit, f)}{side}"


def _unit(value: float, f: Finding) -> str:
    return f" {counted(value, f.unit)}" if f.unit else ""


def _places(at: Sequence[Point]) -> str:
    """Places in mm in the frame of the plate."""
    spots = [f"x {_short(x)}, y {_short(y)}, z {_short(z)}" for x, y, z in at]
    return " and ".join(dict.fromkeys(spots))


def _short(value: float) -> str:
    return f"{round(value, 2) + 0.0:g}"


def _notes(notes: Sequence[Finding]) -> list[str]:
    """One entry for each rule, however many notes it has."""
    lines = []
    for rule in dict.fromkeys(f.rule for f in notes):
        mine = [f for f in notes if f.rule == rule]
        if len(mine) == 1:
            where = ", ".join((mine[0].plate, *mine[0].features))
            lines += _wrapped("note", f"{rule}, {where.replace(', ', ': ', 1)}: {mine[0].what}")
            continue
        plates = ", ".join(f"{n} in {plate}" for plate, n in Counter(f.plate for f in mine).items())
        lines += _wrapped("notes", f"{rule}, {plates}; the first: {mine[0].what}")
    return lines


def verdict(result: Result) -> str:
    """The last word on a job."""
    failed = sum(not o.holds for o in result.outcomes)
    words = f"{failed} check{'' if failed == 1 else 's'} failed" if failed else "all checks hold"
    warnings = sum(f.severity == "warning" and not f.waived for f in result.findings)
    waived = sum(bool(f.waived) for f in result.findings)
    words += f", {warnings} warning{'' if warnings == 1 else 's'}" if warnings else ""
    return words + (f", {waived} waived" if waived else "")


def _verdict(result: Result, files: Sequence[str], colour: bool) -> list[str]:
    lines = [_paint(verdict(result), colour, "holds" if result.holds else "FAILS")]
    if result.folder is None:
        kinds = ", ".join(dict.fromkeys(r.built for r in result.waiting))
        return [*lines, *_fitted(f"only `build` measures: {kinds}")]
    if not result.holds:
        lines.append("the files are written all the same: to look at, not to cut from")
    listed = textwrap.wrap(", ".join(files), WIDTH - 2, break_on_hyphens=False)
    return [*lines, f"in {result.folder}:", *(f"  {line}" for line in listed)]
