"""What goes wrong while results are written, in plain words."""

from __future__ import annotations

import errno
import shutil
from collections.abc import Collection, Iterator
from contextlib import contextmanager
from pathlib import Path

DISK_FULL = (errno.ENOSPC, errno.EDQUOT)


class OutputError(Exception):
    """Results could not be written; the message says what, where and what to do. Former results are whole."""


class CannotWrite(Exception):
    """An optional file cannot be made on this machine or for this job; the message says why in one line."""


@contextmanager
def plainly(out: Path, codes: Collection[int] = tuple(errno.errorcode)) -> Iterator[None]:
    """Turn system errors with these numbers into an OutputError about `out`; others pass through."""
    try:
        yield
    except OSError as error:
        if error.errno not in codes:
            raise
        if error.errno in DISK_FULL:
            there = next(p for p in (out, *out.parents) if p.exists())
            free = shutil.disk_usage(there).free / 1e6
            what = f"the disk or quota is full ({free:.0f} MB free); make room and run again"
        else:
            what = f"{error.strerror} ({error.filename or out}); check the path and the permissions"
        raise OutputError(f"results could not be written to {out}: {what}") from error
