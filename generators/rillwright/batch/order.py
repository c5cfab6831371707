"""What goes to a worker and what comes back: plain values and the bytes of files, never objects of the kernel."""

from __future__ import annotations

import hashlib
import io
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

from ..canonical import PACKAGES
from ..export.manifest import versions
from ..spec.interface_files import FOLDER, interface_file
from .variants import Sweep, Variant

FORMAT = 1  # of variant.json; counts up when a field changes its meaning
BY_DEFAULT = ("step", "stl", "glb", "tables")  # what is cut from; pictures and papers of hundreds would take hours
_OWN = (".py", ".csv", ".json", ".yaml", ".typ")
PACKAGE = Path(__file__).resolve().parents[1]


@dataclass(frozen=True, slots=True)
class Order:
    """One variant to build: its parameter file as text, and the outputs wanted (names of `export.outputs`)."""

    name: str
    text: str
    outputs: tuple[str, ...]
    made_of: str  # SHA-256 of everything that shapes the result
    beside: tuple[tuple[str, str], ...] = ()  # foot prints that it reads: path from its file, and text


@dataclass(frozen=True, slots=True)
class Made:
    """What became of an order: files by name, and the row for the table; or what went wrong."""

    name: str
    files: dict[str, bytes] = field(default_factory=dict)
    row: dict[str, Any] = field(default_factory=dict)
    trouble: str = ""
    program: str = ""  # `program()` of whoever built it


def order(sweep: Sweep, variant: Variant, outputs: Sequence[str]) -> Order:
    """The order for one variant."""
    wanted = tuple(sorted(outputs))
    # No warnings: pydantic cannot tell which branch of a union a plain number belongs to.
    job = variant.job.model_dump_json(by_alias=True, warnings=False)
    beside = tuple(_beside(sweep, variant))
    goes_in = {"format": FORMAT, "program": program(), "outputs": wanted, "job": job, "beside": beside}
    made_of = hashlib.sha256(json.dumps(goes_in, sort_keys=True).encode()).hexdigest()
    return Order(variant.name, text_of(sweep, variant), wanted, made_of, beside)


def _beside(sweep: Sweep, variant: Variant) -> Iterator[tuple[str, str]]:
    """Foot prints that lie beside the base file, for wherever the variant is built."""
    names = {m.interface for plate in variant.job.plates.values() for m in plate.mounts}
    for name in sorted(names):
        file = interface_file(Path(sweep.base_path), name)
        if file is not None:
            yield f"{FOLDER}/{name}.yaml", file.read_text(encoding="utf-8")


@lru_cache(maxsize=1)
def program() -> str:
    """Hash of this program: its own files, and the versions of what shapes results; the same on every machine."""
    digest = hashlib.sha256(json.dumps([versions(), {p: _version(p) for p in PACKAGES}], sort_keys=True).encode())
    for path in sorted(p for p in PACKAGE.rglob("*") if p.suffix in _OWN and p.is_file()):
        digest.update(path.relative_to(PACKAGE).as_posix().encode() + b"\0" + path.read_bytes() + b"\0")
    return digest.hexdigest()


def _version(package: str) -> str | None:
    try:
        return version(package)
    except PackageNotFoundError:
        return None


def text_of(sweep: Sweep, variant: Variant) -> str:
    """The variant's whole parameter file, so that its folder can be built again as any job."""
    head = [f"# Variant of sweep {sweep.name}, from {Path(sweep.base).name}:"]
    head += [f"#   {path} = {json.dumps(value, ensure_ascii=True)}" for path, value in variant.settings.items()]
    return "\n".join([*head, dumped(variant.data)])


def dumped(data: dict[str, Any]) -> str:
    """Plain data as YAML that `spec` reads back as the same data; keys keep their order."""
    from ruamel.yaml import YAML

    yaml, stream = YAML(typ="safe", pure=True), io.StringIO()
    yaml.default_flow_style, yaml.width = None, 116
    yaml.allow_unicode = False  # else it writes line ends of other scripts bare, and they are read as blanks
    yaml.sort_base_mapping_type_on_output = False  # type: ignore[assignment]
    yaml.dump(data, stream)
    return stream.getvalue()
