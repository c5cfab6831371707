"""A length of a chain with its tolerance, and where that comes from. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ..physics.tolerance import Dimension

Origin = Literal["measured", "stated", "class", "default"]
PRACTICE = "common practice, no source"
CHOICE = "our choice, no source"


@dataclass(frozen=True, slots=True)
class Toleranced:
    """One length of a chain, where its tolerance comes from, and the key that would state or measure it."""

    dimension: Dimension
    origin: Origin
    source: str
    key: str

    @property
    def known(self) -> bool:
        """Whether the user stands for the tolerance, by a figure or a measurement."""
        return self.origin in ("measured", "stated")


def default(name: str, nominal: float, minus: float, plus: float, source: str = CHOICE) -> Toleranced:
    """A length whose tolerance is our own default, mm."""
    return Toleranced(Dimension(name, nominal, minus, plus), "default", source, name)
