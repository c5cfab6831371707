"""How the lengths of a seal make its gap: the tube between two plates, and the groove in a face. Lengths in mm."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ...layout.gland import Gland
from ...layout.seal import TubeSeal
from ...physics import expansion, seals, stack
from ...physics.stack import Expansions

# What a careful measurement in the workshop leaves, ± mm; our choice, no source.
GAUGES = {
    "cord": 0.03, "tube length": 0.05, "strut length": 0.03, "upper channel depth": 0.02, "lower channel depth": 0.02,
    "upper seat depth": 0.02, "lower seat depth": 0.02, "channel width": 0.05, "groove depth": 0.02,
    "groove width": 0.05, "ring length": 0.2, "opening": 0.02, "channel outside": 0.03, "tube outside": 0.03,
    "upper channel floor": 0.02, "lower channel floor": 0.02,
}  # fmt: skip
Values = Mapping[str, float]


@dataclass(frozen=True, slots=True)
class StackModel:
    """The cord under a tube's end."""

    expansions: Expansions
    width: str  # name of the length that the cord gives way in

    def gap(self, v: Values, difference: float) -> float:
        """Height left for the cord after a change of temperature (K), mm; of single values and of draws."""
        return stack.gap_at(
            v["strut length"], v["upper channel depth"], v["upper seat depth"], v["lower channel depth"],
            v["lower seat depth"], v["tube length"], self.expansions, difference,
        )  # fmt: skip

    def cord(self, v: Values, difference: float) -> float:
        """Diameter of the loose cord, mm."""
        return stack.cord_at(v["cord"], self.expansions, difference)


@dataclass(frozen=True, slots=True)
class FaceModel:
    """The cord in a groove of a face that another face closes."""

    plate: float  # linear expansion of what the groove is cut in, 1/K
    rubber: float
    line: float  # centre line of the ring as it lies, mm
    width: str = "groove width"

    def gap(self, v: Values, difference: float) -> float:
        """Depth of the groove and what stands open between the faces, mm."""
        return expansion.grown(v["groove depth"], self.plate, difference) + v["opening"]

    def cord(self, v: Values, difference: float) -> float:
        """Diameter of the cord once its ring is stretched onto the line, its volume kept, mm."""
        return seals.stretched_cord(expansion.grown(v["cord"], self.rubber, difference), self.stretch(v))

    def stretch(self, v: Values) -> float:
        """Stretch of the ring, fraction; negative where it is compressed."""
        return seals.stretch(v["ring length"], self.line)


Model = StackModel | FaceModel


def model_of(seal: TubeSeal | Gland) -> Model:
    """The formula that a seal's lengths go into."""
    if isinstance(seal, TubeSeal):
        return StackModel(seal.expansions, seal.width)
    return FaceModel(*seal.expansions, seal.line)


def opened(gaps: tuple[tuple[str, float], ...], v: Values) -> float:
    """Extrusion gap: what adds up less what takes away, mm."""
    return sum(sign * v[name] for name, sign in gaps)
