"""One run of `build` or `check` over its files: goes on after a file that fails, and returns the worst code."""

from __future__ import annotations

import json
import os
import sys
import traceback
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TextIO

from . import pipeline
from .cli import DEBUG, FAILED, HOLDS, IMPOSSIBLE, UNUSABLE
from .export.errors import OutputError
from .spec.job import Job
from .spec.load import load
from .spec.messages import SpecError
from .terminal import CAUTION, coloured, job_text

Complain = Callable[[str], None]
# Their modules load the kernel, so they are looked up only once something else has loaded it.
_GEOMETRY = (("rillwright.solids.build", "GeometryError"), ("rillwright.solids.meshing", "MeshError"))


@dataclass(slots=True)
class Teller:
    """Gives the results: as text after each job, or as one JSON document at the end."""

    stream: TextIO
    as_json: bool
    several: bool
    _entries: list[dict[str, Any]] = field(default_factory=list)
    _texts: int = 0

    def result(self, path: Path, result: pipeline.Result) -> None:
        """A job that was checked or built."""
        files = _files(result.folder)
        if self.as_json:
            where = {"file": str(path), "folder": None if result.folder is None else str(result.folder)}
            self._entries.append({**where, "files": files, **result.as_dict()})
            return
        gap = "\n" if self._texts else ""
        self._texts += 1
        self.stream.write(gap + job_text(result, path, files, coloured(self.stream)) + "\n")
        self.stream.flush()

    def failure(self, path: Path, code: int, words: str) -> None:
        """A file that gave no result."""
        self._entries.append({"file": str(path), "exit": code, "errors": words.splitlines()})

    def close(self, built: bool) -> None:
        """The end of the run."""
        if self.as_json:
            document = self._entries if self.several else self._entries[0]
            self.stream.write(json.dumps(document, ensure_ascii=False, allow_nan=False, indent=2) + "\n")
        elif built:
            self.stream.write(f"\n{CAUTION}\n")


def check_all(files: Sequence[Path], tell: Teller, complain: Complain) -> int:
    """Check every file; returns the exit code."""
    worst = HOLDS
    for path in files:
        worst = max(worst, _one(path, tell, complain, lambda path=path: pipeline.check(path)))  # type: ignore[misc]
    tell.close(built=False)
    return worst


def build_all(files: Sequence[Path], out: Path | None, tell: Teller, complain: Complain) -> int:
    """Build every file into its folder; returns the exit code. Nothing is built where two jobs share a name."""
    worst, jobs = HOLDS, dict[Path, str]()
    owners: dict[str, list[Path]] = {}
    for path in files:
        code = _one(path, tell, complain, lambda path=path: _noted(path, owners, jobs))  # type: ignore[misc]
        worst = max(worst, code)
    twins = list(_twins(owners))
    if twins:
        for path, words in twins:
            complain(words)
            tell.failure(path, UNUSABLE, words)
        tell.close(built=False)
        return max(worst, UNUSABLE)
    for path, job in jobs.items():
        folder = Path("outputs", job) if out is None else out / job if len(files) > 1 else out
        run = lambda path=path, folder=folder: pipeline.build(path, folder, complain)  # type: ignore[misc]  # noqa: E731
        worst = max(worst, _one(path, tell, complain, run))
    tell.close(built=True)
    return worst
