"""The kernel without its chatter."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from OCP.Message import Message


@contextmanager
def silent() -> Iterator[None]:
    """Keep the kernel's progress chatter off the console, and put its printers back."""
    messenger: Any = Message.DefaultMessenger_s()
    printers = list(messenger.Printers())
    messenger.ChangePrinters().Clear()
    try:
        yield
    finally:
        for printer in printers:
            messenger.AddPrinter(printer)
