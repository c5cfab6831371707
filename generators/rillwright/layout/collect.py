"""What cannot be placed, collected, so that the user sees all of it at once."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from .outline import Impossible, Loc

T = TypeVar("T")


class LayoutError(Exception):
    """All that cannot be placed: key path, what is wrong, what to do."""

    def __init__(self, problems: list[Impossible]) -> None:
        super().__init__("; ".join(str(p) for p in problems))
        self.problems = problems


class Collector:
    """Runs placing steps and keeps what is impossible."""

    def __init__(self) -> None:
        self.problems: list[Impossible] = []

    def run(self, loc: Loc, step: Callable[[], T]) -> T | None:
        """What a step gives; None where it is impossible. `loc`: key path of what the step places."""
        try:
            return step()
        except Impossible as e:
            full = e.loc if e.loc[: len(loc)] == loc else (*loc, *e.loc)
            self.problems.append(Impossible(full, e.what, e.do))
            return None

    def require_none(self) -> None:
        """Raise LayoutError where something was impossible."""
        if self.problems:
            raise LayoutError(self.problems)
