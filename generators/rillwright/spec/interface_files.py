"""Where foot prints lie: `interfaces/NAME.yaml` beside the job file, then those of the package. Nothing heavy here."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from pathlib import Path

FOLDER = "interfaces"
# Data of the package, so that an installed program has them too. Not by importlib.resources, which gives this very folder
# (a test holds it) and costs a tenth of `check` to import.
SHIPPED = Path(__file__).resolve().parents[1] / FOLDER


def folders(job: Path) -> tuple[Path, ...]:
    """Folders of foot prints that a job may use, its own first."""
    own = job.parent / FOLDER
    return (own,) if own.resolve() == SHIPPED else (own, SHIPPED)


def shipped() -> list[str]:
    """Names of the foot prints that every job may use."""
    return sorted(f.stem for f in SHIPPED.glob("*.yaml"))


def interface_file(job: Path, name: str) -> Path | None:
    """The file of a foot print, None if there is none of this name."""
    return next((f for folder in folders(job) if (f := folder / f"{name}.yaml").is_file()), None)


def known(job: Path) -> list[str]:
    """Names of all foot prints that a job may use."""
    return sorted({f.stem for folder in folders(job) for f in folder.glob("*.yaml")})


def mentioned(job: Path, text: bytes) -> Iterator[tuple[str, str]]:
    """Place and sha256 of every foot print that a job file of this text may use: whose name stands in it.

    Text with escapes may hold a name that cannot be seen; then all count.
    """
    if b"mounts" not in text and b"\\" not in text:
        return
    for n, folder in enumerate(folders(job)):
        for f in sorted(folder.glob("*.yaml")):
            if f.stem.encode() in text or b"\\" in text:
                yield f"{n}/{f.name}", hashlib.sha256(f.read_bytes()).hexdigest()
