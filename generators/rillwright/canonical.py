"""One spelling in bytes for placed geometry and models, and the versions of all that turns it into results."""

from __future__ import annotations

import dataclasses
import hashlib
import json
import os
import platform
import re
import sys
from collections import OrderedDict
from functools import lru_cache
from pathlib import Path
from typing import Any

# What shapes results; a test holds that every dependency of the package is here.
PACKAGES = (
    "cadquery", "cadquery-ocp", "ocp", "numpy", "scipy", "pydantic", "ruamel.yaml", "trimesh", "manifold3d", "python-fcl",
    "shapely", "ezdxf", "typst", "rectpack", "platformdirs", "secondarycoolantprops", "vtk", "pillow",
)  # fmt: skip


def digest(*parts: Any) -> str:
    """SHA-256 in hex of dataclasses, models, mappings, sequences and plain values, whole: every field counts.

    Raises TypeError for anything else, so that nothing is left out unseen.
    """
    text = ",".join(_text(p) for p in parts)
    return hashlib.sha256(f"[{text}]".encode()).hexdigest()


# Texts of what was spelled last, each with the object itself, so that its number stays its own. A layout stands in dozens
# of keys of one build, and takes 8 ms.
_spelled: OrderedDict[int, tuple[Any, str]] = OrderedDict()
_REMEMBERED = 64


def _text(part: Any) -> str:
    """A part's spelling; that of a frozen record is looked up where it is the very same one."""
    if not (dataclasses.is_dataclass(part) and type(part).__dataclass_params__.frozen):  # type: ignore[union-attr]
        return json.dumps(_plain(part), ensure_ascii=True, separators=(",", ":"))
    known = _spelled.get(id(part))
    if known is None:
        known = (part, json.dumps(_plain(part), ensure_ascii=True, separators=(",", ":")))
        _spelled[id(part)] = known
        if len(_spelled) > _REMEMBERED:
            _spelled.popitem(last=False)
    return known[1]


def _plain(value: Any) -> Any:
    if value is None or isinstance(value, str | int | float):
        return value
    if isinstance(value, tuple | list):
        return [_plain(v) for v in value]
    if isinstance(value, dict):
        return {"dict": [[_plain(k), _plain(v)] for k, v in value.items()]}  # in its order, which files may follow
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return [type(value).__name__, *(_plain(getattr(value, name)) for name in _fields(type(value)))]
    fields = getattr(type(value), "model_fields", None)
    if fields is not None:
        return [type(value).__name__, *([name, _plain(getattr(value, name))] for name in fields)]
    if isinstance(value, set | frozenset):
        return {"set": sorted(json.dumps(_plain(v)) for v in value)}
    raise TypeError(f"no canonical form for {type(value).__name__}")


@lru_cache(maxsize=256)
def _fields(kind: type) -> tuple[str, ...]:
    return tuple(f.name for f in dataclasses.fields(kind))


@lru_cache(maxsize=1)
def fingerprint() -> str:
    """Hash of the package's own files, of the versions of what it stands on, and of the machine's kind."""
    package = Path(__file__).parent
    found = hashlib.sha256()
    for where, folders, names in os.walk(package):
        folders[:] = sorted(f for f in folders if f != "__pycache__")
        for name in sorted(names):
            found.update(f"{os.path.relpath(where, package)}/{name}\0".encode())
            with open(os.path.join(where, name), "rb") as file:
                found.update(hashlib.sha256(file.read()).digest())
    machine = (platform.machine(), sys.platform, sys.version, *_installed())
    return hashlib.sha256(json.dumps([found.hexdigest(), *machine]).encode()).hexdigest()


def _installed() -> list[str]:
    """Names and versions of the packages, from the names of their folders: reading each one's metadata takes longer."""
    wanted = {re.sub(r"[-_.]+", "-", p).lower() for p in PACKAGES}
    found = []
    for folder in dict.fromkeys(sys.path):
        try:
            names = os.listdir(folder or ".")
        except OSError:
            continue
        for name in names:
            stem, kind = os.path.splitext(name)
            if kind in (".dist-info", ".egg-info") and re.sub(r"[-_.]+", "-", stem.split("-")[0]).lower() in wanted:
                found.append(stem)
    return sorted(found)
