"""The file that `rillwright new` writes."""

from __future__ import annotations

import re
from pathlib import Path

TEMPLATE = Path(__file__).parent / "spec" / "starter.yaml"
_LINE = "job: starter\n"


class StarterError(Exception):
    """A starter file could not be written: says which and why."""


def starter_text(name: str) -> str:
    """A commented parameter file of a job called `name`. Raises StarterError for a name no job can have."""
    from .spec.kinds import NAME_WORDS
    from .spec.messages import shown
    from .spec.quantity import NAME_LENGTH, NAME_PATTERN

    # fullmatch, for `$` would let a line end through.
    if not re.fullmatch(NAME_PATTERN, name) or len(name) > NAME_LENGTH:
        raise StarterError(f"NAME {NAME_WORDS} (got {shown(name)})")
    text = TEMPLATE.read_text(encoding="utf-8")
    assert text.count(_LINE) == 1
    text = text.replace(_LINE, f"job: {name}\n")
    return text.replace("starter.yaml", f"{name}.yaml").replace("outputs/starter", f"outputs/{name}")


def write_starter(name: str, folder: Path) -> Path:
    """Write NAME.yaml into a folder; raises StarterError rather than write over a file."""
    text, path = starter_text(name), folder / f"{name}.yaml"
    try:
        with path.open("x", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
    except FileExistsError:
        raise StarterError(f"{path} is already there and is not written over; take another name") from None
    except OSError as error:
        raise StarterError(f"{path} cannot be written: {error.strerror or error}") from None
    return path
