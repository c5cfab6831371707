"""The wet space of an assembly as solids: a box round everything, less everything that is there. Exact, no tolerance."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import cadquery as cq
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.gp import gp_Pnt
from OCP.TopAbs import TopAbs_State
from OCP.TopTools import TopTools_ListOfShape

from ...layout.features import Hardware, Vec3
from ...layout.nets import Assembly, Terminal
from ...solids.build import hardware_solid

SLIVER = 1.0  # mm³: a void smaller than this that nothing reaches is counted, not reported; our choice
MARGIN = 10.0  # mm between the parts and the box round them


@dataclass(frozen=True, slots=True, eq=False)
class Void:
    """One connected space that no part fills. Volume in mm³."""

    volume: float
    terminals: tuple[str, ...]
    outside: bool
    middle: Vec3  # of its bounding box, in the assembly frame
    shape: Any = field(repr=False)
    area: float = 0.0  # mm², where it was measured


@dataclass(frozen=True, slots=True)
class Recovered:
    """What was found in one assembly."""

    voids: tuple[Void, ...]
    slivers: int
    lost: tuple[str, ...] = ()  # terminals that lie in no void
    fault: str = ""  # why there is no answer

    def of(self, terminal: str) -> Void | None:
        return next((v for v in self.voids if terminal in v.terminals), None)

    @property
    def partition(self) -> frozenset[tuple[frozenset[str], bool]]:
        """Which terminals stand in one void, and whether it is the outside."""
        return frozenset((frozenset(v.terminals), v.outside) for v in self.voids if v.terminals)


_KEPT = 2  # answers
_recent: list[tuple[Assembly, list[Any], list[Hardware], Recovered]] = []


def recovered(assembly: Assembly, plates: Mapping[str, Any], parts: list[Hardware]) -> Recovered:
    """Voids of an assembly. `plates` are the finished solids in their own frames, `parts` all that seals.

    The last answers are kept: the report draws the very spaces that the checks have found, without a second boolean.
    """
    own = [plates[p.name] for p in assembly.plates]
    for known, solids, closed, answer in _recent:
        same = len(solids) == len(own) and all(a is b for a, b in zip(solids, own, strict=True))
        if same and known == assembly and closed == parts:
            return answer
    found = _recovered(assembly, own, parts)
    _recent.append((assembly, own, parts, found))
    del _recent[:-_KEPT]
    return found


def _recovered(assembly: Assembly, plates: list[Any], parts: list[Hardware]) -> Recovered:
    placed = [s.moved(cq.Location(cq.Vector(0, 0, p.height))) for p, s in zip(assembly.plates, plates, strict=True)]
    solids = [*placed, *(hardware_solid(h) for h in parts)]
    hull, corner = _hull(solids)
    operation = BRepAlgoAPI_Cut()
    arguments, tools = TopTools_ListOfShape(), TopTools_ListOfShape()
    arguments.Append(hull.wrapped)
    for s in solids:
        tools.Append(s.wrapped)
    operation.SetArguments(arguments)
    operation.SetTools(tools)
    operation.SetRunParallel(True)
    operation.SetNonDestructive(True)
    operation.Build()
    if not operation.IsDone():
        return Recovered((), 0, fault="the kernel's boolean failed")
    spaces = [_Space(s) for s in cq.Shape.cast(operation.Shape()).Solids()]
    return sorted_out([(s, s.volume, s.reaches(corner)) for s in spaces], assembly.terminals)


def _hull(solids: list[Any]) -> tuple[Any, float]:
    """The box, and the x of its left side."""
    boxes = [s.BoundingBox() for s in solids]
    low = [min(getattr(b, k) for b in boxes) - MARGIN for k in ("xmin", "ymin", "zmin")]
    high = [max(getattr(b, k) for b in boxes) + MARGIN for k in ("xmax", "ymax", "zmax")]
    return cq.Solid.makeBox(*(h - a for a, h in zip(low, high, strict=True)), cq.Vector(*low)), low[0]


class _Space:
    """One solid of the result, with what is asked of it."""

    def __init__(self, solid: Any) -> None:
        self.shape = solid
        self.volume = float(solid.Volume())
        self.box = solid.BoundingBox()
        self.middle: Vec3 = (self.box.center.x, self.box.center.y, self.box.center.z)
        self.area = 0.0
        self._classifier: Any = None

    def reaches(self, left: float) -> bool:
        return bool(self.box.xmin < left + MARGIN / 2)

    def holds(self, p: Vec3) -> bool:
        b = self.box
        if not (b.xmin <= p[0] <= b.xmax and b.ymin <= p[1] <= b.ymax and b.zmin <= p[2] <= b.zmax):
            return False
        if self._classifier is None:
            self._classifier = BRepClass3d_SolidClassifier(self.shape.wrapped)
        self._classifier.Perform(gp_Pnt(*p), 1e-7)
        return bool(self._classifier.State() == TopAbs_State.TopAbs_IN)


def sorted_out(spaces: list[tuple[Any, float, bool]], terminals: tuple[Terminal, ...]) -> Recovered:
    """Voids, large to small, with the terminals in them. Each space answers `holds(point)`; the outside is asked last,
    and small ones first, so that a void inside a void's island is not taken for its surroundings."""
    rest = list(terminals)
    voids, slivers = [], 0
    for space, volume, outside in sorted(spaces, key=lambda s: (s[2], s[1])):
        found = [t for t in rest if space.holds(t.at)]
        rest = [t for t in rest if t not in found]
        if not found and not outside and volume < SLIVER:
            slivers += 1
            continue
        names = tuple(t.name for t in found)
        voids.append(Void(volume, names, outside, space.middle, space.shape, space.area))
    return Recovered(tuple(reversed(voids)), slivers, tuple(t.name for t in rest))
