"""What an axis of a sweep can be: its choices, each a label and the settings that make it."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from ..spec.load import Loaded
from ..spec.messages import Problem, SpecError, advice, dotted, shown
from ..spec.yaml_events import Loc, scalar
from ..spec.yaml_source import parse
from .csv_cells import Cell, read_cells
from .paths import UnknownPath, places
from .sweep_file import MOVE, WITHOUT, Axis, SweepFile

VARIANT = "variant"  # column of a table that names its rows
LABEL_LENGTH = 24  # characters of a label made from a value


@dataclass(frozen=True, slots=True)
class Setting:
    """One parameter path with the value it takes, the places in the base that it means, and where it was written."""

    path: str
    value: Any
    places: tuple[Loc, ...]
    written: Problem  # with no words in it yet: file, line, column, key
    shifts: tuple[tuple[Loc, float, float], ...] = ()  # of `move`: what, and how far along x and y, mm

    def problem(self, what: str, got: object = None, do: str | None = None) -> Problem:
        w = self.written
        return Problem(w.path, w.line, w.column, w.key, what, None if got is None else shown(got), do)

    @property
    def sets(self) -> bool:
        """Whether it sets a value, as all but `without` and `move` do."""
        return self.path not in (WITHOUT, MOVE)


@dataclass(frozen=True, slots=True)
class Choice:
    """One value of an axis. `values` go into the table of results, by column."""

    label: str
    settings: tuple[Setting, ...]
    values: dict[str, Any]
    part: str  # of the variant's name


@dataclass(slots=True)
class Reader:
    """Reads axes against a base job; problems are collected, so that all are told at once."""

    sweep: Loaded[SweepFile]
    base: dict[str, Any]
    folder: Path
    problems: list[Problem] = field(default_factory=list)
    known: dict[str, tuple[Loc, ...] | UnknownPath] = field(default_factory=dict)

    def axis(self, name: str, axis: Axis) -> list[Choice]:
        """Every choice of one axis."""
        loc: Loc = ("over", name)
        if axis.table is not None:
            rows = self._table(axis.table)
        elif axis.cases is not None:
            rows = [(k, self._case((*loc, "cases", k), case), {name: k}, k) for k, case in axis.cases.items()]
        else:
            rows = self._lists(name, loc, axis)
        return self._told_apart(loc, [Choice(*row) for row in rows])

    def _lists(self, name: str, loc: Loc, axis: Axis) -> list[tuple[str, tuple[Setting, ...], dict[str, Any], str]]:
        columns: list[tuple[str, Loc, list[Any]]] = []
        if axis.together is not None:
            columns = [(path, (*loc, "together", path), values) for path, values in axis.together.items()]
        else:
            values = axis.values if axis.values is not None else axis.range.numbers() if axis.range else []
            paths = axis.path if isinstance(axis.path, list) else [str(axis.path)]
            columns = [(path, (*loc, "values" if axis.values is not None else "range"), values) for path in paths]
        out = []
        for i, first in enumerate(columns[0][2]):
            settings = tuple(s for path, at, values in columns if (s := self._setting(path, values[i], (*at, i), at)))
            label = axis.labels[i] if axis.labels else label_of(first, i)
            out.append((label, settings, {name: label if axis.labels else first}, f"{name}-{label_of(label, i)}"))
        return out

    def _case(self, loc: Loc, case: dict[str, Any]) -> tuple[Setting, ...]:
        return tuple(s for path, value in case.items() if (s := self._setting(path, value, (*loc, path), (*loc, path))))

    def _setting(self, path: str, value: Any, loc: Loc, head: Loc) -> Setting | None:
        """A setting written in the sweep file; the value at `loc`, its path at the key `head` (or its `path`)."""
        source = self.sweep.source
        written = Problem(source.path, *source.where(loc), dotted(loc), "")
        at_key = source.where(head, key=True) if head[-2] in ("together",) or "cases" in head else self._path_place(head)
        return self._made(path, value, written, Problem(source.path, *at_key, dotted(head), ""))

    def _path_place(self, head: Loc) -> tuple[int, int]:
        return self.sweep.source.where((*head[:-1], "path"))

    def _made(self, path: str, value: Any, written: Problem, head: Problem) -> Setting | None:
        if path in (WITHOUT, MOVE):
            told = Problem(written.path, written.line, written.column, path, "")
            return (self._without if path == WITHOUT else self._move)(value, told)
        found = self._places(path)
        if isinstance(found, UnknownPath):
            self.problems.append(Problem(head.path, head.line, head.column, path, found.what, None, found.do))
            return None
        return Setting(path, value, found, Problem(written.path, written.line, written.column, path, ""))

    def _without(self, value: Any, written: Problem) -> Setting | None:
        paths = value.split() if isinstance(value, str) else value
        setting = Setting(WITHOUT, value, (), written)
        if not (isinstance(paths, list) and paths and all(isinstance(p, str) and p for p in paths)):
            self.problems.append(setting.problem("must be a list of paths to what is left out, like [loops.cold]", value))
            return None
        found = self._all_places(paths, setting)
        return replace(setting, places=tuple(loc for locs in found for loc in locs))

    def _move(self, value: Any, written: Problem) -> Setting | None:
        setting = Setting(MOVE, value, (), written)
        if not (isinstance(value, dict) and value and all(_is_shift(v) for v in value.values())):
            what = "must be a mapping of paths to how far they move in mm, like {loops.hot: [75, 0]}"
            self.problems.append(setting.problem(what, value))
            return None
        found = self._all_places(list(value), setting)
        shifts = tuple((loc, *map(float, v)) for v, locs in zip(value.values(), found, strict=True) for loc in locs)
        return replace(setting, shifts=shifts)  # type: ignore[arg-type]  # two numbers each, as was asked above

    def _all_places(self, paths: list[str], setting: Setting) -> list[tuple[Loc, ...]]:
        """Places of each path; those that lead nowhere are told."""
        found = [self._places(p) for p in paths]
        wrong = [(p, f) for p, f in zip(paths, found, strict=True) if isinstance(f, UnknownPath)]
        self.problems += [setting.problem(f.what, p, f.do) for p, f in wrong]
        return [() if isinstance(f, UnknownPath) else f for f in found]

    def _places(self, path: str) -> tuple[Loc, ...] | UnknownPath:
        if path not in self.known:
            try:
                self.known[path] = places(path, self.base)
            except UnknownPath as error:
                self.known[path] = error
        return self.known[path]

    def _table(self, given: str) -> list[tuple[str, tuple[Setting, ...], dict[str, Any], str]]:
        path = self.folder / given
        try:
            head, *rows = read_cells(path)
        except SpecError as error:
            self.problems += error.problems
            return []
        self.problems += _head_problems(path, head)
        out = []
        for i, row in enumerate(rows):
            if len(row) != len(head):
                what = f"this line has {len(row)} cells, the first line {len(head)}"
                self.problems.append(Problem(str(path), row[0].line, 1, "", what, None, "give each line one cell a column"))
                continue
            out.append(self._row(path, head, row, i))
        return out

    def _row(
        self, path: Path, head: list[Cell], row: list[Cell], number: int
    ) -> tuple[str, tuple[Setting, ...], dict[str, Any], str]:
        settings, values, name = [], {}, ""
        for top, cell in zip(head, row, strict=True):
            if top.text == VARIANT:
                name = cell.text
            elif cell.text:  # an empty cell leaves the base as it is
                value = self._cell(path, cell)
                at = Problem(str(path), cell.line, cell.column, top.text, "")
                values[top.text] = value
                settings.append(self._made(top.text, value, at, Problem(str(path), top.line, top.column, top.text, "")))
        if name:
            return name, tuple(s for s in settings if s), {VARIANT: name, **values}, label_of(name, number)
        parts = [f"{label_of(k.rsplit('.', 1)[-1], 0)}-{label_of(v, number)}" for k, v in values.items()]
        label = "-".join(parts) or "base"
        return label, tuple(s for s in settings if s), values, label

    def _cell(self, path: Path, cell: Cell) -> Any:
        if cell.text[0] not in "[{":
            value = scalar(cell.text)
            return cell.text if isinstance(value, float) and math.isnan(value) else value
        try:
            return parse(f"v: {cell.text}", str(path)).data["v"]
        except SpecError as error:
            first = error.problems[0]
            self.problems.append(Problem(str(path), cell.line, cell.column, "", first.what, shown(cell.text), first.do))
            return None

    def _told_apart(self, loc: Loc, choices: list[Choice]) -> list[Choice]:
        """The choices, after a complaint about every two of one label."""
        first: dict[str, Choice] = {}
        for choice in choices:
            if choice.part in first:
                settings = choice.settings or first[choice.part].settings
                place = settings[0].written if settings else Problem(self.sweep.source.path, *self.sweep.where(loc), "", "")
                what = f'two choices would both be named "{choice.part}"'
                do = f"give labels, or in a table a column {VARIANT}"
                self.problems.append(Problem(place.path, place.line, place.column, dotted(loc), what, None, do))
            first.setdefault(choice.part, choice)
        return choices


def _head_problems(path: Path, head: list[Cell]) -> Iterator[Problem]:
    seen: set[str] = set()
    for cell in head:
        place = (str(path), cell.line, cell.column, "")
        if not cell.text:
            yield Problem(*place, "this column has no parameter path at its head", None, "name it, or take the column out")
        elif cell.text in seen:
            yield Problem(*place, "two columns have this path", shown(cell.text), "keep one of them")
        seen.add(cell.text)


def label_of(value: Any, number: int) -> str:
    """A value as part of a name: lower-case letters, digits and hyphens. What gives none is numbered from 1."""
    if isinstance(value, float | int) and not isinstance(value, bool):
        text = f"{'minus-' if value < 0 else ''}{abs(value):.9g}"
    elif isinstance(value, list):
        text = "-".join(label_of(v, 0) for v in value)
    else:
        text = "none" if value is None else "" if isinstance(value, dict) else str(value).lower()
    made = re.sub(r"[^a-z0-9]+", "-", text.replace("µ", "u")).strip("-")
    return made if made and len(made) <= LABEL_LENGTH else f"n{number + 1}"


def _is_shift(value: Any) -> bool:
    return isinstance(value, list) and len(value) == 2 and all(type(v) in (int, float) for v in value)


def unknown_label(given: object, choices: list[Choice]) -> str:
    """What to do about a label under `leave_out` that no choice has."""
    return advice(str(given), [c.label for c in choices], "values")
