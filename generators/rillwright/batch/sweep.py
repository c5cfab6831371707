"""One run of a sweep: read, skip what is finished, build the rest, write the table."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Sequence
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

from ..export.errors import OutputError, plainly
from ..export.manifest import write_json
from .keep import finished, keep
from .order import Made, Order, order
from .page import page
from .places import Workplace
from .run import results
from .table import Row, as_csv, as_json, row_of
from .variants import Sweep, Variant
from .work import THUMBNAIL

Say = Callable[[str], None]
PAGE, JSON, CSV = "index.html", "sweep.json", "sweep.csv"


@dataclass(slots=True)
class Run:
    """A sweep on its way into a folder."""

    sweep: Sweep
    out: Path
    say: Say
    outputs: Sequence[str]
    rows: dict[str, Row] = field(default_factory=dict)
    fresh: int = 0  # variants built in this run

    def build(self, mine: Sequence[Variant], place: Workplace) -> list[Row]:
        """Build those of `mine` that are not finished; returns the rows of the whole sweep. Raises OutputError."""
        _require_ours(self.out, self.sweep.name)
        orders = {v.name: order(self.sweep, v, self.outputs) for v in self.sweep.variants}
        records = {name: finished(self.out, o) for name, o in orders.items()}
        self.rows = {v.name: row_of(v, records[v.name]) for v in self.sweep.variants}
        todo = [orders[v.name] for v in mine if records[v.name] is None]
        done = len(mine) - len(todo)
        self.say(f"{self.sweep.name}: {len(mine)} variants" + (f", {done} of them finished before" if done else ""))
        try:
            if todo:
                self._build(todo, place)
        finally:  # stopped on the way, too: the table tells what is there
            self.write_table()
        return list(self.rows.values())

    def _build(self, todo: Sequence[Order], place: Workplace) -> None:
        with place.opened() as open_place, closing(
            results(todo, open_place.executor, open_place.work, open_place.ahead, place.limit)
        ) as answers:
            for number, (o, made) in enumerate(answers, 1):
                row = self.rows[o.name] = self._kept(o, made)
                self.say(f"[{number}/{len(todo)}] {o.name}: {_words(row)}")

    def _kept(self, o: Order, made: Made) -> Row:
        variant = self.rows[o.name].variant
        if made.trouble:
            return row_of(variant, None, made.trouble)
        try:
            record = keep(self.out, o, made)
        except OutputError as error:
            return row_of(variant, None, str(error))
        self.fresh += 1
        return row_of(variant, record)

    def write_table(self) -> None:
        """Write the three tables, each in one step."""
        rows = list(self.rows.values())
        with plainly(self.out):
            self.out.mkdir(parents=True, exist_ok=True)
            pictures = {r.variant.name: self._picture(r) for r in rows}
            _put(self.out / CSV, as_csv(self.sweep, rows))
            _put(self.out / PAGE, page(self.sweep, rows, pictures))
            beside = self.out / f".{JSON}.{os.getpid()}"
            write_json(beside, as_json(self.sweep, rows))
            os.replace(beside, self.out / JSON)

    def _picture(self, row: Row) -> bytes | None:
        path = self.out / row.variant.name / THUMBNAIL
        return path.read_bytes() if row.figures and path.is_file() else None


def _require_ours(out: Path, name: str) -> None:
    """The folder, made if need be. Raises OutputError where it holds another sweep, or pages that no sweep wrote."""
    with plainly(out):
        out.mkdir(parents=True, exist_ok=True)
        there = [n for n in (PAGE, CSV, JSON) if (out / n).exists()]
    if not there:
        return
    try:
        found = json.loads((out / JSON).read_text(encoding="utf-8"))["sweep"]
    except (OSError, ValueError, KeyError, TypeError):
        what = f"{out} holds {', '.join(there)}, which no sweep wrote and which would be lost"
        raise OutputError(f"{what}; give another folder with --out") from None
    if found != name:
        raise OutputError(f"{out} holds the results of sweep {found}; give another folder with --out")


def _put(path: Path, text: str) -> None:
    beside = path.with_name(f".{path.name}.{os.getpid()}")
    beside.write_text(text, encoding="utf-8", newline="\n")
    os.replace(beside, path)


def _words(row: Row) -> str:
    if row.trouble:
        return row.trouble.splitlines()[0]
    counts = [f"{row.figures[k]} {k}" for k in ("errors", "warnings") if row.figures[k]]
    return ", ".join([row.state, *counts, f"{row.figures['seconds']:g} s"])
