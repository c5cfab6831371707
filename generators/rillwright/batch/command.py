"""`rillwright sweep`: its options and its answers. Nothing heavy is imported before it runs."""

from __future__ import annotations

import argparse
import json
import os
import re
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from ..exits import FAILED, HOLDS, IMPOSSIBLE, UNUSABLE

if TYPE_CHECKING:
    from .places import Workplace
    from .sweep import Run
    from .table import Row
    from .variants import Sweep, Variant

LIMIT = 900.0  # s


def add_options(command: argparse.ArgumentParser) -> None:
    """Options of `sweep`."""
    add = command.add_argument
    add("file", type=Path, metavar="FILE", help="sweep file (YAML): a base job, and what is varied in it")
    add("--out", type=Path, metavar="DIR", help="folder for the results (left out: outputs/SWEEP)")
    add("--workers", type=at_work, metavar="N", help="processes at work at once (left out: one for each core)")
    add("--limit", type=_seconds, default=LIMIT, metavar="S",
        help=f"seconds that one variant may take before it is given up, 0 for no limit (left out: {LIMIT:g})")  # fmt: skip
    add("--shard", type=_shard, metavar="K/N", help="build every N-th variant only, beginning with the K-th")
    add("--scheduler", metavar="ADDRESS", help="build on a dask cluster: address of its scheduler, tcp://HOST:PORT")
    add("--only", type=_outputs, metavar="NAMES",
        help="outputs of each variant, with commas between, as for build (left out: step,stl,glb,tables)")  # fmt: skip
    add("--list", action="store_true", dest="list_only", help="read and prove the file, name its variants, build nothing")
    add("--json", action="store_true", help="print the table as one JSON document and nothing else")


def at_work(text: str) -> int:
    """Number of processes after `--workers`."""
    if not re.fullmatch(r"[0-9]{1,3}", text) or not int(text):
        raise argparse.ArgumentTypeError(f"must be a whole number from 1 to 999 (got {text})")
    return int(text)


def _seconds(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if not 0 <= value <= 1e6:
        raise argparse.ArgumentTypeError(f"must be a number of seconds, 0 or more (got {text})")
    return value


def _shard(text: str) -> tuple[int, int]:
    found = re.fullmatch(r"([0-9]{1,5})/([0-9]{1,5})", text)
    if not found or not 1 <= int(found[1]) <= int(found[2]):
        raise argparse.ArgumentTypeError(f"must be K/N with K from 1 to N, like 2/4 (got {text})")
    return int(found[1]), int(found[2])


def run(given: argparse.Namespace) -> int:
    """Build a sweep; returns the exit code. Raises SpecError, OutputError."""
    if given.scheduler and given.workers:
        _say("--workers is of this machine; a cluster has the workers that were started for it: leave one of the two out")
        return UNUSABLE
    from .variants import read_sweep

    sweep = read_sweep(given.file)
    k, n = given.shard or (1, 1)
    mine = sweep.variants[k - 1 :: n]
    if given.list_only:
        print(_listed(sweep, mine, given.json))
        return HOLDS
    from .order import BY_DEFAULT
    from .sweep import Run

    out = given.out or Path("outputs", sweep.name)
    done = Run(sweep, out, _say, given.only or BY_DEFAULT)
    rows = done.build(mine, _place(given))
    _print(sweep, rows, done, given.json)
    names = {v.name for v in mine}
    return _code([r for r in rows if r.variant.name in names])


def _say(words: str) -> None:
    print(words, file=sys.stderr, flush=True)


def _outputs(text: str) -> tuple[str, ...]:
    from ..export.outputs import UnknownOutput, chosen

    try:
        return tuple(o.name for o in chosen(text.split(",")))
    except UnknownOutput as error:
        raise argparse.ArgumentTypeError(str(error)) from None


def _place(given: argparse.Namespace) -> Workplace:
    if given.scheduler:
        from .cluster import Cluster

        return Cluster(given.scheduler, given.limit)
    from .places import Here

    return Here(given.workers or _cores(), given.limit)


def _cores() -> int:
    """Cores that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _listed(sweep: Sweep, mine: Sequence[Variant], as_json: bool) -> str:
    if as_json:
        every = [{"name": v.name, "chosen": v.values, "settings": v.settings} for v in mine]
        return json.dumps({"sweep": sweep.name, "variants": every}, ensure_ascii=False, indent=2)
    lines = [f"{v.name}: " + ", ".join(f"{k} {_shown(x)}" for k, x in v.values.items()) for v in mine]
    count = f"{len(mine)} variant{'s' if len(mine) != 1 else ''}"
    return "\n".join([*lines, f"{count}, each read and placed without a fault"])


def _shown(value: object) -> str:
    return value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)


def _code(rows: Sequence[Row]) -> int:
    from . import table

    codes = {table.HOLDS: HOLDS, table.FAILS: FAILED}
    return max((codes.get(r.state, IMPOSSIBLE) for r in rows), default=HOLDS)


def _print(sweep: Sweep, rows: Sequence[Row], done: Run, as_json: bool) -> None:
    from .report import text
    from .table import as_json as document

    if as_json:
        print(json.dumps(document(sweep, rows), ensure_ascii=False, allow_nan=False, indent=2))
    else:
        print(text(sweep, rows, done.out))
