"""Folders of variants: written whole or not at all, and known again by the hash of all that went in."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from ..export.folder import MANIFEST, staged
from ..export.manifest import manifest, write_json
from .order import FORMAT, Made, Order, program

RECORD = "variant.json"


def keep(out: Path, order: Order, made: Made) -> dict[str, Any]:
    """Write a built variant into out/NAME; returns its record. Raises OutputError."""
    record = {"format": FORMAT, "name": order.name, "made_of": order.made_of, "program": program(), "row": made.row}
    with staged(out / order.name) as folder:
        for name, data in made.files.items():
            path = folder / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)
        write_json(folder / RECORD, record)
        built = json.loads(made.files.get(MANIFEST, b"{}"))  # by the worker, of files of which some were left out
        (folder / MANIFEST).unlink(missing_ok=True)
        known = {"parameters": built.get("parameters"), "typed": built.get("typed")}
        write_json(folder / MANIFEST, manifest(order.name, folder / f"{order.name}.yaml", folder, **known))
    return record


def finished(out: Path, order: Order) -> dict[str, Any] | None:
    """Record of a variant that lies there whole and was made of just this; None for any other."""
    folder = out / order.name
    record = _read(folder / RECORD)
    if record is None or record.get("made_of") != order.made_of or not isinstance(record.get("row"), dict):
        return None
    entries = (_read(folder / MANIFEST) or {}).get("files")
    if not isinstance(entries, list) or not all(_there(folder, e) for e in entries):
        return None
    return record


def _there(folder: Path, entry: Any) -> bool:
    """Whether a file of the manifest is there in its size: reading them all again would take longer than it is worth."""
    try:
        return bool((folder / entry["name"]).stat().st_size == entry["bytes"])
    except (OSError, KeyError, TypeError):
        return False


def _read(path: Path) -> dict[str, Any] | None:
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return data if isinstance(data, dict) else None
