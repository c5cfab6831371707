"""Loading a parameter file into a model, with every fault placed by line and column."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Generic, TypeVar

from pydantic import BaseModel, ValidationError

from rillwright.spec.messages import Problem, SpecError, advice, dotted, shown
from rillwright.spec.yaml_events import Loc, Place
from rillwright.spec.yaml_source import Source, parse, read

if TYPE_CHECKING:
    from rillwright.spec.branches import Fault

M = TypeVar("M", bound=BaseModel)


@dataclass(frozen=True, slots=True)
class Loaded(Generic[M]):
    """A parameter file that fits its model. `sha256` is of the file's bytes, in hex.

    `origins`: key paths of what was put into the model, with those of the file that brought it. `also`: other files
    that were read for it, as name and sha256.
    """

    model: M
    source: Source
    sha256: str
    origins: Mapping[Loc, Loc] = field(default_factory=dict)
    also: tuple[tuple[str, str], ...] = ()

    def home(self, loc: Loc) -> Loc:
        """The key path in the file of what brought a part of the model; the path itself where the file holds it."""
        return next((self.origins[loc[:n]] for n in range(len(loc), 0, -1) if loc[:n] in self.origins), loc)

    def where(self, loc: Loc, *, key: bool = False) -> Place:
        """Line and column, from 1, of the value (or key) at a key path; of the deepest part there is."""
        return self.source.where(self.home(loc), key=key)

    def problem(
        self, loc: Loc, what: str, got: object = None, do: str | None = None, *, key: bool = False
    ) -> Problem:
        """A problem with the value (or key) at a key path; `got` None: there is no value to show."""
        words = None if got is None else shown(got)
        return Problem(self.source.path, *self.where(loc, key=key), dotted(self.home(loc)), what, words, do)


def load(path: Path, model: type[M]) -> Loaded[M]:
    """A parameter file as a model. Raises SpecError with all problems of the file."""
    source, raw = read(path)
    return Loaded(_validated(source, model), source, hashlib.sha256(raw).hexdigest())


def load_text(text: str, model: type[M], path: str = "<text>") -> Loaded[M]:
    """The same from text; `path` is for messages. Raises SpecError."""
    source = parse(text, path)
    return Loaded(_validated(source, model), source, hashlib.sha256(text.encode()).hexdigest())


def fitted(source: Source, model: type[M]) -> Loaded[M]:
    """Data that were put together from read ones, as a model. Raises SpecError with all problems."""
    return Loaded(_validated(source, model), source, "")


def require_known(
    loaded: Loaded[M], loc: Loc, name: str, known: Iterable[str], kind: str, *, key: bool = False
) -> Problem | None:
    """Problem of a name that refers to nothing, None if it is known. `kind` is singular: "loop", "plate"."""
    every = list(known)
    if name in every:
        return None
    return loaded.problem(
        loc, f"there is no {kind} of this name", name, advice(name, every, f"{kind}s"), key=key
    )


def _validated(source: Source, model: type[M]) -> M:
    try:
        return model.model_validate(source.data)
    except ValidationError as error:
        from rillwright.spec.branches import fault_of, settle  # what only faults need
        from rillwright.spec.other_kind import other_kind

        other = other_kind(source, model)
        found = [fault_of(model, entry) for entry in error.errors(include_url=False)]
    # Raised outside the handler, so that no traceback carries pydantic's own text.
    if other is not None:
        raise SpecError([other])
    problems = [_problem(source, _at_discriminator(fault)) for fault in settle(found)]
    if {"loops", "plates"} <= model.model_fields.keys():
        from rillwright.spec.loose import loose_names

        told = {p.key for p in problems}
        problems += [p for p in loose_names(source) if p.key not in told]
    raise SpecError(problems)


def _at_discriminator(fault: Fault) -> Fault:
    """A fault of a union's tag belongs to the key that holds the tag."""
    key = re.match(r"'([^']+)'", str(fault.context.get("discriminator", "")))
    if key is None or not fault.kind.startswith("union_tag_"):
        return fault
    return replace(fault, loc=(*fault.loc, key[1]), holder=fault.kind_of)


def _problem(source: Source, fault: Fault) -> Problem:
    from rillwright.spec.kinds import said
    from rillwright.spec.moved import moved

    words = moved(fault, source) or said(fault)
    loc = fault.loc
    if fault.kind == "missing" and isinstance(loc[-1], int):
        place, loc = source.where(loc[:-1]), loc[:-1]  # too short a list: the list is wrong
    elif fault.kind in ("missing", "union_tag_not_found"):
        place = source.where(loc[:-1])
    else:
        place = source.where(loc, key=fault.at_key or fault.kind == "extra_forbidden")
    return Problem(source.path, *place, dotted(loc), words.what, words.got, words.do)
