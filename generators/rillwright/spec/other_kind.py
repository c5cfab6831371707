"""A file of one kind given where another is wanted: told as that, not key by key."""

from __future__ import annotations

from pydantic import BaseModel

from .branches import fields_of
from .messages import Problem
from .yaml_source import Source

# Key that only files of a kind begin with; what the file is, and what to do with it.
_KINDS = {
    "job": ("this is the parameter file of a job", "`rillwright build {path}` builds it, and a sweep may name it as base"),
    "sweep": ("this is a sweep file, which varies a job", "build its variants with `rillwright sweep {path}`"),
    "interface": ("this is a foot print", "name it in a job: under mounts of a plate, interface: {name}"),
}


def other_kind(source: Source, model: type[BaseModel]) -> Problem | None:
    """What to say of a file whose first word is that of another kind than the model's; None where it is none."""
    own = next((k for k in _KINDS if k in fields_of(model)), None)
    found = [k for k in _KINDS if k in source.data and k != own]
    if own is None or own in source.data or not found:
        return None
    what, do = _KINDS[found[0]]
    name = source.data[found[0]]
    return Problem(source.path, *source.where((found[0],), key=True), found[0], what, None,
                   do.format(path=source.path, name=name))  # fmt: skip
