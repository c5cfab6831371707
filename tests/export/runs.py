"""Runs that the tests of the results folder start, here or in another process."""

from __future__ import annotations

import os
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

from rillwright.export import swap
from rillwright.export.folder import staged
from rillwright.export.manifest import manifest, write_json

__all__ = ["beside", "child", "contents", "failing", "fill", "made", "posix_only", "staged", "swap"]

posix_only = pytest.mark.skipif(sys.platform == "win32", reason="signals and locks of POSIX systems")


def fill(where: Path, text: str, *more: str) -> None:
    for name in ("plate.stl", "deep/report.html", *more):
        (where / name).parent.mkdir(exist_ok=True)
        (where / name).write_text(text)
    source = where.parent / "job.yaml"
    source.write_text("job: x\n")
    write_json(where / "manifest.json", manifest("x", source, where))
    source.unlink()


def made(out: Path, text: str) -> Path:
    with staged(out) as new:
        fill(new, text)
    return out


def failing(out: Path, error: BaseException) -> None:
    with staged(out) as new:
        fill(new, "second")
        raise error


def contents(out: Path) -> dict[str, str]:
    return {p.relative_to(out).as_posix(): p.read_text() for p in out.rglob("*") if p.is_file()}


def beside(out: Path) -> list[str]:
    return sorted(p.name for p in out.parent.iterdir() if p != out)


def child(code: str, out: Path) -> subprocess.Popen[str]:
    """Another process that runs the code with `out`, and the helpers of this file, at hand."""
    start = f"""
        import os, signal, sys, time
        from pathlib import Path
        sys.path.insert(0, {str(Path(__file__).parent)!r})
        from runs import fill, staged, swap
        out = Path({str(out)!r})
    """
    source = textwrap.dedent(start) + textwrap.dedent(code)
    path = os.pathsep.join(p for p in sys.path if p)
    pipe = subprocess.PIPE
    return subprocess.Popen(
        [sys.executable, "-c", source],
        stdin=pipe,
        stdout=pipe,
        text=True,
        env={**os.environ, "PYTHONPATH": path},
    )
