"""Which files belong to a result, from which input and by which versions they were made."""

from __future__ import annotations

import hashlib
import json
import math
import platform
from collections.abc import Iterator, Sequence
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

from .. import __version__
from .folder import MANIFEST

_KERNEL_PACKAGES = ("cadquery-ocp", "ocp")  # one name on PyPI, the other on conda-forge


def manifest(
    job: str, input_path: Path, folder: Path, parameters: dict[str, Any] | None = None,
    also: Sequence[tuple[str, str]] = (), typed: dict[str, dict[str, Any]] | None = None,
) -> dict[str, Any]:
    """Contents of `manifest.json` for all files now in `folder`; to be written last.

    `parameters`: all keys of the parameter file with those left out filled in, so that two folders can be compared.

    `also`: name and sha256 of other files that the parameter file refers to. `typed`: what is written in it, with lines.

    The input is named without its folder, since paths say more about a machine than about a job. No time is
    kept: same input and versions, same manifest. Raises OSError for a file that cannot be read.
    """
    files = sorted(p for p in folder.rglob("*") if p.is_file() and p != folder / MANIFEST)
    return {
        "job": job,
        "input": {"name": input_path.name, "sha256": sha256(input_path)},
        **({"also": [{"name": name, "sha256": digest} for name, digest in also]} if also else {}),
        "versions": versions(),
        "files": [_entry(path, folder) for path in files],
        **({} if parameters is None else {"parameters": parameters}),
        **({} if typed is None else {"typed": typed}),
    }  # fmt: skip


def _entry(path: Path, folder: Path) -> dict[str, Any]:
    name = path.relative_to(folder).as_posix()
    return {"name": name, "bytes": path.stat().st_size, "sha256": sha256(path)}


def versions() -> dict[str, str | None]:
    """Versions of rillwright and what shapes its results; None for a package that is not installed."""
    return {
        "rillwright": __version__,
        "cadquery": _installed("cadquery"),
        "OCP": next((v for name in _KERNEL_PACKAGES if (v := _installed(name))), None),
        "python": platform.python_version(),
    }


def _installed(package: str) -> str | None:
    # Read from the package's metadata: importing the kernel only to ask its version would cost 2 s.
    try:
        return version(package)
    except PackageNotFoundError:
        return None


def sha256(path: Path) -> str:
    """SHA-256 of a file's contents, in hex."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def write_json(path: Path, data: Any) -> None:
    """Write JSON with sorted keys, in UTF-8, with a newline at the end: same data, same bytes.

    Raises ValueError for a number that is not finite, naming its place: JSON has no word for it.
    """
    for place, value in _numbers(data, path.name):
        if not math.isfinite(value):
            raise ValueError(f"{place} is {value}, which JSON cannot hold; use None for 'not known'")
    text = json.dumps(data, ensure_ascii=False, allow_nan=False, indent=2, sort_keys=True)
    path.write_text(text + "\n", encoding="utf-8", newline="\n")


def _numbers(data: Any, place: str) -> Iterator[tuple[str, float]]:
    """Every float in nested dicts and lists, with where it stands."""
    if isinstance(data, float):
        yield place, data
    elif isinstance(data, dict):
        for key, value in data.items():
            yield from _numbers(value, f"{place}: {key}" if place.endswith(".json") else f"{place}.{key}")
    elif isinstance(data, list | tuple):
        for index, value in enumerate(data):
            yield from _numbers(value, f"{place}[{index}]")
