"""The result table as one page: a thumbnail and every figure of each variant, sorted by any column, no network.

Everything that comes from files is escaped, and the page's own policy lets no script run but the one it came with.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from html import escape
from importlib.resources import files
from string import Template
from typing import Any
from urllib.parse import quote

from .report import shown
from .table import Row
from .variants import Sweep


@dataclass(frozen=True, slots=True)
class Column:
    """A figure in the table: its key in the row, its head, its unit, and what a reader should know about it."""

    key: str
    head: str
    unit: str
    about: str


FIGURES = (
    Column("plates_g", "plates", "g", "all plates, weighed on their STL files"),
    Column("coolant_ml", "coolant", "mL", "all loops, in plates and tubes"),
    Column("wall_mm", "smallest wall", "mm", "of all wall rules, the case nearest to its limit"),
    Column("squeeze_low_percent", "squeeze", "%", "of all cords, at the worst tolerances and temperatures"),
    Column("screws", "screws", "", "in strut ends and covers"),
    Column("holes", "holes", "", "holes for screws in the plates"),
    Column("cord_mm", "cord", "mm", "all rings"),
    Column("drop_mbar", "pressure lost", "mbar", "of all loops whose flow is known, the largest, in the plates"),
    Column("velocity_m_s", "fastest", "m/s", "coolant in any passage"),
)
_PAGE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="$policy">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>$title</title>
<style>$style</style>
</head>
<body>
<header>
<h1>$title</h1>
<p>Base job: $base. $counts Each variant's folder holds its own parameter file and can be
built again as any job. A column's head sorts by it.</p>
</header>
<div class="tools" hidden>
<label>Show only rows with these words<input id="only" type="search" autocomplete="off" spellcheck="false"></label>
<output id="count"></output>
</div>
<div class="frame" role="region" aria-label="Variants" tabindex="0">
<table>
<thead><tr><th scope="col"><span>seen</span></th>$heads</tr></thead>
<tbody>
$body
</tbody>
</table>
</div>
<script>$script</script>
</body>
</html>
"""
_TIME = Column("seconds", "time", "s", "from the order to the files, in its worker")


def page(sweep: Sweep, rows: Sequence[Row], pictures: Mapping[str, bytes | None]) -> str:
    """The page; `pictures` are PNG files by variant."""
    script, style = _own("page.js"), _own("page.css")
    hashed = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    policy = f"default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'sha256-{hashed}'"
    title = f"{sweep.name}: {len(rows)} variants"
    body = "\n".join(_row(sweep, row, pictures.get(row.variant.name), _spans(rows)) for row in rows)
    return Template(_PAGE).substitute(
        policy=escape(policy), title=escape(title), style=style, base=escape(sweep.base), counts=escape(_counts(rows)),
        heads="".join(_heads(sweep)), body=body, script=script,
    )  # fmt: skip


@lru_cache(maxsize=4)
def _own(name: str) -> str:
    return files(__package__).joinpath(name).read_text(encoding="utf-8")


def _counts(rows: Sequence[Row]) -> str:
    states = dict.fromkeys(row.state for row in rows)
    return ", ".join(f"{sum(r.state == s for r in rows)} {_STATES.get(s, s)}" for s in states) + "."


_STATES = {"holds": "hold", "fails": "fail", "waits": "wait to be built"}


def _heads(sweep: Sweep) -> Iterator[str]:
    for head, unit, about in (
        ("variant", "", "by name"), ("checks", "", "holds, fails, or not built"),
        *((c, "", "chosen parameter") for c in sweep.columns),
        *((c.head, c.unit, c.about) for c in (*FIGURES, _TIME)), ("findings", "", "errors, then warnings"),
    ):  # fmt: skip
        small = f" <small>{escape(unit)}</small>" if unit else ""
        yield f'<th scope="col" title="{escape(about)}"><button type="button">{escape(head)}{small}</button></th>'


def _spans(rows: Sequence[Row]) -> dict[str, float]:
    """The largest value of each figure: what its bar is measured by."""
    return {
        c.key: max((r.figures[c.key] for r in rows if r.figures and r.figures[c.key] is not None), default=0.0)
        for c in (*FIGURES, _TIME)
    }


