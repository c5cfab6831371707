"""Worker processes that are used again and again, behind the interface of `concurrent.futures.Executor`.

The pool of the standard library breaks as a whole when one of its processes dies. Here each process has a thread that
watches over it: a process that dies or takes too long costs the one call it had, and the next call gets a new one.
They are started as plain programs, so they work inside any other program, a cluster's worker among them.
"""

from __future__ import annotations

import os
import pickle
import queue
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable
from concurrent.futures import Executor, Future
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Any, TypeVar

from .frames import packed, receive, send

T = TypeVar("T")
CHILD = (sys.executable, "-m", "rillwright.workers.child")
NO_LIMIT = 0.0
MOST_MB = 1024.0  # MiB: a process that held more makes room for a fresh one


class WorkerLost(RuntimeError):
    """The process died during the call."""


class OutOfTime(WorkerLost):
    """The call took longer than the limit, and its process was ended."""


@dataclass(slots=True)
class Call:
    """One call that waits, with the future that its answer goes to."""

    future: Future[Any]
    message: bytes


@dataclass(slots=True)
class Worker:
    """One process, and how to talk to it."""

    process: subprocess.Popen[bytes]
    noise: IO[bytes]  # what it writes to stderr; read when it has died
    late: bool = False

    @classmethod
    def started(cls, scratch: str, most_mb: float) -> Worker:
        """A new process in a session of its own: Ctrl-C at the terminal is the parent's to handle."""
        noise = tempfile.TemporaryFile()  # noqa: SIM115  lives as long as the process
        process = subprocess.Popen(
            [*CHILD, f"{most_mb:g}"], stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=noise,
            start_new_session=True, env=_environment(scratch),
        )  # fmt: skip
        return cls(process, noise)

    def call(self, message: bytes, limit: float) -> Any:
        """Answer to a message; raises what the call raised, WorkerLost or OutOfTime."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        timer = threading.Timer(limit, self._too_late) if limit > 0 else None
        if timer is not None:
            timer.daemon = True
            timer.start()
        try:
            send(self.process.stdin, message)  # type: ignore[arg-type]
            good, answer, grown = pickle.loads(receive(self.process.stdout))  # type: ignore[arg-type]
        except (EOFError, OSError):
            self.end()
            if self.late:
                raise OutOfTime(f"took longer than {limit:g} s, so its process was ended") from None
            raise WorkerLost(f"its process {self._death()}") from None
        finally:
            if timer is not None:
                timer.cancel()
                timer.join()
            if self.late:  # also where the answer came at the very last moment
                self.end()
        if grown:
            self.end()
        value = pickle.loads(answer)
        if not good:
            raise value
        return value

    def _too_late(self) -> None:
        self.late = True
        self.process.kill()

    def _death(self) -> str:
        code = self.process.returncode
        self.noise.seek(0)
        said = self.noise.read()[-4000:].decode(errors="replace").strip().splitlines()
        last = f"; its last words: {said[-1][:200]}" if said else ""
        if code < 0:
            with suppress(ValueError):
                return f"was killed by signal {-code} ({signal.Signals(-code).name}){last}"
        return f"ended with code {code}{last}"

    @property
    def dead(self) -> bool:
        return self.process.poll() is not None

    def end(self) -> None:
        """End the process and wait until it is gone."""
        self.process.kill()
        self.process.wait()
        for stream in (self.process.stdin, self.process.stdout):
            with suppress(OSError):
                if stream is not None:
                    stream.close()


class Pool(Executor):
    """`workers` processes; a call may take `limit` seconds (0: as long as it likes)."""

    def __init__(self, workers: int, limit: float = NO_LIMIT, most_mb: float = MOST_MB) -> None:
        self.limit, self.most_mb = limit, most_mb
        self._calls: queue.SimpleQueue[Call | None] = queue.SimpleQueue()
        self._scratch = tempfile.TemporaryDirectory(prefix="rillwright-", ignore_cleanup_errors=True)
        self._lock = threading.Lock()
        self._over = False
        self._slots = [_Slot(self) for _ in range(workers)]

    def submit(self, fn: Callable[..., T], /, *args: Any, **kwargs: Any) -> Future[T]:
        """Queue a call of a function that a fresh process can import. Raises RuntimeError after `shutdown`."""
        call = Call(Future(), packed((fn, args, kwargs)))
        with self._lock:
            if self._over:
                raise RuntimeError("this pool takes no more calls")
            self._calls.put(call)
        return call.future

    def processes(self) -> list[int]:
        """Numbers of the processes alive now."""
        return [s.worker.process.pid for s in self._slots if s.worker is not None and not s.worker.dead]

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """Take no more calls; finish those queued, or with `cancel_futures` give them up and end those running."""
        with self._lock:
            first, self._over = not self._over, True
        if cancel_futures:
            with suppress(queue.Empty):
                while True:
                    call = self._calls.get_nowait()
                    if call is not None:
                        call.future.cancel()
            for slot in self._slots:
                slot.abandon()
        if first or cancel_futures:
            for _ in self._slots:
                self._calls.put(None)
        if wait:
            for slot in self._slots:
                slot.thread.join()
            self._scratch.cleanup()


@dataclass(slots=True, eq=False)
class _Slot:
    """One thread and the process it watches over."""

    pool: Pool
    worker: Worker | None = None
    given_up: bool = False
    lock: threading.Lock = field(default_factory=threading.Lock)  # between giving up and starting a process
    thread: threading.Thread = field(init=False)

    def __post_init__(self) -> None:
        self.thread = threading.Thread(target=self._serve, name="rillwright-worker", daemon=True)
        self.thread.start()

    def abandon(self) -> None:
        """End the process whatever it does; the call it has then fails as lost."""
        with self.lock:
            self.given_up = True
            if self.worker is not None:
                self.worker.process.kill()

    def _serve(self) -> None:
        try:
            while (call := self.pool._calls.get()) is not None:
                if call.future.set_running_or_notify_cancel():
                    self._answer(call)
        finally:
            if self.worker is not None:
                self.worker.end()

    def _answer(self, call: Call) -> None:
        try:
            call.future.set_result(self._live().call(call.message, self.pool.limit))
        except Exception as error:
            call.future.set_exception(error)

    def _live(self) -> Worker:
        """A process that lives; raises WorkerLost where none is wanted any more."""
        with self.lock:
            if self.given_up:
                raise WorkerLost("the run was stopped")
            if self.worker is None or self.worker.dead:
                self.worker = Worker.started(self.pool._scratch.name, self.pool.most_mb)
            return self.worker


def _environment(scratch: str) -> dict[str, str]:
    """Ours, with the package findable, and temporary files where they are cleared away whatever happens."""
    root = str(Path(__file__).resolve().parents[2])
    path = os.pathsep.join([root, *filter(None, [os.environ.get("PYTHONPATH", "")])])
    alone = {f"{library}_NUM_THREADS": "1" for library in ("OMP", "OPENBLAS", "MKL")}  # the cores are shared by workers
    return {**alone, **os.environ, "PYTHONPATH": path, "TMPDIR": scratch, "TEMP": scratch, "TMP": scratch}
