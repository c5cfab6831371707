"""Signs of life from what takes seconds while a job is placed: to whoever listens, nobody by default."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

_LISTENER: ContextVar[Callable[[str], None] | None] = ContextVar("listener", default=None)


@contextmanager
def heard_by(say: Callable[[str], None]) -> Iterator[None]:
    """What is told within goes to `say`."""
    before = _LISTENER.set(say)
    try:
        yield
    finally:
        _LISTENER.reset(before)


def tell(text: str) -> None:
    """One line for whoever listens."""
    listener = _LISTENER.get()
    if listener is not None:
        listener(text)