def _row(sweep: Sweep, row: Row, picture: bytes | None, spans: Mapping[str, float]) -> str:
    v, f = row.variant, row.figures
    words = " ".join([v.name, row.state, *(f"{k} {shown(x)}" for k, x in v.values.items()), *_rules(f)]).lower()
    cells = [_picture(row, picture), _name(row), _state(row)]
    cells += [_cell(v.values.get(c)) for c in sweep.columns]
    cells += [*(_figure(f, c, spans) for c in (*FIGURES, _TIME)), _findings(row)]
    return f'<tr data-text="{escape(words)}">{"".join(cells)}</tr>'


def _rules(figures: Mapping[str, Any]) -> list[str]:
    return list(dict.fromkeys(f["rule"] for f in figures.get("findings", ())))


def _picture(row: Row, picture: bytes | None) -> str:
    if picture is None:
        return '<td class="seen"><span class="none">no picture</span></td>'
    source, name = f"data:image/png;base64,{base64.b64encode(picture).decode()}", escape(row.variant.name)
    return f'<td class="seen"><img src="{source}" alt="assembly of {name}" width="240" height="180"></td>'


def _name(row: Row) -> str:
    name = escape(row.variant.name)
    link = f'<a href="{escape(quote(row.variant.name))}/">{name}</a>' if row.figures else name
    return f'<th scope="row" data-v="{name}">{link}</th>'


def _state(row: Row) -> str:
    kind = row.state.replace(" ", "-")
    why = f'<div class="small">{escape(row.trouble)}</div>' if row.trouble else ""
    return f'<td data-v="{escape(row.state)}"><span class="{escape(kind)}">{escape(row.state)}</span>{why}</td>'


def _cell(value: Any) -> str:
    text = "" if value is None else shown(value)
    right = ' class="n"' if isinstance(value, int | float) and not isinstance(value, bool) else ""
    return f'<td{right} data-v="{escape(text)}"><bdi>{escape(text)}</bdi></td>'


def _figure(figures: Mapping[str, Any], column: Column, spans: Mapping[str, float]) -> str:
    value = figures.get(column.key)
    if value is None:
        return '<td class="n" data-v="">–</td>'
    text, more = f"{value:,.5g}".replace(",", "\u202f") if abs(value) < 1e5 else f"{value:.0f}", ""
    if column.key == "squeeze_low_percent":
        text = f"{value:g} to {figures['squeeze_high_percent']:g}"
    elif spans[column.key] > 0:
        more = f'<i style="--share:{max(0.0, 100 * value / spans[column.key]):.0f}%"></i>'
    hint = f' title="{escape(figures["wall_at"])}"' if column.key == "wall_mm" else ""
    return f'<td class="n" data-v="{value:g}"{hint}>{escape(text)}{more}</td>'


def _findings(row: Row) -> str:
    f = row.figures
    if not f:
        return '<td data-v="">–</td>'
    kinds = ("errors", "warnings") if f["errors"] + f["warnings"] else ("notes", "waived")
    told = [f"{f[k]} {k.removesuffix('s') if f[k] == 1 else k}" for k in kinds if f[k]]
    rank = f["errors"] * 1e6 + f["warnings"] * 1e3 + f["notes"]
    if not told:
        return '<td data-v="0">none</td>'
    items = "".join(_finding(found) for found in f["findings"])
    opened = f"<details><summary>{escape(', '.join(told))}</summary><ul>{items}</ul></details>"
    return f'<td data-v="{rank:.0f}">{opened}</td>'


def _finding(found: Mapping[str, Any]) -> str:
    kind = "waived" if found["waived"] else found["severity"]
    figure = "" if found["measured"] is None else f": {found['measured']:g} {found['unit']}"
    limit = "" if found["limit"] is None else f", limit {found['limit']:g}"
    where = ", ".join([found["plate"], *found["features"]])
    text = f"{found['rule']} at {where}: {found['what']}{figure}{limit}"
    return f'<li><span class="{escape(kind)}">{escape(kind)}</span> {escape(text)}</li>'
