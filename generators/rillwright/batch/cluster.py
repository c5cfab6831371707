"""A dask cluster as the place where variants are built (extra `rillwright[cluster]`).

Each worker of the cluster keeps a pool of processes of its own and hands every variant on to it: so a variant that
hangs, or kills its process, ends that process alone, as it does here.
"""

from __future__ import annotations

import atexit
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial

from ..export.errors import OutputError
from ..workers.pool import Pool
from .order import Made, Order, program
from .places import OpenPlace
from .work import build_variant

ANSWER = 15.0  # s that a scheduler has to answer in, and to have a worker
_AHEAD = 2  # orders on the way for each thread of the cluster
_pools: dict[float, Pool] = {}
_lock = threading.Lock()


class ClusterError(OutputError):
    """A cluster that cannot be used; the message says why and what to do."""


@dataclass(frozen=True, slots=True)
class Cluster:
    """The workers of the scheduler at `address`."""

    address: str
    limit: float

    @contextmanager
    def opened(self) -> Iterator[OpenPlace]:
        """Raises ClusterError where no cluster answers, or its workers run another rillwright."""
        try:
            from distributed import Client
        except ImportError:
            raise ClusterError(
                "--scheduler needs the package distributed; install it with: pip install 'rillwright[cluster]'"
            ) from None
        try:
            client = Client(self.address, timeout=ANSWER, set_as_default=False)
        except (OSError, ValueError, ImportError) as error:
            what = " ".join(str(error).split()) or type(error).__name__
            raise ClusterError(f"no scheduler answers at {self.address} ({what}); start one with: dask scheduler") from None
        with client:
            _require_same(client)
            threads = sum(client.nthreads().values())
            executor = client.get_executor(pure=False, retries=0)
            yield OpenPlace(executor, partial(build_there, limit=self.limit), _AHEAD * threads)


def _require_same(client: object) -> None:
    """Workers there, and all with our own program: others would give other results under the same hash."""
    try:
        client.wait_for_workers(1, timeout=ANSWER)  # type: ignore[attr-defined]
    except TimeoutError:
        raise ClusterError("the scheduler has no worker; start some with: dask worker ADDRESS") from None
    theirs = client.run(program, on_error="return")  # type: ignore[attr-defined]
    other = [worker for worker, hashed in theirs.items() if hashed != ours()]
    if other:
        raise ClusterError(
            f"{len(other)} of {len(theirs)} workers lack rillwright or run another version of it ({other[0]}); "
            "install there what is installed here"
        )


def ours() -> str:
    """What our own program is, as `program` tells it on a worker."""
    return program()


def build_there(order: Order, limit: float) -> Made:
    """On a worker of the cluster: one variant, in a process that is kept for the next one."""
    return _pool(limit).submit(build_variant, order).result()


def _pool(limit: float) -> Pool:
    with _lock:
        if limit not in _pools:
            from distributed import get_worker

            _pools[limit] = Pool(get_worker().state.nthreads, limit)
            if len(_pools) == 1:
                atexit.register(_end)
        return _pools[limit]


def _end() -> None:
    for pool in _pools.values():
        pool.shutdown(wait=False, cancel_futures=True)
