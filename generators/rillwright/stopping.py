"""Ctrl-C that waits until what is being imported is loaded, and no longer.

While compiled modules load, a KeyboardInterrupt comes out as an ImportError, or is caught and lost (tried: at five of
ten moments in the second that the kernel takes). So inside an import it is only noted, and looked at again soon.
"""

from __future__ import annotations

import _thread
import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

AGAIN = 0.02  # s until the next look whether the import is over
# a run that is told to end clears its temporary files away too
SIGNALS = tuple(n for n in (signal.SIGINT, signal.SIGTERM, getattr(signal, "SIGHUP", None)) if n is not None)
Say = Callable[[str], None]
_running: _Stop | None = None


@contextmanager
def patient(say: Say) -> Iterator[Say]:
    """A `say` to hand on instead: it raises KeyboardInterrupt too where one came and something swallowed it.

    Inside another one it has that one's signals.
    """
    with _heard() as stop:

        def told(text: str) -> None:
            if stop.came:
                raise KeyboardInterrupt(stop.came)
            say(text)

        try:
            yield told
        finally:
            if stop.came:  # whatever became of it inside
                raise KeyboardInterrupt(stop.came)


@contextmanager
def _heard() -> Iterator[_Stop]:
    global _running
    if threading.current_thread() is not threading.main_thread():
        yield _Stop()
        return
    if _running is not None:
        yield _running
        return
    plain = (signal.default_int_handler, signal.SIG_DFL)
    # where somebody else decides what a signal does, it stays so: a job in the background ignores Ctrl-C
    mine = [n for n in SIGNALS if signal.getsignal(n) in plain]
    stop = _running = _Stop()
    former = [signal.signal(n, stop.on_signal) for n in mine]
    try:
        yield stop
    finally:
        stop.rest()
        for number, handler in zip(mine, former, strict=True):
            signal.signal(number, handler)
        _running = None


class _Stop:
    """Which signal came, 0 for none, and the next look where it came amid an import."""

    def __init__(self) -> None:
        self.came = 0
        self._look: threading.Timer | None = None
        self._over = False

    def on_signal(self, number: int, frame: FrameType | None) -> None:
        """Raises KeyboardInterrupt with the signal's number, at once or soon."""
        self.came = number
        if self._over:
            return
        if not _importing(frame):
            raise KeyboardInterrupt(number)
        self._look = threading.Timer(AGAIN, _thread.interrupt_main, (number,))
        self._look.daemon = True
        self._look.start()

    def rest(self) -> None:
        """No more looks, and none on its way."""
        self._over = True
        if self._look is not None:
            self._look.cancel()
            self._look.join()


def _importing(frame: FrameType | None) -> bool:
    while frame is not None:
        if frame.f_code.co_filename.startswith("<frozen importlib"):
            return True
        frame = frame.f_back
    return False
