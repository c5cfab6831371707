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
Say = Callable[[str], None]


@contextmanager
def patient(say: Say) -> Iterator[Say]:
    """A `say` to hand on instead: it raises KeyboardInterrupt too where one came and something swallowed it."""
    ours = threading.current_thread() is threading.main_thread()
    if not ours or signal.getsignal(signal.SIGINT) is not signal.default_int_handler:
        yield say  # somebody else decides what Ctrl-C does; a job in the background ignores it
        return
    stop = _Stop()

    def told(text: str) -> None:
        if stop.came:
            raise KeyboardInterrupt
        say(text)

    former = signal.signal(signal.SIGINT, stop.on_signal)
    try:
        yield told
    finally:
        stop.rest()
        signal.signal(signal.SIGINT, former)
        if stop.came:  # whatever became of it inside
            raise KeyboardInterrupt


class _Stop:
    """Whether Ctrl-C came, and the next look where it came amid an import."""

    def __init__(self) -> None:
        self.came = False
        self._look: threading.Timer | None = None
        self._over = False

    def on_signal(self, _number: int, frame: FrameType | None) -> None:
        self.came = True
        if self._over:
            return
        if not _importing(frame):
            raise KeyboardInterrupt
        self._look = threading.Timer(AGAIN, _thread.interrupt_main)
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
