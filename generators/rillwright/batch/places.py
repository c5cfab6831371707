"""Where variants are built: processes of this machine, or the workers of a cluster."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from typing import Protocol

from ..workers.pool import Pool
from .run import Work
from .work import build_variant


@dataclass(frozen=True, slots=True)
class OpenPlace:
    """An executor at work, the function it is to call, and how many orders keep it busy."""

    executor: Executor
    work: Work
    ahead: int


class Workplace(Protocol):
    """Something that opens an executor for the time of a run."""

    @property
    def limit(self) -> float:
        """Seconds that one variant may take; 0: no limit."""

    def opened(self) -> AbstractContextManager[OpenPlace]:
        """The executor, for a `with` block."""


@dataclass(frozen=True, slots=True)
class Here:
    """`workers` processes of this machine."""

    workers: int
    limit: float

    @contextmanager
    def opened(self) -> Iterator[OpenPlace]:
        """On any exception, Ctrl-C too, the processes are ended at once."""
        pool = Pool(self.workers, self.limit)
        try:
            yield OpenPlace(pool, build_variant, 2 * self.workers)
        except BaseException:
            pool.shutdown(cancel_futures=True)
            raise
        pool.shutdown()
