"""What galleries are to join, and where drillings may enter, read off a plate placed without them. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from ...spec.gallery import Gallery
from ...spec.job import Job, Limits
from ...spec.plate import Plate
from ...spec.yaml_events import Loc
from ...standards import threads
from ..features import Feature, PlateLayout
from ..outline import Edge, edges
from ..passages import RUN_BACK, SPOTFACE, plug_depth

Point2 = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Upright:
    """Something along z: places it may stand at, the levels at which a run meets it, and how it can be bored deeper."""

    name: str
    at: tuple[Point2, ...]
    reach: float  # a riser of its own may stand this far from the first place
    span: tuple[float, float] | None  # levels of a run that opens it with nothing more
    start: str = ""  # face or port that its riser begins in; empty: it has none
    bottom: float = 0.0  # z from which the riser is drilled
    bore: float = 0.0  # diameter of the riser
    down: bool = True  # whether the riser goes towards the outer face


@dataclass(frozen=True, slots=True)
class Side:
    """A port in an edge: its line runs along x (0) or y (1) from the edge inwards."""

    name: str
    axis: int
    inward: int
    edge: float  # coordinate of the edge
    across: float  # the other coordinate
    z: float
    first: float  # from here on a run may cross its bore, behind the thread
    bored: float  # a drilling goes on from here

    def at(self, distance: float) -> float:
        return self.edge + self.inward * distance


@dataclass(frozen=True, slots=True)
class Entry:
    """A straight edge that plugged drillings may enter at right angles."""

    edge: Edge
    axis: int
    inward: int
    at: float  # coordinate of the edge
    low: float
    high: float

    def along(self, across: float) -> float:
        """The place as a drilling's `at` gives it."""
        if self.edge.name in ("left", "right", "front", "back"):
            return across
        m, way = self.edge.middle, (self.edge.end[0] - self.edge.start[0], self.edge.end[1] - self.edge.start[1])
        return (across - m[1 - self.axis]) * math.copysign(1, way[1 - self.axis])


@dataclass(frozen=True, slots=True)
class Plugs:
    """A plug's hole: spotface and bore."""

    thread: str
    spot: float  # radius
    spot_depth: float
    radius: float
    depth: float

    @staticmethod
    def of(thread: str) -> Plugs:
        hole = threads.port(thread)
        face = min(SPOTFACE, hole.spotface_depth_max)
        return Plugs(thread, hole.spotface_diameter / 2, face, threads.pipe(thread).tap_drill / 2, plug_depth(thread))


@dataclass(frozen=True, slots=True)
class Wanted:
    """One gallery: what it joins, and what its drillings may be."""

    name: str
    loop: str
    index: int  # in the plate's list
    joins: tuple[str, ...]
    uprights: tuple[Upright, ...]
    sides: tuple[Side, ...]
    diameter: float
    plug: Plugs
    entries: tuple[Entry, ...]
    level: float | None


class Unfit(Exception):
    """Something that a gallery cannot join: its key, or its place in `joins`, what is wrong, what to do."""

    def __init__(self, key: str | int, what: str, do: str) -> None:
        super().__init__(what)
        self.what, self.do = what, do
        self.loc: Loc = ("joins", key) if isinstance(key, int) else (key,)


def wanted(job: Job, plate: Plate, layout: PlateLayout, index: int, g: Gallery) -> Wanted:
    """A gallery read against the placed plate. Raises Unfit."""
    found = {f.name: f for f in layout.features}
    sides: list[Side] = []
    uprights: list[Upright] = []
    for n, name in enumerate(g.joins):
        what = found.get(f"{name}.tube-channel") or found.get(name)
        if what is None:
            raise Unfit(n, f"{name!r} stands in no place that is known before the galleries are drilled", "give it a depth")
        made = _joined(g, what, name, n, layout.thickness, job.limits)
        if isinstance(made, Side):
            sides.append(made)
        else:
            uprights.append(made)
    loop = g.loop or (found.get(f"{g.joins[0]}.tube-channel") or found[g.joins[0]]).loop or ""
    known = edges(plate.outline, layout.outline)
    plug = Plugs.of(g.plug)
    if g.diameter > 2 * plug.radius:
        wide = f"a drilling of {g.diameter:g} mm is wider than the bore of a plug {g.plug}, {2 * plug.radius:g} mm"
        raise Unfit("diameter", wide, "take a larger plug or a smaller diameter")
    for e in g.edges or ():
        if e not in known:
            raise Unfit("edges", f"this plate has no straight edge {e!r}", f"give edges among {', '.join(known)}")
    entries = tuple(_entries(e for k, e in known.items() if g.edges is None or k in g.edges))
    return Wanted(g.name, loop, index, tuple(g.joins), tuple(uprights), tuple(sides), g.diameter, plug,
                  entries, g.level)  # fmt: skip


def _joined(g: Gallery, f: Feature, name: str, n: int, thick: float, limits: Limits) -> Upright | Side:
    r = g.diameter / 2
    if f.role == "tube-channel":
        free = f.facts["inner_radius"] - r - limits.wall_same
        if free < 0:
            raise Unfit(n, f"a drilling of {g.diameter:g} mm does not fit into the tube", "take a smaller diameter")
        return Upright(name, (f.origin[:2],), free, None, "seal", 0.0, g.diameter)
    if abs(f.axis[2]) > 1 - 1e-9:
        return _upright(g, f, name, thick)
    axis = 0 if abs(f.axis[0]) > 1 - 1e-9 else 1
    if abs(f.axis[axis]) < 1 - 1e-9 or f.role != "port":
        raise Unfit(n, f"{name!r} is neither upright nor a port square to x or y", "join it by drillings of its own")
    if r > f.facts["bore_radius"]:
        what = f"a drilling of {g.diameter:g} mm is wider than the bore of port {name!r}, {2 * f.facts['bore_radius']:g} mm"
        raise Unfit(n, what, "take a larger port or a smaller diameter")
    bored = f.facts["bore_depth"]
    return Side(name, axis, 1 if f.axis[axis] > 0 else -1, f.origin[axis], f.origin[1 - axis], f.origin[2],
                f.facts.get("full_thread", 0.0) + r, bored)  # fmt: skip


def _upright(g: Gallery, f: Feature, name: str, thick: float) -> Upright:
    down, at, r = f.axis[2] < 0, (f.origin[:2],), g.diameter / 2
    if f.role == "port":
        first, last = f.facts.get("full_thread", 0.0) + r, min(f.facts["bore_depth"], thick)
        wide = min(g.diameter, 2 * f.facts["bore_radius"])
        start, bottom = (name, f.at(last)[2]) if len(f.mouths) == 1 else ("", 0.0)
    else:
        first, last = max(f.facts.get("start", 0.0), 0.0), min(f.facts.get("length", f.depth), thick)
        first, wide, start, bottom = first + r if f.facts.get("start") else first, 0.0, "", 0.0
    ends = sorted((f.at(first)[2], f.at(last)[2]))
    return Upright(name, at, 0.0, (ends[0], ends[1]) if first <= last else None, start, bottom, wide, down)


def _entries(every: Iterator[Edge]) -> Iterator[Entry]:
    for e in every:
        axis = 0 if abs(e.inward[0]) > 1 - 1e-9 else 1
        if abs(e.inward[axis]) > 1 - 1e-9:
            low, high = sorted((e.start[1 - axis], e.end[1 - axis]))
            yield Entry(e, axis, 1 if e.inward[axis] > 0 else -1, e.start[axis], low, high)


def run_start(side: Side) -> float:
    """Distance from the edge at which a drilling that goes on from a port begins to cut."""
    return side.bored - RUN_BACK
