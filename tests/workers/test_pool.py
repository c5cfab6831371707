"""Worker processes that die, hang or refuse cost the one call they had."""

from __future__ import annotations

import math
import os
import signal
import sys
import time
from collections.abc import Iterator

import numpy as np
import pytest

from rillwright.workers.memory import peak_mb
from rillwright.workers.pool import OutOfTime, Pool, WorkerLost


@pytest.fixture
def pool() -> Iterator[Pool]:
    with Pool(1, limit=20) as made:
        yield made


def test_one_process_answers_many_calls(pool: Pool) -> None:
    numbers = {pool.submit(os.getpid).result() for _ in range(3)}
    assert len(numbers) == 1
    assert numbers != {os.getpid()}
    assert list(pool.map(math.sqrt, [4, 9])) == [2, 3]
    assert pool.processes() == list(numbers)


def test_what_a_call_raises_comes_back_and_the_process_lives(pool: Pool) -> None:
    before = pool.submit(os.getpid).result()
    with pytest.raises(ValueError, match="math domain"):
        pool.submit(math.sqrt, -1).result()
    with pytest.raises(RuntimeError, match="SystemExit: 3"):
        pool.submit(sys.exit, 3).result()
    assert pool.submit(os.getpid).result() == before


def test_what_is_printed_does_not_get_between_the_messages(pool: Pool) -> None:
    assert pool.submit(os.write, 1, b"noise from the kernel").result() == 21
    assert pool.submit(print, "more").result() is None
    assert pool.submit(math.sqrt, 16).result() == 4


@pytest.mark.parametrize(
    ("call", "words"),
    [((os._exit, 3), "ended with code 3"), ((os.abort,), "SIGABRT"), ((os.kill, 0, signal.SIGKILL), "signal 9")],
)
def test_a_process_that_dies_costs_one_call(pool: Pool, call: tuple, words: str) -> None:
    before = pool.submit(os.getpid).result()
    lost, later = pool.submit(*call), pool.submit(os.getpid)
    with pytest.raises(WorkerLost, match=words):
        lost.result()
    assert later.result() != before


def test_a_process_killed_between_calls_costs_none(pool: Pool) -> None:
    os.kill(pool.submit(os.getpid).result(), signal.SIGKILL)
    deadline = time.monotonic() + 5
    while pool.processes() and time.monotonic() < deadline:
        time.sleep(0.01)
    assert pool.submit(math.sqrt, 25).result() == 5


def test_a_process_that_grew_too_large_makes_room_for_a_fresh_one() -> None:
    with Pool(1, limit=20, most_mb=1) as pool:
        numbers = [pool.submit(os.getpid).result() for _ in range(3)]
        assert len(set(numbers)) == 3
        with pytest.raises(ValueError, match="math domain"):
            pool.submit(math.sqrt, -1).result()


def test_a_call_that_hangs_is_ended_and_the_rest_goes_on() -> None:
    with Pool(1, limit=0.5) as pool:
        hangs, later = pool.submit(time.sleep, 60), pool.submit(math.sqrt, 36)
        with pytest.raises(OutOfTime, match=r"longer than 0\.5 s"):
            hangs.result()
        assert later.result() == 6


def test_a_pool_that_is_given_up_ends_its_processes_at_once() -> None:
    pool = Pool(1)
    running = pool.submit(time.sleep, 60)
    waiting = pool.submit(time.sleep, 60)
    while not running.running():
        time.sleep(0.01)
    pool.shutdown(cancel_futures=True)
    assert isinstance(running.exception(), WorkerLost)
    assert waiting.cancelled()
    with pytest.raises(RuntimeError, match="no more calls"):
        pool.submit(math.sqrt, 1)


def test_a_process_is_not_charged_with_what_its_parent_held(pool: Pool) -> None:
    held = np.ones(200_000_000, dtype=np.uint8)  # 190 MiB here
    ours, theirs = peak_mb(), pool.submit(peak_mb).result()
    assert ours is not None
    assert theirs is not None
    assert theirs < held.nbytes / 2**20 < ours
