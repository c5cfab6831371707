"""What tolerances, temperature and years make of a seal: squeeze and fill as fractions, lengths in mm.

One way for every seal: a tube's cords (`TubeSeal`) and a groove in a face (`Gland`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from ...layout.gland import Gland
from ...layout.seal import TubeSeal
from ...layout.toleranced import Toleranced
from ...layout.warmth import REFERENCE
from ...physics import seals, settling, tolerance
from ...physics.tolerance import Dimension, Function, Spread
from .chain_model import GAUGES, FaceModel, Model, Values, model_of, opened

if TYPE_CHECKING:
    from ...physics.monte_carlo import Scatter

Bounds = tuple[float, float]
SETTLED = "settled"  # name of the condition at the end of the wanted life, hottest
SET = "compression set"


@dataclass(frozen=True, slots=True)
class Condition:
    """The cords at one temperature. `fill` is None where the tube may touch the floor: no gland is left then."""

    name: str
    celsius: float
    gap: float
    squeeze: Spread
    fill: Spread | None
    known_squeeze: Bounds  # worst case of the tolerances that the user stated or measured, all else nominal
    known_fill: float | None


@dataclass(frozen=True, slots=True)
class Analysis:
    """Every condition of one seal, filling first and settled last; what to measure; stretch and extrusion gap."""

    conditions: tuple[Condition, ...]
    measure: str  # length whose measurement shrinks the range most; empty where nothing helps
    measure_leaves: float  # share of the worst-case range left then
    extrusion: Spread  # gap into which pressure may push the cord, mm
    extrusion_measure: str
    stretch: Spread | None = None  # of a ring in a face groove, fraction

    @property
    def filling(self) -> Condition:
        return self.conditions[0]


@dataclass(frozen=True, slots=True)
class Drawn:
    """Monte Carlo of one seal: for each condition the shares of draws within limits and still sealing."""

    yields: tuple[tuple[float, float], ...]
    squeeze: Scatter  # at filling
    fill: Scatter | None
    extrusion: Scatter  # mm
    stretch: Scatter | None = None


@dataclass(frozen=True, slots=True)
class Chain:
    """All that an analysis hangs on; seals alike in it are computed once."""

    model: Model
    lengths: tuple[Toleranced, ...]
    settles: Toleranced
    temperatures: tuple[tuple[str, float], ...]
    gaps: tuple[tuple[Toleranced, float], ...]

    @property
    def dimensions(self) -> list[Dimension]:
        return [t.dimension for t in self.lengths]

    @property
    def states(self) -> tuple[tuple[str, float], ...]:
        """Every condition: the temperatures, and settled at the hottest, where cords set most."""
        return (*self.temperatures, (SETTLED, self.temperatures[1][1]))

    @property
    def width(self) -> str:
        return self.model.width

    def squeeze(self, name: str, celsius: float) -> Function:
        """Squeeze in one condition as a function of the lengths, for single values and for draws."""
        d = celsius - REFERENCE
        if name == SETTLED:
            return lambda v: settling.settled_squeeze(self.model.gap(v, d), self.model.cord(v, d), v[SET])
        return lambda v: seals.squeeze(self.model.gap(v, d), self.model.cord(v, d))

    def fill(self, celsius: float) -> Function:
        """Fill of the gland; the growth of its width is left out (0.1 % in 20 K)."""
        d = celsius - REFERENCE
        return lambda v: seals.fill(self.model.gap(v, d), self.model.cord(v, d), v[self.model.width])

    def opened(self, v: Values) -> float:
        """Extrusion gap, mm."""
        return opened(tuple((t.dimension.name, sign) for t, sign in self.gaps), v)

    def of_squeeze(self, name: str, known: bool = False) -> list[Dimension]:
        """Dimensions that the squeeze in one condition hangs on; `known`: those not known to the user without tolerance."""
        used = [t for t in self.lengths if t.dimension.name != self.model.width]
        used += [self.settles] if name == SETTLED else []
        return [t.dimension if t.known or not known else t.dimension.exact() for t in used]


def chain_of(seal: TubeSeal | Gland) -> Chain:
    """The chain of one seal."""
    return Chain(model_of(seal), seal.lengths, seal.settles, seal.temperatures, seal.gaps)


def analyse(seal: TubeSeal | Gland) -> Analysis:
    """Worst case and root sum of squares of one seal in every condition."""
    return _analyse(chain_of(seal))


def draw(seal: TubeSeal | Gland, limits: Bounds, holds: Bounds) -> Drawn:
    """Monte Carlo of one seal; `limits` are those of a good seal, `holds` those of one that still seals, fractions.

    Apart from `analyse`, because numpy takes longer to load than a check of the whole file may take.
    """
    return _drawn(chain_of(seal), limits, holds)


@lru_cache(maxsize=64)
def _drawn(chain: Chain, limits: Bounds, holds: Bounds) -> Drawn:
    from ...physics import monte_carlo

    drawn = monte_carlo.draw([*chain.dimensions, chain.settles.dimension])
    values = [monte_carlo.evaluate(chain.squeeze(n, c), drawn) for n, c in chain.states]  # type: ignore[arg-type]
    shares = tuple((monte_carlo.share_within(v, *limits), monte_carlo.share_within(v, *holds)) for v in values)
    fill, at = None, chain.temperatures[0]
    if tolerance.spread(chain.squeeze(*at), chain.of_squeeze(at[0])).worst_high < 1:
        fill = monte_carlo.summary(monte_carlo.evaluate(chain.fill(at[1]), drawn))  # type: ignore[arg-type]
    own = monte_carlo.draw([t.dimension for t, _ in chain.gaps])
    gap = monte_carlo.summary(monte_carlo.evaluate(chain.opened, own))  # type: ignore[arg-type]
    stretch = None
    if isinstance(chain.model, FaceModel):
        stretch = monte_carlo.summary(monte_carlo.evaluate(chain.model.stretch, drawn))  # type: ignore[arg-type]
    return Drawn(shares, monte_carlo.summary(values[0]), fill, gap, stretch)


@lru_cache(maxsize=64)
def _analyse(chain: Chain) -> Analysis:
    # Kept by what enters it: the tubes of one job are mostly alike.
    name, at = chain.temperatures[0]
    wanted = {t.dimension.name: GAUGES[t.dimension.name] for t in chain.lengths if t.origin != "measured"}
    measure, leaves = tolerance.best_measurement(chain.squeeze(name, at), chain.of_squeeze(name), wanted)
    gaps = [t.dimension for t, _ in chain.gaps]
    gauges = {t.dimension.name: GAUGES[t.dimension.name] for t, _ in chain.gaps if t.origin != "measured"}
    return Analysis(
        tuple(_condition(chain, n, c) for n, c in chain.states), measure, leaves, tolerance.spread(chain.opened, gaps),
        tolerance.best_measurement(chain.opened, gaps, gauges)[0], _stretch(chain),
    )  # fmt: skip


def _stretch(chain: Chain) -> Spread | None:
    if not isinstance(chain.model, FaceModel):
        return None
    return tolerance.spread(chain.model.stretch, [d for d in chain.dimensions if d.name == "ring length"])


def _condition(chain: Chain, name: str, celsius: float) -> Condition:
    squeeze, fill = chain.squeeze(name, celsius), chain.fill(celsius)
    spread = tolerance.spread(squeeze, chain.of_squeeze(name))
    # A squeeze of 1 is a gap of nought; what a cord that has set fills is what it filled before.
    room = name != SETTLED and spread.worst_high < 1
    every = chain.dimensions
    known = [t.dimension if t.known else t.dimension.exact() for t in chain.lengths]
    return Condition(
        name, celsius, chain.model.gap({d.name: d.nominal for d in every}, celsius - REFERENCE), spread,
        tolerance.spread(fill, every) if room else None,
        tolerance.worst_case(squeeze, chain.of_squeeze(name, known=True)),
        tolerance.worst_case(fill, known)[1] if room else None,
    )  # fmt: skip


def in_use(a: Analysis) -> Sequence[Condition]:
    """Conditions of a cord that has not settled: those that say how full and how squeezed it may get."""
    return [c for c in a.conditions if c.name != SETTLED]
