"""From a sweep file to variants: read, combined, named, and every one of them proved to be a job."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product
from math import prod
from pathlib import Path
from typing import Any

from ..pipeline import placed
from ..spec.job import Job
from ..spec.load import Loaded, fitted, load
from ..spec.messages import Problem, SpecError, dotted, listed, shown
from ..spec.quantity import NAME_LENGTH
from ..spec.yaml_source import Source
from .choices import Choice, Reader, Setting, unknown_label
from .moving import move
from .sweep_file import MAX_VARIANTS, WITHOUT, SweepFile
from .tree import Missing, copied, put, set_by, take_away


@dataclass(frozen=True, slots=True)
class Variant:
    """One job of a sweep: `values` by column, `data` as its parameter file will hold it, `job` as it was understood."""

    name: str
    values: dict[str, Any]
    settings: dict[str, Any]
    data: dict[str, Any]
    job: Job


@dataclass(frozen=True, slots=True)
class Sweep:
    """A sweep that can be built: its columns and variants in the order of the file."""

    name: str
    base: str
    columns: tuple[str, ...]
    variants: tuple[Variant, ...]
    base_path: str = ""  # of the base file, as it was read


def read_sweep(path: Path) -> Sweep:
    """A sweep with every variant placed once. Raises SpecError with the problems of the file and of all variants."""
    loaded = load(path, SweepFile)
    base = _base(loaded, path)
    reader = Reader(loaded, base.data, path.parent)
    axes = {name: reader.axis(name, axis) for name, axis in loaded.model.over.items()}
    problems = [*reader.problems, *_clashes(axes)]
    if not problems:
        count = prod(len(c) for c in axes.values())
        if count > MAX_VARIANTS:
            problems = [loaded.problem(("over",), f"gives {count} variants, at most {MAX_VARIANTS} are built at once")]
        else:
            problems = list(_leave_out_problems(loaded, axes))
    if problems:
        raise SpecError(problems)
    columns = dict.fromkeys(column for choices in axes.values() for c in choices for column in c.values)
    picked = [c for c in product(*axes.values()) if not _left_out(loaded.model, dict(zip(axes, c, strict=True)))]
    if not picked:
        raise SpecError([loaded.problem(("leave_out",), "leaves no variant to build")])
    return Sweep(loaded.model.sweep, loaded.model.base, tuple(columns), tuple(_proved(base, picked)), base.path)


def _base(loaded: Loaded[SweepFile], path: Path) -> Source:
    """The base job, which has to be a job by itself."""
    target = path.parent / loaded.model.base
    if not target.is_file():
        what = "there is no such file as seen from this file's folder"
        raise SpecError([loaded.problem(("base",), what, loaded.model.base)])
    return load(target, Job).source


def _clashes(axes: dict[str, list[Choice]]) -> Iterator[Problem]:
    """Every place that two axes set, or one choice twice."""
    taken: dict[Any, tuple[str, str]] = {}
    for name, choices in axes.items():
        mine: dict[Any, tuple[str, str]] = {}
        for choice in choices:
            here: set[Any] = set()
            for s in choice.settings:
                for loc in s.places if s.sets else ():
                    if loc in taken or loc in here:
                        other = f"{taken[loc][1]} of {taken[loc][0]}" if loc in taken else "another path of this choice"
                        yield s.problem(f"{dotted(loc)} is set by {other} too", do="let one of them set it")
                    here.add(loc)
                    mine.setdefault(loc, (name, s.path))
        taken |= mine


def _leave_out_problems(loaded: Loaded[SweepFile], axes: dict[str, list[Choice]]) -> Iterator[Problem]:
    for i, combination in enumerate(loaded.model.leave_out):
        for name, wanted in combination.items():
            loc = ("leave_out", i, name)
            if name not in axes:
                yield loaded.problem(loc, f"nothing of this name is under over; known: {listed(axes)}", key=True)
            elif not any(_is(c, wanted) for c in axes[name]):
                yield loaded.problem(loc, "is none of its values", wanted, unknown_label(wanted, axes[name]))


def _is(choice: Choice, wanted: Any) -> bool:
    every = wanted if isinstance(wanted, list) else [wanted]
    return any(choice.label == str(w) or w in choice.values.values() for w in every)


def _left_out(sweep: SweepFile, choices: dict[str, Choice]) -> bool:
    return any(all(_is(choices[name], wanted) for name, wanted in c.items()) for c in sweep.leave_out)


def name_of(parts: list[str]) -> str:
    """Name of a variant: its parts with hyphens; where that is too long for a name, its beginning and a hash."""
    full = "-".join(parts)
    full = full if full[0].isalpha() else f"v-{full}"
    if len(full) <= NAME_LENGTH:
        return full
    return f"{full[: NAME_LENGTH - 9].rstrip('-')}-{hashlib.sha256(full.encode()).hexdigest()[:8]}"


def _proved(base: Source, picked: list[tuple[Choice, ...]]) -> Iterator[Variant]:
    """Every variant, after all of them were read and placed. Raises SpecError with the problems of all."""
    told: dict[Problem, list[str]] = defaultdict(list)
    made: dict[str, Variant] = {}
    for choices in picked:
        name = name_of([c.part for c in choices])
        settings = [s for c in choices for s in c.settings]
        if name in made:
            what = f'two variants would both be named "{name}"'
            told[Problem(base.path, 0, 0, "", what, None, "give labels")].append(name)
        source = copied(base)
        try:
            job = _placed(source, name, settings)
        except SpecError as error:
            for problem in error.problems:
                told[_traced(problem, source, settings)].append(name)
            continue
        values = {k: v for c in choices for k, v in c.values.items()}
        made[name] = Variant(name, values, {s.path: s.value for s in settings}, source.data, job)
    if told:
        raise SpecError(_with_names(p, names, len(picked)) for p, names in told.items())
    return iter(made.values())


def _placed(source: Source, name: str, settings: list[Setting]) -> Job:
    """Make a copy of the base a variant, and place it once. Raises SpecError."""
    for number, s in enumerate(settings):
        try:
            for loc in s.places if s.sets else ():
                put(source, loc, s.value, number)
            for loc, dx, dy in s.shifts:
                move(source.data, loc, dx, dy)
        except Missing as error:
            raise SpecError([s.problem(str(error))]) from None
    take_away(source, [loc for s in settings if s.path == WITHOUT for loc in s.places])
    source.data["job"] = name
    return placed(fitted(source, Job)).loaded.model


def _traced(problem: Problem, source: Source, settings: list[Setting]) -> Problem:
    """A problem of a variant at the setting that brought it, where one did; otherwise where it stands in the base."""
    number = set_by(source, problem.line, problem.key) if problem.path == source.path else None
    if number is None:
        return problem
    s = settings[number]
    got = problem.got if problem.got is not None else shown(s.value)
    return replace(s.problem(problem.what, do=problem.do), key=s.path, got=got)


def _with_names(problem: Problem, names: list[str], of: int) -> Problem:
    """The problem with the variants that have it, unless all have."""
    names = list(dict.fromkeys(names))
    if len(names) == of:
        return problem
    first = ", ".join(names[:2]) + (f" and {len(names) - 2} more" if len(names) > 2 else "")
    return replace(problem, what=f"{problem.what} [variant {first}]")
