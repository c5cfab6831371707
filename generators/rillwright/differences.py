"""What differs between two built jobs, read from what lies in their folders; solids are compared in `export`."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

TABLES = {"features": ("plate", "feature"), "parts": ("part",)}  # and the columns that name a row
NOTHING = "(none)"  # stands where one of the two has no such thing

Change = tuple[str, str, str]  # what, in A, in B


class NotBuiltError(Exception):
    """A folder that no build made, or that cannot be read; the message says what to do."""


@dataclass(frozen=True, slots=True)
class Folder:
    """One built job as its folder tells it."""

    path: Path
    manifest: dict[str, Any]
    checks: dict[str, Any]

    @property
    def plates(self) -> list[str]:
        """Names of the plates whose STEP files lie here, in the order of the file."""
        listed = list(self.manifest.get("parameters", {}).get("plates", {}))
        steps = sorted(p.stem for p in self.path.glob("*.step") if p.stem != "assembly")
        return sorted(steps, key=lambda n: (listed.index(n) if n in listed else len(listed), n))

    def rows(self, table: str) -> dict[tuple[str, ...], dict[str, str]] | None:
        """Rows of a table by what names them; None where the folder has no such table."""
        file = self.path / f"{table}.csv"
        if not file.is_file():
            return None
        try:
            read = csv.DictReader(io.StringIO(file.read_text(encoding="utf-8")), restval="", restkey="")
            return {tuple(row[c] for c in TABLES[table]): row for row in read}
        except (OSError, ValueError, KeyError, csv.Error) as error:
            raise NotBuiltError(f"{file} is damaged ({error!r}); build that job again") from error


def opened(path: Path) -> Folder:
    """A folder of results. Raises NotBuiltError."""
    try:
        manifest, checks = (json.loads((path / n).read_text(encoding="utf-8")) for n in ("manifest.json", "checks.json"))
    except (OSError, ValueError) as error:
        raise _no_build(path, f"{error.strerror}" if isinstance(error, OSError) else "a file in it is damaged") from error
    for name, data, keys in (("manifest.json", manifest, ("job",)), ("checks.json", checks, ("findings", "checked"))):
        if not isinstance(data, dict) or not all(k in data for k in keys):
            raise _no_build(path, f"{name} in it is not what a build writes")
    return Folder(path, manifest, checks)


def _no_build(path: Path, why: str) -> NotBuiltError:
    return NotBuiltError(f"{path} is no folder of a build ({why}); give one that `rillwright build` wrote")


@dataclass(frozen=True, slots=True)
class Differences:
    """All that differs but the solids. A table is None where one of the folders has none."""

    parameters: list[Change] | None
    tables: dict[str, list[Change] | None]
    gained: list[dict[str, Any]] = field(default_factory=list)  # findings of B that A has not
    lost: list[dict[str, Any]] = field(default_factory=list)
    rules: list[Change] = field(default_factory=list)  # whose nearest case differs


def differences(a: Folder, b: Folder) -> Differences:
    """What differs from A to B."""
    both = [f.manifest.get("parameters") for f in (a, b)]
    known = both[0] is not None and both[1] is not None
    parameters = _changes(dict(_flat(both[0])), dict(_flat(both[1]))) if known else None
    found = [{f["key"]: f for f in x.checks["findings"]} for x in (a, b)]
    gained = [f for key, f in found[1].items() if key not in found[0]]
    lost = [f for key, f in found[0].items() if key not in found[1]]
    answers = [{o["rule"]: _answer(o) for o in x.checks["checked"]} for x in (a, b)]
    return Differences(parameters, {t: _rows(a, b, t) for t in TABLES}, gained, lost, _changes(*answers))


def _flat(value: Any, path: str = "") -> Iterator[tuple[str, str]]:
    """Every value with its path; members of a list are named by their `name`, where they have one."""
    if isinstance(value, dict):
        named = value.items()
    elif isinstance(value, list) and value and all(isinstance(v, dict) and "name" in v for v in value):
        named = {v["name"]: v for v in value}.items()
    elif isinstance(value, list) and any(isinstance(v, dict | list) for v in value):
        named = {str(i): v for i, v in enumerate(value)}.items()
    else:
        yield path, value if isinstance(value, str) else json.dumps(_short(value), ensure_ascii=False)
        return
    for name, member in named:
        yield from _flat(member, f"{path}.{name}" if path else str(name))


def _short(value: Any) -> Any:
    """153 rather than 153.0, in lists too."""
    if isinstance(value, list):
        return [_short(v) for v in value]
    return int(value) if isinstance(value, float) and value.is_integer() else value


def _changes(a: dict[str, str], b: dict[str, str]) -> list[Change]:
    """What is not the same in both, in the order of A and then of B."""
    return [(k, a.get(k, NOTHING), b.get(k, NOTHING)) for k in {**a, **b} if a.get(k) != b.get(k)]


def _answer(outcome: dict[str, Any]) -> str:
    """A rule's answer: whether it holds, its nearest case and how many findings."""
    if not outcome["cases"]:
        return "no case"
    worst = "" if outcome["worst"] is None else f", nearest {outcome['worst']:g} {outcome['unit']}".rstrip()
    return f"{'holds' if outcome['holds'] else 'FAILS'}{worst}"


def _rows(a: Folder, b: Folder, table: str) -> list[Change] | None:
    """Rows that only one has, and the cells that differ in those that both have."""
    left, right = a.rows(table), b.rows(table)
    if left is None or right is None:
        return None
    out: list[Change] = []
    for name in {**left, **right}:
        label = ".".join(name)
        if name not in left or name not in right:
            row = right.get(name) or left[name]
            words = ", ".join(v for c, v in row.items() if v and c not in TABLES[table])
            out.append((label, *((words, NOTHING) if name in left else (NOTHING, words))))
            continue
        out += [(f"{label} {c}", left[name].get(c, ""), right[name].get(c, ""))
                for c in right[name] if left[name].get(c, "") != right[name].get(c, "")]  # fmt: skip
    return out
