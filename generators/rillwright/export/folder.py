"""Results appear whole or not at all: written aside, then moved into place in one step."""

from __future__ import annotations

import json
import os
import re
import secrets
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from .errors import DISK_FULL, OutputError, plainly
from .lock import locked
from .swap import put_in_place, sync_tree

MANIFEST = "manifest.json"
# Left behind by file managers; nobody's work.
_LITTER = {".DS_Store", "Thumbs.db", "desktop.ini", ".directory"}


@contextmanager
def staged(out: Path) -> Iterator[Path]:
    """Folder to write results into; it becomes `out` when the block ends without an exception.

    On any exception `out` is as it was and nothing is left beside it. What a killed run left is cleared by
    the next. The block has to write `manifest.json`, listing every file (see `export.manifest`): it marks
    the folder as ours, and a file it does not list is somebody's own work.
    Raises OutputError if another run is writing there, if `out` holds anything that is not ours, or if the
    disk is full or read-only; other exceptions of the block pass through.
    """
    out = _target(out)
    with plainly(out):
        out.parent.mkdir(parents=True, exist_ok=True)
    with locked(out):
        with plainly(out):
            _clear_leftovers(out)
            _refuse_foreign(out)
            new, aside = _beside(out, "new"), _beside(out, "old")
            new.mkdir()
        try:
            with plainly(out, DISK_FULL):
                yield new
            _require_listed(new)
            with plainly(out):
                _commit(new, out, aside)
        finally:
            # After the swap `new` or `aside` is the former folder; before it, the unfinished one.
            shutil.rmtree(new, ignore_errors=True)
            if out.exists():
                shutil.rmtree(aside, ignore_errors=True)


def _target(out: Path) -> Path:
    """Absolute path with links followed: the exchange has to happen where the folder really is."""
    resolved = out.resolve()
    if not resolved.name:
        raise OutputError(f"{out} cannot be a folder for results; give a replaceable one, e.g. outputs/x")
    return resolved


def _beside(out: Path, what: str) -> Path:
    """Unused hidden name on the same file system, with the process number for whoever looks."""
    return out.parent / f".{out.name}.{what}-{os.getpid()}-{secrets.token_hex(4)}"


def _clear_leftovers(out: Path) -> None:
    """Undo what a killed run left.

    We hold the lock, so whoever wrote these is dead even if a process of that number lives: numbers come
    again, in a container nearly always.
    """
    pattern = re.compile(rf"\.{re.escape(out.name)}\.(new|old)-\d+-[0-9a-f]{{8}}")
    found = [(m[1], out.parent / n) for n in os.listdir(out.parent) if (m := pattern.fullmatch(n))]
    for what, path in found:
        if what == "old" and not out.exists():
            path.rename(out)  # killed between the two renames: the old folder is the last whole one
        else:
            shutil.rmtree(path)


def _refuse_foreign(out: Path) -> None:
    """Only a folder that an earlier run made, and that holds nothing else, may be replaced."""
    if not out.exists():
        return
    if not out.is_dir():
        raise OutputError(f"{out} is a file; results need a folder, give another name")
    if all(path.name in _LITTER for path in out.iterdir()):
        return
    present = _files(out)
    if MANIFEST not in present:
        raise OutputError(
            f"{out} holds files but no {MANIFEST}, so no earlier run made it and it is not replaced; "
            "give another folder, or empty this one"
        )
    strange = sorted(present - _listed(out))
    if strange:
        raise OutputError(
            f"{out} holds files that no earlier run wrote ({_few(strange)}) and that would be lost; "
            "move them elsewhere and run again"
        )


def _require_listed(new: Path) -> None:
    """Hold the caller to the manifest: without it the next run would have to refuse the folder."""
    if not (new / MANIFEST).is_file():
        raise OutputError(f"no {MANIFEST} was written; write one last, it marks the folder as replaceable")
    missing = sorted(_files(new) - _listed(new))
    if missing:
        raise OutputError(f"{MANIFEST} does not list {_few(missing)}; write it after all other files")


def _files(folder: Path) -> set[str]:
    """Paths of all files below, relative, with forward slashes."""
    found = (p for p in folder.rglob("*") if p.is_symlink() or not p.is_dir())
    return {p.relative_to(folder).as_posix() for p in found if p.name not in _LITTER}


def _listed(folder: Path) -> set[str]:
    """Files that the folder's manifest names, and itself. Raises OutputError where it cannot be read."""
    try:
        entries = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))["files"]
        return {MANIFEST, *(str(entry["name"]) for entry in entries)}
    except (ValueError, KeyError, TypeError) as error:
        raise OutputError(
            f"{folder / MANIFEST} does not list the files of an earlier run, so the folder is not replaced; "
            "give another folder, or move this one away"
        ) from error


def _few(names: list[str]) -> str:
    rest = f" and {len(names) - 3} more" if len(names) > 3 else ""
    return ", ".join(names[:3]) + rest


def _commit(new: Path, out: Path, aside: Path) -> None:
    """Have it all on the disk first: a rename may reach the disk before the contents do."""
    _refuse_foreign(out)  # again: the run may have taken minutes
    if out.exists():
        shutil.copymode(out, new)
    sync_tree(new)
    put_in_place(new, out, aside)
