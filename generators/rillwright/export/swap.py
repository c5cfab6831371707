"""Put a finished folder in the place of an older one."""

from __future__ import annotations

import ctypes
import errno
import os
import sys
from pathlib import Path

_AT_FDCWD = -100  # linux/fcntl.h
_RENAME_EXCHANGE = 2  # linux/fs.h, renameat2(2)


def put_in_place(new: Path, out: Path, aside: Path) -> None:
    """Make `new` be `out`. Afterwards the former `out`, if there was one, is at `new` or at `aside`.

    One step for any onlooker where the system can exchange two folders; otherwise two renames, and a run that
    is killed between them leaves the old folder at `aside` for the next one to put back. Raises OSError, with
    the old folder back in its place.
    """
    if not out.exists():
        new.rename(out)
    elif not exchange(new, out):
        out.rename(aside)
        try:
            new.rename(out)
        except BaseException:
            aside.rename(out)
            raise
    sync_folder(out.parent)


def exchange(one: Path, other: Path) -> bool:
    """Swap two paths in one step; False where the system cannot. Raises OSError for other failures."""
    if not sys.platform.startswith("linux"):
        return False
    library = ctypes.CDLL(None, use_errno=True)
    if not hasattr(library, "renameat2"):  # C library before glibc 2.28
        return False
    done = library.renameat2(
        _AT_FDCWD, os.fsencode(one), _AT_FDCWD, os.fsencode(other), ctypes.c_uint(_RENAME_EXCHANGE)
    )
    if done == 0:
        return True
    code = ctypes.get_errno()
    if code in (errno.ENOSYS, errno.EINVAL):
        return False
    raise OSError(code, os.strerror(code), str(one), None, str(other))


def sync_tree(folder: Path) -> None:
    """Have the folder and all below it on the disk. Raises OSError, also for a disk found full only now."""
    for where, _, files in os.walk(folder):
        for name in files:
            # Windows wants write access for this; elsewhere a file may be read-only.
            handle = os.open(Path(where) / name, os.O_RDWR if sys.platform == "win32" else os.O_RDONLY)
            try:
                os.fsync(handle)
            finally:
                os.close(handle)
        sync_folder(Path(where))


def sync_folder(folder: Path) -> None:
    """Have the entries of a folder on the disk."""
    if sys.platform == "win32":  # folders cannot be opened there, and need not be
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
