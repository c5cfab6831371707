"""A job that was built before from the same file by the same program: its answer and files, without reading the file.

Nothing heavy is imported here: where nothing has changed, neither models nor kernel are loaded.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from .canonical import digest, fingerprint
from .checks.kept import result_from
from .checks.result import Result
from .spec.interface_files import mentioned
from .store import Store

Say = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Recalled:
    """A whole build: name of the job, its answer as plain data (`checks.kept`), hashes of its files by name."""

    job: str
    result: dict[str, Any]
    files: dict[str, str]


def recall(path: Path, beside: bool, wanted: Sequence[str], store: Store) -> Recalled | None:
    """What an earlier build of this file gave; `beside`: the file lies in the folder of its results."""
    if store.folder is None:
        return None
    try:
        data = store.get(_key(path, beside, wanted))
    except OSError:
        return None  # whoever reads the file next says what is wrong with it
    return None if data is None else Recalled(**json.loads(data))


def remember(
    path: Path, beside: bool, wanted: Sequence[str], store: Store, folder: Path, result: dict[str, Any], key: str | None
) -> None:
    """Keep a whole build whose files now lie in `folder`. `key` is that of before the file was read: where the file has
    changed since, what was built is not what it says now, and is not kept."""
    if store.folder is None or key is None or key != key_of(path, beside, wanted, store):
        return
    files = {p.relative_to(folder).as_posix(): store.keep(p.read_bytes()) for p in _files(folder)}
    entry = {"job": result["job"], "result": result, "files": files}
    store.put(key, json.dumps(entry, ensure_ascii=False).encode())


def key_of(path: Path, beside: bool, wanted: Sequence[str], store: Store) -> str | None:
    """What a build of this file as it is now would be kept under; None where nothing is kept, or it cannot be read."""
    try:
        return None if store.folder is None else _key(path, beside, wanted)
    except OSError:
        return None


def again(path: Path, out: Path, wanted: Sequence[str], store: Store, say: Say) -> Result | None:
    """The answer of an earlier build with its files in place in `out`; None where it has to be built.

    A folder that holds exactly these files stays as it is; else they are written as a build writes them, which may
    raise OutputError.
    """
    known = recall(path, beside(path, out), wanted, store)
    if known is None:
        return None
    if _lies_in(known, out):
        say(f"{known.job}: nothing has changed, {out} stays as it is")
    elif _restore(known, out, store):
        say(f"{known.job}: was built before from the same file; put back into {out}")
    else:
        return None
    return result_from(known.result, out)


def _lies_in(recalled: Recalled, out: Path) -> bool:
    """Whether a folder holds exactly these files, byte for byte."""
    if not out.is_dir():
        return False
    found = {p.relative_to(out).as_posix(): p for p in _files(out)}
    if found.keys() != recalled.files.keys():
        return False
    try:
        return all(hashlib.sha256(p.read_bytes()).hexdigest() == recalled.files[name] for name, p in found.items())
    except OSError:
        return False


def _restore(recalled: Recalled, out: Path, store: Store) -> bool:
    """Put the files into `out`; False where the store no longer has them all."""
    held = {name: store.get(key) for name, key in recalled.files.items()}
    if any(data is None for data in held.values()):
        return False
    from .export.folder import staged

    with staged(out) as folder:
        for name, data in held.items():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            (folder / name).write_bytes(data or b"")
    return True


def beside(path: Path, out: Path) -> bool:
    """Whether a parameter file lies in the folder of its results, as a coupon's does."""
    return path.resolve().parent == out.resolve()


def _files(folder: Path) -> list[Path]:
    return [p for p in folder.rglob("*") if p.is_file()]


def _key(path: Path, beside: bool, wanted: Sequence[str]) -> str:
    text = path.read_bytes()
    also = [list(f) for f in mentioned(path, text)]
    return digest("build", fingerprint(), hashlib.sha256(text).hexdigest(), path.name, beside, list(wanted), also)
