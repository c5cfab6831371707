"""What differs between two built jobs, read from what lies in their folders; solids are compared in `export`."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from .paired import NOTHING, Change, Numbered, Rows, numbered, renamed, table_changes
from .spec.typed import leaves

TABLES = {"features": ("plate", "feature"), "parts": ("part",)}  # and the columns that name a row
# Compared by what they mean, not as files; the page holds what all the others do.
TOLD = ("checks.json", "report.html", *(f"{t}.csv" for t in TABLES))
SHAPES = (".step", ".stl", ".glb", ".png")
NET = ("joined", "coolant_ml", "ports", "tubes", "plugs")  # of a row of nets, what is told of it


class NotBuiltError(Exception):
    """A folder that no build made, or that cannot be read; the message says what to do."""


@dataclass(frozen=True, slots=True)
class Folder:
    """One built job as its folder tells it."""

    path: Path
    manifest: dict[str, Any]
    checks: dict[str, Any]

    @property
    def input(self) -> str:
        """Name of the parameter file."""
        return str(self.manifest.get("input", {}).get("name", "its file"))

    @property
    def plates(self) -> list[str]:
        """Names of the plates whose STEP files lie here, in the order of the file."""
        listed = list(self.manifest.get("parameters", {}).get("plates", {}))
        steps = sorted(p.stem for p in self.path.glob("*.step") if p.stem != "assembly")
        return sorted(steps, key=lambda n: (listed.index(n) if n in listed else len(listed), n))

    def rows(self, table: str) -> Rows | None:
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
    found = sorted(p.parent for p in path.glob("*/manifest.json")) if path.is_dir() else []
    do = f"in it are {', '.join(map(str, found[:5]))}" if found else "give one that `rillwright build` wrote"
    return NotBuiltError(f"{path} is no folder of a build ({why}); {do}")


@dataclass(frozen=True, slots=True)
class Typed:
    """A key that is not written alike in the two files. `a`, `b`: its value, "" where it is not written; lines, 0 there."""

    key: str
    a: str
    b: str
    a_line: int = 0
    b_line: int = 0


@dataclass(frozen=True, slots=True)
class Differences:
    """All that differs but the solids. A table is None where one of the folders has none; so is what was typed."""

    typed: list[Typed] | None
    parameters: list[Change] | None
    tables: dict[str, list[Change] | None]
    gained: list[dict[str, Any]] = field(default_factory=list)  # findings of B that A has not
    lost: list[dict[str, Any]] = field(default_factory=list)
    rules: list[Change] = field(default_factory=list)  # whose nearest case differs
    nets: list[Change] = field(default_factory=list)
    files: list[Change] = field(default_factory=list)  # paper and tables, by their contents
    numbered: dict[str, list[Numbered]] = field(default_factory=dict)  # by table: kinds that came, went or moved
    sheets: dict[str, list[Change]] = field(default_factory=dict)  # by name: rows of the other tables

    @property
    def followed(self) -> list[Change] | None:
        """Parameters that differ without having been typed: what is left out, and what mounts and galleries bring."""
        if self.parameters is None or self.typed is None:
            return self.parameters
        keys = [t.key for t in self.typed]
        return [c for c in self.parameters if not any(_within(c[0], k) or _within(k, c[0]) for k in keys)]


def _within(key: str, other: str) -> bool:
    return f"{key}.".startswith(f"{other}.")


def differences(a: Folder, b: Folder) -> Differences:
    """What differs from A to B."""
    both = [f.manifest.get("parameters") for f in (a, b)]
    known = both[0] is not None and both[1] is not None
    parameters = _changes(_flat(both[0]), _flat(both[1])) if known else None
    found = [{f["key"]: f for f in x.checks["findings"]} for x in (a, b)]
    gained = [f for key, f in found[1].items() if key not in found[0]]
    lost = [f for key, f in found[0].items() if key not in found[1]]
    pairs = {t: (left, renamed(left, right)) for t in TABLES
             if (left := a.rows(t)) is not None and (right := b.rows(t)) is not None}  # fmt: skip
    files = _files(a, b)
    return Differences(
        _typed(a, b), parameters, {t: _rows(*pairs[t], t) if t in pairs else None for t in TABLES}, gained, lost,
        _changes(_answers(a), _answers(b)),
        _changes(_nets(a), _nets(b)), files, {t: numbered(*pair) for t, pair in pairs.items()}, _sheets(a, b, files),
    )  # fmt: skip


def _typed(a: Folder, b: Folder) -> list[Typed] | None:
    """What is not written alike, in the order of A's file, then of B's; other files that they refer to at the end."""
    left, right = (x.manifest.get("typed") for x in (a, b))
    if left is None or right is None:
        return None
    out = []
    for key in sorted({**left, **right}, key=lambda k: (k not in left, (left.get(k) or right[k])["line"])):
        (va, la), (vb, lb) = ((_text(w["value"]), w["line"]) if (w := x.get(key)) else ("", 0) for x in (left, right))
        if va != vb:
            out.append(Typed(key, va, vb, la, lb))
    return out + [Typed(name, one, other) for name, one, other in _changes(_also(a), _also(b), "")]


def _also(folder: Folder) -> dict[str, str]:
    """Other files that the parameter file refers to, by the first digits of their hash."""
    return {f["name"]: f["sha256"][:8] for f in folder.manifest.get("also", [])}


def _text(value: Any) -> str:
    return value if isinstance(value, str) else json.dumps(_short(value), ensure_ascii=False)


def _flat(value: Any) -> dict[str, str]:
    return {words: _text(v) for words, _, v in leaves(value)}


def _short(value: Any) -> Any:
    """153 rather than 153.0, in lists too."""
    if isinstance(value, list):
        return [_short(v) for v in value]
    return int(value) if isinstance(value, float) and value.is_integer() else value


def _changes(a: dict[str, str], b: dict[str, str], nothing: str = NOTHING) -> list[Change]:
    """What is not the same in both, in the order of A and then of B."""
    return [(k, a.get(k, nothing), b.get(k, nothing)) for k in {**a, **b} if a.get(k) != b.get(k)]


def _answers(folder: Folder) -> dict[str, str]:
    return {o["rule"]: _answer(o) for o in folder.checks["checked"]}


def _answer(outcome: dict[str, Any]) -> str:
    """A rule's answer: whether it holds, its nearest case and how many findings."""
    if not outcome["cases"]:
        return "no case"
    worst = "" if outcome["worst"] is None else f", nearest {outcome['worst']:g} {outcome['unit']}".rstrip()
    return f"{'holds' if outcome['holds'] else 'FAILS'}{worst}"


