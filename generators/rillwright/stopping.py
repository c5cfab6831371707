"""Ctrl-C that waits until the kernel is loaded.

While the kernel's compiled modules load, a KeyboardInterrupt comes out as an ImportError, or is caught and lost
(tried: at five of ten moments in the second that it takes). So until then it is only noted.
"""

from __future__ import annotations

import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

KERNEL = "cadquery"  # the last of its modules to load
Say = Callable[[str], None]


@contextmanager
def patient(say: Say) -> Iterator[Say]:
    """A `say` to hand on instead; its first call tells that loading is over. Raises KeyboardInterrupt if it came."""
    ours = threading.current_thread() is threading.main_thread()
    if not ours or signal.getsignal(signal.SIGINT) is not signal.default_int_handler:
        yield say  # somebody else decides what Ctrl-C does; a job in the background ignores it
        return
    came = loaded = False

    def on_signal(_number: int, _frame: FrameType | None) -> None:
        nonlocal came
        came = True
        if loaded:
            raise KeyboardInterrupt

    def told(text: str) -> None:
        nonlocal loaded
        loaded = KERNEL in sys.modules
        if came and loaded:
            raise KeyboardInterrupt
        say(text)

    former = signal.signal(signal.SIGINT, on_signal)
    try:
        yield told
    finally:
        signal.signal(signal.SIGINT, former)
        if came:  # whatever became of it inside
            raise KeyboardInterrupt
