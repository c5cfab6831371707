"""A worker process: `python -m rillwright.workers.child MIB` calls what it is sent until its input ends.

Each answer says whether the process has grown beyond MIB of memory and should make room for a fresh one.

What the kernel prints must not get between the messages, so they have a copy of stdout and everybody else is sent
to stderr.
"""

from __future__ import annotations

import os
import pickle
import sys
from typing import Any

from .frames import packed, receive, send
from .memory import peak_mb


def main() -> int:
    """Serve until the parent closes the pipe or is gone."""
    most = float(sys.argv[1])
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    try:
        while True:
            good, value = _answer(receive(sys.stdin.buffer))
            send(answers, packed((good, value, (peak_mb() or 0.0) > most)))
    except (EOFError, BrokenPipeError):
        return 0


def _answer(message: bytes) -> tuple[bool, bytes]:
    """Whether the call went well, and the pickle of what it gave or raised."""
    try:
        function, arguments, keywords = pickle.loads(message)
        return True, packed(function(*arguments, **keywords))
    except BaseException as error:  # SystemExit too: a call must not end the worker
        return False, _refusal(error)


def _refusal(error: BaseException) -> bytes:
    given: Any = error if isinstance(error, Exception) else RuntimeError(f"{type(error).__name__}: {error}")
    try:
        made = packed(given)
        pickle.loads(made)  # some exceptions go in and do not come out
    except Exception:
        return packed(RuntimeError(f"{type(error).__name__}: {error}"))
    return made


if __name__ == "__main__":
    sys.exit(main())
