"""Every seal of a job with its analysis, and the words that findings about it use. Lengths in mm, squeeze in per cent."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ...layout.gland import Gland
from ...layout.job_layout import JobLayout
from ...layout.seal import TubeSeal
from .seal_chain import Analysis, analyse


@dataclass(frozen=True, slots=True)
class Sealed:
    """One seal, or several alike, and what is known of it."""

    seal: TubeSeal | Gland
    analysis: Analysis

    @property
    def plate(self) -> str:
        return "assembly" if isinstance(self.seal, TubeSeal) else self.seal.plate

    @property
    def features(self) -> tuple[str, ...]:
        s = self.seal
        if isinstance(s, TubeSeal):
            return (f"{s.reservoir}.tube", f"{s.reservoir}.cord")
        return tuple(dict.fromkeys((*s.features, s.seal)))

    @property
    def nets(self) -> tuple[str, ...]:
        return (self.seal.loop,) if self.seal.loop else ()

    @property
    def width(self) -> float:
        """Of what the cord gives way in, mm."""
        s = self.seal
        return s.nominal(s.width if isinstance(s, TubeSeal) else "groove width")

    @property
    def pocket(self) -> str:
        """What the cord gives way in, in a word."""
        s = self.seal
        return "channel" if isinstance(s, TubeSeal) and not s.step else "groove"

    def recut(self, wanted: float) -> str:
        """What to cut so that the squeeze at filling becomes `wanted`, a fraction."""
        s, now = self.seal, self.analysis.filling.squeeze.nominal
        longer = s.nominal("cord") * (wanted - now)
        if isinstance(s, TubeSeal):
            tube, strut = s.nominal("tube length"), s.nominal("strut length")
            return f"cut the tube to {tube + 2 * longer:.2f} mm, or the struts to {strut - 2 * longer:.2f} mm"
        return f"make the groove {s.nominal('groove depth') - longer:.2f} mm deep"

    def widened(self, times: float) -> str:
        """How wide the groove has to be, at its narrowest, for its fullest to come down by `times`."""
        s = self.seal
        name = s.width if isinstance(s, TubeSeal) else "groove width"
        minus = next(t.dimension.minus for t in s.lengths if t.dimension.name == name)
        width = math.ceil(10 * ((self.width - minus) * times + minus) - 1e-6) / 10
        return f"widen the {self.pocket}: {width:.1f} mm would do"

    def steadier(self) -> str:
        """What else than another squeeze makes it less prone to warmth."""
        return "take steel struts" if isinstance(self.seal, TubeSeal) else "take harder cord of another rubber"

    def to_measure(self) -> str:
        """What measurement helps most, and where to write it."""
        s, a = self.seal, self.analysis
        if not a.measure:
            what = "the tube or the struts" if isinstance(s, TubeSeal) else "the groove"
            return f"all is measured: cut {what} to what was read, or take cord that varies less"
        left = f"that leaves {round(100 * a.measure_leaves)} % of the range"
        if isinstance(s, TubeSeal):
            key = next(t.key for t in s.lengths if t.dimension.name == a.measure)
            return f"measure the {a.measure} and write it as measured.{key} of {s.reservoir!r}: {left}"
        if where := {"cord": s.cord_key, "groove depth": s.depth_key}.get(a.measure):
            return f"measure the {a.measure} and write it as {where}: {left}"
        return f"measure the {a.measure} or hold it closer: {left}"


def sealed(layout: JobLayout) -> list[Sealed]:
    """Every seal with its analysis, those of the tubes first; computed once for the same numbers."""
    every: list[TubeSeal | Gland] = [*layout.seals, *layout.glands]
    return [Sealed(s, analyse(s)) for s in every]
