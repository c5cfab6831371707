"""Results kept on this machine by the hash of all that went into them: files of bytes, each with its own checksum.

Safe with several processes, since an entry appears by one rename and is the same whoever writes it; safe against
damage, since an entry whose checksum is wrong counts as missing and is thrown away. It never stops a run.
"""

from __future__ import annotations

import hashlib
import os
import secrets
import time
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

PLACE, LIMIT = "RILLWRIGHT_CACHE", "RILLWRIGHT_CACHE_MB"
OFF = "off"
DEFAULT_MB = 2000.0
LAYOUT = "1"  # of the folder; counts up when it changes
STALE = 3600.0  # s after which an unfinished file is nobody's any more
_DIGEST = hashlib.sha256().digest_size
_LOW = 0.8  # share of the limit that is left after clearing out


@dataclass(slots=True)
class Store:
    """Entries below a folder. `folder` None: nothing is kept and nothing found. `limit` in bytes."""

    folder: Path | None
    limit: int
    trouble: str = ""  # why nothing is kept any more, where something went wrong
    hits: int = 0
    misses: int = 0
    _written: int = field(default=-1)  # bytes since the last look at the folder's size; −1: never looked

    def get(self, key: str) -> bytes | None:
        """The bytes kept under a key (hex), None where there are none or they are damaged."""
        if self.folder is None:
            return None
        data = self._read(self._path(key))
        self.hits, self.misses = self.hits + (data is not None), self.misses + (data is None)
        return data

    def holds(self, key: str) -> bool:
        """Whether there is an entry under a key; it may still prove damaged."""
        return self.folder is not None and self._path(key).is_file()

    def _read(self, path: Path) -> bytes | None:
        try:
            whole = path.read_bytes()
        except OSError:
            return None
        if hashlib.sha256(memoryview(whole)[_DIGEST:]).digest() != whole[:_DIGEST]:
            with suppress(OSError):
                path.unlink()
            return None
        with suppress(OSError):
            os.utime(path)  # what was used last is thrown away last
        return whole[_DIGEST:]

    def put(self, key: str, data: bytes) -> None:
        """Keep bytes under a key; a full or read-only disk ends the keeping, not the run."""
        if self.folder is None:
            return
        path = self._path(key)
        new = path.with_name(f".new-{os.getpid()}-{secrets.token_hex(4)}")
        try:
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            try:
                with new.open("wb") as file:
                    file.write(hashlib.sha256(data).digest())
                    file.write(data)
                new.replace(path)
            finally:
                new.unlink(missing_ok=True)
        except OSError as error:
            self.trouble = f"nothing more is kept in {self.folder} ({error.strerror}); {PLACE} moves it or switches it off"
            self.folder = None
            return
        self._written = max(self._written, 0) + len(data) if self._written >= 0 else -1
        if self._written < 0 or self._written > self.limit / 50:
            self._written = 0
            self.clear_out()

    def keep(self, data: bytes) -> str:
        """Keep bytes under the hash of themselves; returns the key."""
        key = hashlib.sha256(data).hexdigest()
        if self.folder is not None and not self._path(key).is_file():
            self.put(key, data)
        return key

    def _path(self, key: str) -> Path:
        assert self.folder is not None
        return self.folder / LAYOUT / key[:2] / key

    def clear_out(self) -> None:
        """Throw away what was not used for longest until the size limit is met, and what killed runs left."""
        if self.folder is None:
            return
        found: list[tuple[float, int, str]] = []
        for where, _, names in os.walk(self.folder / LAYOUT):
            for name in names:
                path = os.path.join(where, name)
                with suppress(OSError):
                    seen = os.stat(path)
                    if name.startswith(".") and time.time() - seen.st_mtime > STALE:
                        os.unlink(path)
                    else:
                        found.append((seen.st_mtime, seen.st_size, path))
        size = sum(entry[1] for entry in found)
        wanted = size if size <= self.limit else self.limit * _LOW
        for _, length, path in sorted(found):
            if size <= wanted:
                break
            with suppress(OSError):
                os.unlink(path)
                size -= length


def open_store(where: str | None = None) -> Store:
    """The store at `where`, else where the environment says, else in the user's cache folder; `off`: none."""
    place = where or os.environ.get(PLACE, "")
    if place == OFF:
        return Store(None, 0)
    if not place:
        from platformdirs import user_cache_dir

        place = user_cache_dir("rillwright", appauthor=False)
    return Store(Path(place).expanduser(), int(_limit_mb() * 1e6))


def _limit_mb() -> float:
    try:
        return max(0.0, float(os.environ.get(LIMIT) or DEFAULT_MB))
    except ValueError:
        return DEFAULT_MB
