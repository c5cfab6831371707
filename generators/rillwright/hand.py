"""Processes that do their share of a build, where the machine has cores for them.

They load the kernel while the job is still being placed. Nothing depends on them: see `station`.
"""

from __future__ import annotations

import math
import os
import pickle
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from .station import Order, Station, Task, serve, warm
from .store import Store
from .workers.pool import Pool
from .workers.share import work_through

if TYPE_CHECKING:
    from .export.bundle import Bundle

PATIENCE = 900.0  # s for a helper's share of one round; a plate of thousands of holes takes a minute
MOST = 4  # processes unless more are asked for: each takes some 600 MiB, and few jobs keep more of them busy
_EXCHANGE = 4 * 10**9  # bytes that one build may lay down for the others


def cores() -> int:
    """Processors that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


@dataclass(slots=True)
class Hand:
    """The helpers of one run over its files; with `helpers` 0 every method does without."""

    helpers: int = 0
    _pool: Pool | None = None
    _scratch: TemporaryDirectory[str] | None = None
    _rounds: int = 0
    _order: bytes = b""

    def start(self) -> None:
        """Have the helpers load what they will need. Called again it does nothing."""
        if self.helpers and self._pool is None:
            try:
                self._scratch = TemporaryDirectory(prefix="rillwright-", ignore_cleanup_errors=True)
                self._pool = Pool(self.helpers, PATIENCE, math.inf)  # they end with the run, however much they hold
            except OSError:  # no room for temporary files
                self.helpers = 0
                return
            for _ in range(self.helpers):
                self._pool.submit(warm)

    def store(self, users: Store) -> Store:
        """Where all processes lay down what they made: the user's store, else one that ends with the run."""
        if self._scratch is None or users.folder is not None:
            return users
        return Store(Path(self._scratch.name) / "exchange", _EXCHANGE)

    def take_up(self, bundle: Bundle, store: Store, step: bool) -> None:
        """Tell them of a job that was placed; `step`: whether STEP files are wanted."""
        self._order = b""
        if self._pool is not None and store.folder is not None:
            order = Order(bundle.job, bundle.layout, bundle.folder, store.folder, store.limit, step)
            self._order = pickle.dumps(order, pickle.HIGHEST_PROTOCOL)

    def share(self, tasks: Sequence[Task], station: Station, first: Callable[[], None] = lambda: None) -> bool:
        """Have tasks done by all processes, what each makes kept in the store; whether there was any to do. `first`: what
        this one does before it takes a task. Without helpers nothing is done. Raises whatever our own tasks raise."""
        tasks = station.missing(tasks) if self._order else []
        if self._pool is None or self._scratch is None or not tasks:
            return False
        self._rounds += 1
        claims = Path(self._scratch.name) / f"round-{self._rounds}"
        try:
            claims.mkdir()
        except OSError:
            self._order = b""
            return False
        order = (self._order, tasks, claims, station.bundle.result)
        theirs = [self._pool.submit(serve, *order) for _ in range(min(self.helpers, len(tasks)))]
        first()
        work_through(tasks, claims, station.do)
        for one in theirs:
            if one.exception() is not None:
                self._order = b""  # what they had not done is done by the build itself
        return True

    def close(self) -> None:
        """End the processes."""
        if self._pool is not None:
            self._pool.shutdown(cancel_futures=True)
        if self._scratch is not None:
            with suppress(OSError):
                self._scratch.cleanup()


@contextmanager
def helping(workers: int | None = None) -> Iterator[Hand]:
    """Helpers for the time of the block, started when first needed. `workers`: processes with this one; None: one for each
    core, up to `MOST`."""
    hand = Hand((min(cores(), MOST) if workers is None else workers) - 1)
    try:
        yield hand
    finally:
        hand.close()
