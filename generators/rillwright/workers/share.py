"""Tasks shared out between this process and one beside it, where each takes the next as soon as it is free.

Who has a task is said by an empty file of its number, made so that one process alone can make it: neither has to wait
for the other to be told, which could not happen while this one is inside compiled code.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TypeVar

T = TypeVar("T")


def work_through(tasks: Sequence[T], claims: Path, do: Callable[[T], None]) -> list[T]:
    """Do, in order, every task that nobody has taken; returns those done. `claims`: folder of one round of tasks.

    Raises whatever `do` raises; that task then stays taken. Where no claim can be written it takes no more.
    """
    done = []
    for number, task in enumerate(tasks):
        try:
            mine = taken(claims, number)
        except OSError:
            break
        if mine:
            do(task)
            done.append(task)
    return done


def taken(claims: Path, number: int) -> bool:
    """Whether the task of this number is ours from now on. Raises OSError where no claim can be written."""
    try:
        os.close(os.open(claims / str(number), os.O_CREAT | os.O_EXCL | os.O_WRONLY))
    except FileExistsError:
        return False
    return True
