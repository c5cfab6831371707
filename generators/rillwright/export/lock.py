"""One writer at a time for one folder of results, on one machine."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from .errors import OutputError, plainly

if sys.platform == "win32":  # not tried: no Windows machine at hand
    import msvcrt

    def _take(handle: int) -> None:
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
else:
    import fcntl

    def _take(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


@contextmanager
def locked(out: Path) -> Iterator[None]:
    """Hold the lock file beside `out` (`.<name>.lock`); the system lets it go when the process dies.

    Raises OutputError, with the other's process number, where another run holds it.
    """
    path = out.parent / f".{out.name}.lock"
    handle = _acquire(path, out)
    try:
        yield
    finally:
        if sys.platform == "win32":  # an open file cannot be removed there
            os.close(handle)
            with suppress(OSError):
                path.unlink()
        else:  # removed while still held, so that nobody takes a file that is about to go
            with suppress(OSError):
                path.unlink()
            os.close(handle)


def _acquire(path: Path, out: Path) -> int:
    """Open and lock the file; again if its former holder removed it between the two."""
    while True:
        with plainly(out):
            handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o644)
        try:
            _take(handle)
            if _still_there(handle, path):
                os.ftruncate(handle, 0)
                os.write(handle, str(os.getpid()).encode())
                return handle
        except (BlockingIOError, PermissionError) as error:
            other = os.pread(handle, 20, 0).decode(errors="replace") if sys.platform != "win32" else ""
            os.close(handle)
            raise OutputError(
                f"another run (process {other or 'unknown'}) is writing to {out}; "
                "wait until it is done, or give this run another folder"
            ) from error
        except BaseException:
            os.close(handle)
            raise
        os.close(handle)


def _still_there(handle: int, path: Path) -> bool:
    """Whether the path still names the file that was opened."""
    try:
        return os.path.samestat(os.fstat(handle), path.stat())
    except FileNotFoundError:
        return False
