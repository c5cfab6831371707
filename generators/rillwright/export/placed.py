"""One part as it goes into an assembly file: shape, colour, place and material."""

from __future__ import annotations

import math
import unicodedata
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from ..layout.machine import Stance

if TYPE_CHECKING:
    import cadquery as cq

Rgba = tuple[float, float, float, float]

# What Unicode's own decomposition leaves alone but drawings are full of.
_SPELT = {
    "Ø": "dia ", "ø": "dia ", "⌀": "dia ", "µ": "u", "μ": "u", "×": "x", "°": " deg", "±": "+/-", "ß": "ss",
    "æ": "ae", "Æ": "AE", "œ": "oe", "Œ": "OE", "ł": "l", "Ł": "L", "đ": "d", "Đ": "D", "–": "-", "—": "-",
    "−": "-", "’": "'", "‘": "'", "“": '"', "”": '"', "·": ".", "\N{NO-BREAK SPACE}": " ",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Placed:
    """A part of an assembly.

    shape: in its own frame, mm. colour: red, green, blue (sRGB) and opacity, each 0 to 1; opacity under 1
    is drawn clear. offset: how far the shape is moved along z, mm. product: what the part is, for shapes
    used many times (`M4 x 40 strut`); without it the name of the first one stands for all.
    Raises ValueError for an empty name, a colour out of range or an offset that is not a number.
    """

    name: str
    shape: cq.Shape
    colour: Rgba
    offset: float = 0.0
    material: str = ""
    product: str = ""
    stance: Stance = field(default_factory=Stance)  # of its assembly in the machine, after the offset

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise ValueError("a part needs a name (got an empty one)")
        if len(self.colour) != 4 or not all(0.0 <= c <= 1.0 for c in self.colour):
            raise ValueError(f"colour of part '{self.name}' must be 4 numbers, 0 to 1 (got {self.colour})")
        if not math.isfinite(self.offset):
            raise ValueError(f"offset of part '{self.name}' must be a number in mm (got {self.offset})")

    @property
    def label(self) -> str:
        """Name with the material in brackets: `upper (pmma-cast)`."""
        return with_material(self.name, self.material)

    @property
    def clear(self) -> bool:
        """Whether one can look through the part."""
        return self.colour[3] < 1.0


def with_material(name: str, material: str) -> str:
    """`upper`, `pmma-cast` -> `upper (pmma-cast)`; the name alone where no material is given."""
    return f"{name} ({material})" if material else name


def ascii_name(name: str) -> str:
    """Name in printable ASCII, as STEP and STL files need it: accents dropped, trade signs spelt out.

    Raises ValueError, naming the characters, where that is not possible.
    """
    spelt = "".join(_SPELT.get(c, c) for c in name)
    plain = "".join(c for c in unicodedata.normalize("NFKD", spelt) if not unicodedata.combining(c))
    plain = " ".join(plain.split())
    odd = sorted({c for c in plain if not " " <= c <= "~"})
    if odd or not plain:
        listed = " ".join(f"{c!r}" for c in odd) or "nothing printable"
        raise ValueError(f"name {name!r} cannot be written in ASCII ({listed}); use Latin letters and digits")
    return plain
