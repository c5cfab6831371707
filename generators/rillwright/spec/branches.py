"""Where in a model an error belongs: key paths without union tags, and the union branch that fits best."""

from __future__ import annotations

import re
import types
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel, RootModel, Tag
from pydantic.fields import FieldInfo

Loc = tuple[str | int, ...]

_MANY = (list, set, frozenset, Sequence, Iterable)
_MAPS = (dict, Mapping)
# Errors about the whole of a list or mapping that say its kind was right.
_RIGHT_KIND = frozenset({"value_error", "assertion_error", "too_long", "too_short"})


@dataclass(frozen=True, slots=True)
class Fork:
    """A union on the way to an error: raw path up to it, length of the key path up to it, branch taken."""

    raw: Loc
    depth: int
    branch: str


@dataclass(frozen=True, slots=True)
class Fault:
    """One error of pydantic with its key path in the file. `holder` and `kind_of` are annotations."""

    kind: str
    loc: Loc
    at_key: bool  # the key itself is wrong, not its value
    holder: Any  # of what holds the value
    kind_of: Any  # of the value itself
    message: str
    context: dict[str, Any]
    given: Any
    forks: tuple[Fork, ...] = ()
    parts: tuple[Fault, ...] = field(default=())  # kind "any_of": every branch refused the value itself


def members(annotation: Any) -> list[Any]:
    """Branches of a union that pydantic names in a path; one entry where it names none."""
    while get_origin(annotation) is Annotated:
        annotation = get_args(annotation)[0]
    if isinstance(annotation, type) and issubclass(annotation, RootModel):
        return members(annotation.model_fields["root"].annotation)
    if get_origin(annotation) not in (Union, types.UnionType):
        return [annotation]
    # None is taken out: pydantic makes "or nothing" a property of the rest, without a name in the path.
    rest = [a for a in get_args(annotation) if a is not type(None)]
    return members(rest[0]) if len(rest) == 1 else rest


def fields_of(annotation: Any) -> dict[str, FieldInfo]:
    """Fields of a model by the key they have in the file; empty for anything else."""
    only = members(annotation)
    model = only[0] if len(only) == 1 else None
    if not (isinstance(model, type) and issubclass(model, BaseModel)):
        return {}
    return {info.alias or name: info for name, info in model.model_fields.items()}


def child(annotation: Any, part: str | int) -> Any:
    """Annotation of what lies at a key or index; None where that is not known."""
    known = fields_of(annotation)
    if known:
        return known[str(part)].annotation if part in known else None
    only = members(annotation)[0]
    origin, args = get_origin(only), get_args(only)
    if origin in _MAPS and len(args) == 2:
        return args[1]
    if origin in _MANY and args:
        return args[0]
    if origin is tuple and args and isinstance(part, int):
        return args[0] if args[-1] is Ellipsis else args[part] if part < len(args) else None
    return None


def _branch(choices: list[Any], tag: str) -> Any:
    """The branch called `tag`: its own name, or the name inside "list[...]" or "function-after[...]"."""
    for choice in choices:
        if tag in _names(choice):
            return choice
    for choice in choices:
        origin = getattr(get_origin(members(choice)[0]), "__name__", None)
        if origin is not None and f"{origin}[" in tag:
            return choice
    words = set(re.findall(r"\w+", tag))
    return next((c for c in choices if getattr(members(c)[0], "__name__", None) in words), None)


def _names(choice: Any) -> set[str]:
    tags = (
        {m.tag for m in get_args(choice)[1:] if isinstance(m, Tag)}
        if get_origin(choice) is Annotated
        else set()
    )
    for only in members(choice):
        tags.add(getattr(only, "__name__", ""))
        for info in fields_of(only).values():
            if get_origin(info.annotation) is Literal:
                tags.update(map(str, get_args(info.annotation)))
    return tags


def fault_of(model: type[BaseModel], error: Mapping[str, Any]) -> Fault:
    """One entry of `ValidationError.errors()`, its path walked along the model."""
    raw: Loc = error["loc"]
    here: Any = model
    holder: Any = None
    loc: list[str | int] = []
    forks: list[Fork] = []
    at_key = False
    for i, part in enumerate(raw):
        if part == "[key]" and get_origin(members(holder)[0]) in _MAPS:
            at_key, here = True, (get_args(members(holder)[0]) or (None,))[0]
        elif len(choices := members(here)) > 1:
            forks.append(Fork(raw[:i], len(loc), str(part)))
            here = _branch(choices, str(part))
        elif not at_key:
            loc.append(part)
            holder, here = here, child(here, part)
    context = dict(error.get("ctx", {}))
    return Fault(
        error["type"], tuple(loc), at_key, holder, here, error["msg"], context, error["input"], tuple(forks)
    )


def settle(faults: Iterable[Fault], level: int = 0) -> list[Fault]:
    """Faults of one branch per union only: of the branch that fits best, or all branches as one fault."""
    kept: list[Fault] = []
    unions: dict[Loc, dict[str, list[Fault]]] = {}
    for fault in faults:
        if len(fault.forks) <= level:
            kept.append(fault)
            continue
        fork = fault.forks[level]
        unions.setdefault(fork.raw, {}).setdefault(fork.branch, []).append(fault)
    for branches in unions.values():
        kept += _best([settle(branch, level + 1) for branch in branches.values()], level)
    return kept


def _best(branches: list[list[Fault]], level: int) -> list[Fault]:
    # A branch that looked inside the value fits better than one that refused the value as a whole.
    inside = [b for b in branches if any(_looked_inside(f, level) for f in b)]
    if inside:
        return min(inside, key=lambda b: _misfit(b, level))
    every = [fault for branch in branches for fault in branch]
    if len(every) == 1:
        return every
    first = every[0]
    return [
        Fault(
            "any_of",
            first.loc,
            first.at_key,
            first.holder,
            None,
            "",
            {},
            first.given,
            first.forks,
            tuple(every),
        )
    ]


def _looked_inside(fault: Fault, level: int) -> bool:
    deeper = len(fault.loc) > fault.forks[level].depth
    return deeper or (fault.kind in _RIGHT_KIND and isinstance(fault.given, dict | list))


def _misfit(branch: list[Fault], level: int) -> int:
    """Number of faults; a wrong literal just below the union is the branch's own name and counts more."""
    own = [f for f in branch if f.kind == "literal_error" and len(f.loc) == f.forks[level].depth + 1]
    return len(branch) + 4 * len(own)
