"""A worker process: `python -m rillwright.batch.child` calls what it is sent, one after another, until its input ends.

What the kernel prints must not get between the messages, so they have a copy of stdout and everybody else is sent
to stderr.
"""

from __future__ import annotations

import os
import pickle
import sys
from typing import Any

from .frames import packed, receive, send


def main() -> int:
    """Serve until the parent closes the pipe or is gone."""
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    try:
        while True:
            send(answers, _answer(receive(sys.stdin.buffer)))
    except (EOFError, BrokenPipeError):
        return 0


def _answer(message: bytes) -> bytes:
    try:
        function, arguments, keywords = pickle.loads(message)
        return packed((True, function(*arguments, **keywords)))
    except BaseException as error:  # SystemExit too: a call must not end the worker
        return _refusal(error)


def _refusal(error: BaseException) -> bytes:
    given: Any = error if isinstance(error, Exception) else RuntimeError(f"{type(error).__name__}: {error}")
    try:
        made = packed((False, given))
        pickle.loads(made)  # some exceptions go in and do not come out
    except Exception:
        return packed((False, RuntimeError(f"{type(error).__name__}: {error}")))
    return made


if __name__ == "__main__":
    sys.exit(main())
