"""What the stages of a build find again: keys from all that goes into a stage, answers from the store."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from .canonical import digest, fingerprint
from .store import Store


@dataclass(slots=True)
class Keeper:
    """A store, asked by meaning. The first of the `parts` of a key names the kind of thing."""

    store: Store
    found: Counter[str] = field(default_factory=Counter)  # by kind
    made: Counter[str] = field(default_factory=Counter)

    def __call__(self, parts: tuple[Any, ...], make: Callable[[], Any]) -> Any:
        """Plain data (see `checks.kept`)."""
        return json.loads(self.once(parts, lambda: json.dumps(make()).encode()))

    def once(self, parts: tuple[Any, ...], make: Callable[[], bytes]) -> bytes:
        """Bytes that were kept under these parts, else made now and kept."""
        data = self.find(parts)
        if data is None:
            data = make()
            self.keep(parts, data)
        return data

    def holds(self, parts: tuple[Any, ...]) -> bool:
        """Whether something is kept under these parts."""
        return self.store.holds(self._key(parts))

    def find(self, parts: tuple[Any, ...]) -> bytes | None:
        """Bytes that were kept under these parts."""
        if self.store.folder is None:
            return None
        data = self.store.get(self._key(parts))
        if data is not None:
            self.found[parts[0]] += 1
        return data

    def keep(self, parts: tuple[Any, ...], data: bytes) -> None:
        """Keep bytes under these parts."""
        self.made[parts[0]] += 1
        if self.store.folder is not None:
            self.store.put(self._key(parts), data)

    def find_files(self, parts: tuple[Any, ...]) -> dict[str, bytes] | None:
        """Files by name that were kept under these parts, None unless every one is there."""
        listed = self.find(parts)
        files = {} if listed is None else {name: self.store.get(key) for name, key in json.loads(listed).items()}
        whole = {name: data for name, data in files.items() if data is not None}
        return whole if listed is not None and len(whole) == len(files) else None

    def keep_files(self, parts: tuple[Any, ...], files: dict[str, bytes]) -> None:
        """Keep files under these parts, each once however many lists name it."""
        if self.store.folder is not None:
            self.keep(parts, json.dumps({name: self.store.keep(data) for name, data in files.items()}).encode())

    def _key(self, parts: tuple[Any, ...]) -> str:
        return digest(fingerprint(), *parts)
