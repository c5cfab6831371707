"""What a router is asked and what it answers: nets, terminals, obstacles; legs, vias, or the reason why not.

Everything lies in the plan frame of one plate (see `layout.features`). Lengths in mm. Level 0 is the seal face,
level 1 the outer face.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from ..features import Outline
from ..pockets import Path

Point2 = tuple[float, float]
REACH = 1.5  # times what two nets keep apart: so far from where they run into each other they may come nearer


@dataclass(frozen=True, slots=True)
class Terminal:
    """Where a net has to arrive: a wet disc of `radius` round `at` on `level`, on every level where that is None.

    `on`: the given net of the same loop that it lies on; the two run into each other there, and only there.
    """

    name: str
    at: Point2
    radius: float
    level: int | None = 0
    on: str = ""


@dataclass(frozen=True, slots=True)
class Net:
    """Terminals that one channel joins, as a tree.

    `margin` is the extra room on each side of the channel for its groove and land. `bend_radius` is that of the
    channel's middle line: a wish, or a limit where `bend_must` is true; None wishes for the channel's width.
    Corners of tees and within a terminal's disc are not bends.
    """

    name: str
    loop: str
    width: float
    terminals: tuple[Terminal, ...]
    pins: tuple[Point2, ...] = ()  # way points that the middle line passes, on any level
    margin: float = 0.0
    bend_radius: float | None = None
    bend_must: bool = False

    @property
    def half(self) -> float:
        """From the middle line to the end of the room that the channel takes, mm."""
        return self.width / 2 + self.margin


@dataclass(frozen=True, slots=True)
class Circle:
    centre: Point2
    radius: float


@dataclass(frozen=True, slots=True)
class Polygon:
    """A simple polygon; its points in either sense, the first not repeated."""

    points: tuple[Point2, ...]


@dataclass(frozen=True, slots=True)
class Obstacle:
    """What every net keeps `clearance` from, on `levels` (None: on all)."""

    name: str
    shape: Circle | Polygon
    clearance: float
    levels: frozenset[int] | None = None

    def on(self, level: int) -> bool:
        return self.levels is None or level in self.levels


@dataclass(frozen=True, slots=True)
class RoutedLeg:
    """One stretch of a net's middle line on one level, between two terminals, tees, pins or vias."""

    path: Path
    level: int
    ends: tuple[str, str]


@dataclass(frozen=True, slots=True)
class Via:
    """A vertical passage that joins all levels."""

    net: str
    at: Point2
    diameter: float
    name: str = ""


@dataclass(frozen=True, slots=True)
class Problem:
    """One plate to route.

    `edge` is the clearance to the outline. `wall` stands between nets of different loops, `wall_same` between nets
    of one loop, on top of both nets' margins. `given` holds nets that are drawn by hand: they stay as they are.
    """

    outline: Outline
    edge: float
    nets: tuple[Net, ...]
    obstacles: tuple[Obstacle, ...]
    wall: float
    wall_same: float
    levels: int = 1
    via_diameter: float | None = None
    seed: int = 0
    given: Mapping[str, tuple[RoutedLeg, ...]] = field(default_factory=dict)

    def wall_between(self, a: Net, b: Net) -> float:
        return self.wall_same if a.loop == b.loop else self.wall

    def junctions(self, a: Net, b: Net) -> tuple[tuple[Point2, ...], float]:
        """Where two nets run into each other, and how far round that they may be nearer than else, mm."""
        places = [t.at for x, y in ((a, b), (b, a)) for t in x.terminals if t.on == y.name]
        return tuple(places), REACH * (a.half + b.half + self.wall_between(a, b))

    def net(self, name: str) -> Net:
        """The net of a name; raises KeyError."""
        for n in self.nets:
            if n.name == name:
                return n
        raise KeyError(name)


@dataclass(frozen=True, slots=True)
class Closest:
    """The tightest place of a routing: distance less its limit, between whom, and where."""

    spare: float
    between: tuple[str, str]
    at: Point2


@dataclass(frozen=True, slots=True)
class Routing:
    """The answer: legs of each net, vias, lengths of middle lines, and `steiner`, an estimate of the shortest tree
    of each net among obstacles and the terminals of other nets, but without the other nets' channels."""

    paths: dict[str, tuple[RoutedLeg, ...]]
    vias: tuple[Via, ...]
    length: dict[str, float]
    steiner: dict[str, float]
    smallest: Closest


@dataclass(frozen=True, slots=True)
class TightBend:
    """A bend of a net that finds no room for the radius that it must have: what it comes to, and where it stands, mm."""

    net: str
    radius: float
    at: Point2


class Unexplained(Exception):
    """No routing was found, and the reason, which takes seconds, was not looked for yet: `why` does."""

    def __init__(self, why: Callable[[], NoRoute]) -> None:
        self.why = why
        super().__init__("no way was found")


class NoRoute(Exception):
    """No routing was found: `net` has no way, `blockers` stand in it; at `place` only `width` of channel fits.

    `bend` is set where the net has a way but for that bend.
    `cures` are changes that let the net through; `tried` holds the changed problems of those that say so.
    """

    bend: TightBend | None = None
    tried: Mapping[str, Problem] = MappingProxyType({})

    def __init__(self, net: str, blockers: tuple[str, ...], place: Point2, width: float, cures: tuple[str, ...]) -> None:
        self.net, self.blockers, self.place, self.width, self.cures = net, blockers, place, width, cures
        super().__init__(
            f"no way for {net}: {', '.join(blockers) or 'nothing named'} in the way; narrowest near x {place[0]:.1f}, "
            f"y {place[1]:.1f}, where a channel of {width:.2f} mm fits; {'; '.join(cures) or 'no cure found'}"
        )
