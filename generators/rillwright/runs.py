"""One run of `build` or `check` over its files: goes on after a file that fails, and returns the worst code."""

from __future__ import annotations

import json
import os
import sys
import traceback
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, TextIO

from .checks.result import Result
from .exits import FAILED, HOLDS, IMPOSSIBLE, UNUSABLE
from .export.errors import OutputError
from .export.outputs import chosen
from .spec.messages import SpecError
from .terminal import CAUTION, coloured, job_text

if TYPE_CHECKING:
    from .hand import Hand
    from .stopping import Say
    from .store import Store

DEBUG = "RILLWRIGHT_DEBUG"
# Their modules load the kernel, so they are looked up only once something else has loaded it.
_GEOMETRY = (("rillwright.solids.build", "GeometryError"), ("rillwright.solids.meshing", "MeshError"))


@dataclass(slots=True)
class Teller:
    """Gives the results: as text after each job, or as one JSON document at the end."""

    stream: TextIO
    as_json: bool
    several: bool
    _entries: list[dict[str, Any]] = field(default_factory=list)
    _built: bool = False

    def result(self, path: Path, result: Result) -> None:
        """A job that was checked or built."""
        files = _files(result.folder)
        if not self.as_json:
            gap = "\n" if self._entries else ""
            self.stream.write(gap + job_text(result, path, files, coloured(self.stream)) + "\n")
            self.stream.flush()
        folder = None if result.folder is None else result.folder.as_posix()
        self._built |= folder is not None
        code = HOLDS if result.holds else FAILED
        self._entries.append({"file": str(path), "exit": code, "folder": folder, "files": files, **result.as_dict()})

    def failure(self, path: Path, code: int, words: str) -> None:
        """A file that gave no result."""
        self._entries.append({"file": str(path), "exit": code, "errors": words.splitlines()})

    def close(self) -> None:
        """The end of the run."""
        if self.as_json:
            document = self._entries if self.several else self._entries[0]
            self.stream.write(json.dumps(document, ensure_ascii=False, allow_nan=False, indent=2) + "\n")
        elif self._built:
            self.stream.write(f"\n{CAUTION}\n")


def check_all(files: Sequence[Path], tell: Teller, complain: Say) -> int:
    """Check every file; returns the exit code."""
    from .pipeline import check

    codes = [_one(path, partial(check, path, complain), tell, complain) for path in files]
    tell.close()
    return max(codes)


def _users_store() -> Store:
    from .store import open_store

    return open_store()


@dataclass(frozen=True, slots=True)
class How:
    """How to build. `only`: names of the outputs wanted, None for all. `store`: what earlier builds left. `workers`:
    processes at work, None for two where the machine has the cores."""

    only: Sequence[str] | None = None
    store: Store = field(default_factory=_users_store)
    workers: int | None = None

    @property
    def wanted(self) -> list[str]:
        return [o.name for o in chosen(self.only)]


def build_all(files: Sequence[Path], out: Path | None, tell: Teller, say: Say, how: How | None = None) -> int:
    """Build every file into its folder; returns the exit code. Nothing is built where two jobs share a name."""
    how = how or How()
    jobs, worst = _names(files, tell, say, how)
    twins = _twins(jobs)
    for path, words in twins:
        say(words)
        tell.failure(path, UNUSABLE, words)
    if not twins:
        folders = [Path("outputs", job) if out is None else out / job if len(files) > 1 else out for _, job in jobs]
        worst = max(worst, _each(list(zip([path for path, _ in jobs], folders, strict=True)), tell, say, how))
    tell.close()
    return max(worst, UNUSABLE) if twins else worst


def _each(places: Sequence[tuple[Path, Path]], tell: Teller, say: Say, how: How) -> int:
    """Build files into folders; returns the worst code."""
    from .hand import helping

    with helping(how.workers) as hand:
        codes = [_one(path, partial(_build, path, out, say, how, hand), tell, say) for path, out in places]
    return max(codes, default=HOLDS)


def _build(path: Path, out: Path, say: Say, how: How, hand: Hand) -> Result:
    from .recall import again
    from .stopping import patient

    if (had := again(path, out, how.wanted, how.store, say)) is not None:
        return had  # neither models nor kernel were loaded
    with patient(say) as told:
        hand.start()
        from .pipeline import build

        return build(path, out, told, how.only, how.store, hand)


def _one(path: Path, run: Callable[[], Result], tell: Teller, complain: Say) -> int:
    """One file; whatever goes wrong with it is told, and the others follow."""
    try:
        result = run()
    except Exception as error:
        code, words = trouble(error, path)
        complain(words)
        tell.failure(path, code, words)
        return code
    tell.result(path, result)
    return HOLDS if result.holds else FAILED


def _names(files: Sequence[Path], tell: Teller, complain: Say, how: How) -> tuple[list[tuple[Path, str]], int]:
    """Files that can be read, with the names of their jobs; and the worst code of the others."""
    jobs, worst = [], HOLDS
    for path in files:
        try:
            jobs.append((path, _name(path, how)))
        except SpecError as error:
            worst, words = trouble(error, path)
            complain(words)
            tell.failure(path, worst, words)
    return jobs, worst


def _name(path: Path, how: How) -> str:
    """Name of the job, which an earlier build may know without reading the file."""
    from .recall import recall

    known = recall(path, False, how.wanted, how.store)
    if known is not None:
        return known.job
    from .spec.job import Job
    from .spec.load import load

    return load(path, Job).model.job


def _twins(jobs: Sequence[tuple[Path, str]]) -> list[tuple[Path, str]]:
    """Files whose job has the name of an earlier one's, and what to say about each."""
    first: dict[str, Path] = {}
    out = []
    for path, job in jobs:
        if job not in first:
            first[job] = path
            continue
        what = f'{path}: its job is named "{job}", and so is that of {first[job]}; nothing was built'
        out.append((path, f"{what}. Give each job a name of its own, or build them one at a time"))
    return out


def trouble(error: Exception, path: Path | None = None) -> tuple[int, str]:
    """Exit code and words for whatever ended a run. A file's problems name their places themselves."""
    if isinstance(error, SpecError):
        return UNUSABLE, str(error)
    start = f"{path}: " if path is not None else ""
    if isinstance(error, OutputError):
        # The user's to mend, by another folder or some room: so it counts as usage, not as geometry.
        return UNUSABLE, f"{start}{error}"
    if isinstance(error, _geometry_errors()):
        return IMPOSSIBLE, f"{start}the geometry could not be made: {error}; nothing was written"
    if isinstance(error, ImportError):
        again = "install rillwright again with the packages it needs"
        return IMPOSSIBLE, f"{start}a package could not be loaded ({error}); {again}{_traced(error)}"
    what = f"{start}a fault of the program, not of the file: {type(error).__name__}: {error}"
    return IMPOSSIBLE, what + (_traced(error) or f"\nset {DEBUG}=1 and run again for the traceback to report with it")


def _geometry_errors() -> tuple[type[Exception], ...]:
    return tuple(getattr(sys.modules[module], name) for module, name in _GEOMETRY if module in sys.modules)


def _traced(error: Exception) -> str:
    wanted = os.environ.get(DEBUG, "") not in ("", "0")
    return "\n" + "".join(traceback.format_exception(error)).rstrip() if wanted else ""


def _files(folder: Path | None) -> list[str]:
    if folder is None:
        return []
    return sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())
