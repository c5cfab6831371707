"""One clock for all benchmarks. Seconds, the best of several runs: what else the machine does only ever adds."""

from __future__ import annotations

import resource
import time
from collections.abc import Callable
from typing import Any

CLOCKS = ("wall", "cpu")
_clock = "wall"


def use(clock: str) -> None:
    """`wall`, or `cpu` (user and system time of this process and its ended children) on a machine that is not idle."""
    global _clock
    assert clock in CLOCKS
    _clock = clock


def now() -> float:
    if _clock == "wall":
        return time.perf_counter()
    return sum(u.ru_utime + u.ru_stime for u in map(resource.getrusage, (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)))


def best(work: Callable[[], Any], runs: int) -> float:
    """Shortest of several runs, s."""
    times = []
    for _ in range(runs):
        start = now()
        work()
        times.append(now() - start)
    return min(times)