def _nets(folder: Folder) -> dict[str, str]:
    """What each loop of each assembly joins and holds, and the air and coolant that stay in it however it stands."""
    out: dict[str, str] = {}
    for row in folder.checks.get("nets", []):
        name = f"{row['assembly']}.{row['loop']}"
        out |= {f"{name} {k}": ", ".join(v) if isinstance(v := row.get(k), list) else _text(v) for k in NET}
        for s in row.get("standing", []):
            out |= {f"{name} {k}, {s['stand']}": _text(s[k]) for k in ("trapped_ml", "undrained_ml") if k in s}
    return out


def _files(a: Folder, b: Folder) -> list[Change]:
    """Paper and tables whose contents differ, with the size of each."""
    def sums(x: Folder) -> dict[str, tuple[str, str]]:
        return {f["name"]: (f["sha256"], f"{f['bytes']} bytes") for f in x.manifest.get("files", [])
                if f["name"] not in TOLD and not f["name"].endswith(SHAPES)}  # fmt: skip

    left, right = sums(a), sums(b)
    none = ("", NOTHING)
    return [(k, left.get(k, none)[1], right.get(k, none)[1]) for k in {**left, **right} if left.get(k) != right.get(k)]


def _sheets(a: Folder, b: Folder, files: list[Change]) -> dict[str, list[Change]]:
    """Rows that differ in each table that both have, but those that are told by what they mean."""
    found = {n: table_changes(a.path / n, b.path / n) for n, *sizes in files if n.endswith(".csv") and NOTHING not in sizes}
    return {name: changes for name, changes in found.items() if changes is not None}


def _rows(left: Rows, right: Rows, table: str) -> list[Change]:
    """Rows that only one has, and the cells that differ in those that both have, numbered ones paired by their places."""
    out: list[Change] = []
    for name in {**left, **right}:
        label = ".".join(name)
        if name not in left or name not in right:
            row = right.get(name) or left[name]
            words = ", ".join(v for c, v in row.items() if v and c not in TABLES[table])
            out.append((label, *((words, NOTHING) if name in left else (NOTHING, words))))
            continue
        cells = [(f"{label} {c}", left[name].get(c, ""), v) for c, v in right[name].items() if c not in TABLES[table]]
        out += [cell for cell in cells if cell[1] != cell[2]]
    return out
