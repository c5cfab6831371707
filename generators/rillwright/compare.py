"""The command `compare`: what differs between two built jobs, as text or as JSON."""

from __future__ import annotations

import argparse
import json
import sys
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from .comparing_words import feature_lines, file_lines, part_lines
from .exits import HOLDS, UNUSABLE

if TYPE_CHECKING:
    from .differences import Differences, Folder
    from .export.solid_difference import SolidDifference
    from .paired import Change

LISTED = 200  # lines of one table in the text; --json gives all
_LEFT_OUT = "(left out)"
_UNBUILT = "a folder has no {}.csv: build it with --only tables"
_OLD = "a folder is from a version that did not keep them"


def add_options(command: argparse.ArgumentParser) -> None:
    """Two folders, and how to answer."""
    command.add_argument("a", type=Path, metavar="A", help="folder of a built job")
    command.add_argument("b", type=Path, metavar="B", help="folder of the job to hold against it")
    command.add_argument("--json", action="store_true", help="print one JSON document and nothing else")


def run(given: argparse.Namespace) -> int:
    """Print what differs; returns the exit code, 0 also where much differs. Raises OutputError for a bad STEP."""
    from .differences import NotBuiltError, differences, opened

    try:
        a, b = opened(given.a), opened(given.b)
        found = differences(a, b)
    except NotBuiltError as error:
        print(error, file=sys.stderr)
        return UNUSABLE
    solids = _solids(a, b)
    if given.json:
        print(json.dumps(as_dict(a, b, found, solids), indent=2, ensure_ascii=False))
    else:
        print("\n".join(_text(a, b, found, solids)))
    return HOLDS


def _solids(a: Folder, b: Folder) -> list[SolidDifference]:
    both = [p for p in a.plates if p in b.plates]
    if not both:
        return []
    from .export.solid_difference import solid_difference

    return [solid_difference(p, a.path, b.path) for p in both]


def as_dict(a: Folder, b: Folder, found: Differences, solids: list[SolidDifference]) -> dict[str, Any]:
    """Everything, for `--json`: changes as what, in A, in B; volumes in mm³, null if not known."""

    def rows(changes: list[Change] | None) -> list[dict[str, str]] | None:
        return None if changes is None else [dict(zip(("what", "a", "b"), c, strict=True)) for c in changes]

    alone = {side: [p for p in x.plates if p not in y.plates] for side, x, y in (("a", a, b), ("b", b, a))}
    return {
        "a": a.path.as_posix(), "b": b.path.as_posix(), "jobs": [a.manifest["job"], b.manifest["job"]],
        "inputs": [a.input, b.input], "versions": rows(_versions(a, b)),
        "typed": None if found.typed is None else [asdict(t) for t in found.typed],
        "parameters": rows(found.parameters),
        "findings_gained": found.gained, "findings_lost": found.lost, "rules": rows(found.rules),
        "plates_only_in": alone,
        "solids": [{**asdict(s), "symmetric_difference": s.differ} for s in solids],
        "nets": rows(found.nets),
        **{name: rows(changes) for name, changes in found.tables.items()},
        "files": rows(found.files), "rows_of": {name: rows(changes) for name, changes in found.sheets.items()},
        "numbered": {table: [asdict(n) for n in kinds] for table, kinds in found.numbered.items()},
    }  # fmt: skip


def _versions(a: Folder, b: Folder) -> list[Change]:
    left, right = (x.manifest.get("versions", {}) for x in (a, b))
    return [(k, str(left.get(k)), str(right.get(k))) for k in {**left, **right} if left.get(k) != right.get(k)]


def _text(a: Folder, b: Folder, found: Differences, solids: list[SolidDifference]) -> list[str]:
    """What was typed, then what came of it: findings, solids, nets, bought parts, paper."""
    lines = [f"{n}  {x.path} (job {x.manifest['job']}, from {x.input})" for n, x in (("A", a), ("B", b))]
    if versions := _versions(a, b):
        lines += ["", "made by other versions", *_table(versions)]
    lines += ["", *_typed_lines(a, b, found)]
    for title, findings in (("findings gained", found.gained), ("findings lost", found.lost)):
        lines += ["", title if findings else f"{title}: none"]
        for f in findings:
            lines.append(f"  {f['severity']:<8} {f['rule']}, {', '.join((f['plate'], *f['features']))}: {f['what']}")
    tables = found.tables
    for part in (_block("rules", found.rules), ["solids, mm³", *_solid_lines(a, b, solids)],
                 _block("features", None, _UNBUILT.format("features")) if tables["features"] is None
                 else feature_lines(a, b, found), _block("nets", found.nets),
                 _block("bought parts", None, _UNBUILT.format("parts")) if tables["parts"] is None
                 else part_lines(a, b, found), file_lines(found)):  # fmt: skip
        lines += ["", *part] if part else []
    return lines


def _typed_lines(a: Folder, b: Folder, found: Differences) -> list[str]:
    """The keys that are not written alike, with their places, and the parameters that follow from others."""
    if found.typed is None:
        return _block("parameters", found.parameters, _OLD)
    count = len(found.typed)
    lines = ["typed: the same" if not count else "typed: 1 key differs" if count == 1 else f"typed: {count} keys differ"]
    wide = min(max((len(t.key) for t in found.typed), default=0), 60)
    for t in found.typed[:LISTED]:
        places = [f"{x.input}:{n}" for x, n in ((a, t.a_line), (b, t.b_line)) if n]
        lines.append(f"  {t.key:<{wide}}  {t.a or _LEFT_OUT}  →  {t.b or _LEFT_OUT}  {', '.join(places)}".rstrip())
    lines += _rest(count)
    return [*lines, "", *_block("parameters that follow", found.followed, _OLD)] if found.followed else lines


def _block(title: str, changes: list[Change] | None, unknown: str = "") -> list[str]:
    if changes is None:
        return [f"{title}: not known ({unknown})"]
    return [f"{title}: {len(changes)} differ", *_table(changes)] if changes else [f"{title}: the same"]


def _table(changes: list[Change]) -> list[str]:
    wide = min(max(len(c[0]) for c in changes), 60)
    return [*(f"  {what:<{wide}}  {a}  →  {b}" for what, a, b in changes[:LISTED]), *_rest(len(changes))]


def _rest(count: int) -> list[str]:
    return [f"  and {count - LISTED} more; --json lists all"] if count > LISTED else []


def _solid_lines(a: Folder, b: Folder, solids: list[SolidDifference]) -> list[str]:
    lines = [f"  {p}: only in A" for p in a.plates if p not in b.plates]
    lines += [f"  {p}: only in B" for p in b.plates if p not in a.plates]
    for s in solids:
        lines.append(f"  {s.plate}: {s.volume_a:.3f}  →  {s.volume_b:.3f}, {_differ(s)}; {s.method}")
    return lines or ["  no STEP file in both: build them with --only step"]


def _differ(s: SolidDifference) -> str:
    if s.differ is None:
        return "how much differs is NOT KNOWN"
    return "the same" if s.differ == 0 else f"differ by {s.differ:.3f} (only A {s.only_a:.3f}, only B {s.only_b:.3f})"
