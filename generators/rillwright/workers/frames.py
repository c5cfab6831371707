"""Messages between a parent and its worker process: a length in 8 bytes, then a pickle."""

from __future__ import annotations

import pickle
from typing import BinaryIO

_LENGTH = 8  # bytes, big end first


def send(stream: BinaryIO, payload: bytes) -> None:
    """Write one message. Raises OSError where nobody listens any more."""
    stream.write(len(payload).to_bytes(_LENGTH, "big"))
    stream.write(payload)
    stream.flush()


def receive(stream: BinaryIO) -> bytes:
    """Read one message. Raises EOFError where the other side ends before or in it."""
    return _exactly(stream, int.from_bytes(_exactly(stream, _LENGTH), "big"))


def _exactly(stream: BinaryIO, count: int) -> bytes:
    data = stream.read(count)
    if len(data) < count:
        raise EOFError
    return data


def packed(value: object) -> bytes:
    """Pickle of a value. Raises whatever a value that cannot be pickled raises."""
    return pickle.dumps(value, protocol=pickle.HIGHEST_PROTOCOL)
