"""The wet space of an assembly as solids: a box round everything, less everything that is there. Exact, no tolerance."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import cadquery as cq
from OCP.Bnd import Bnd_Box
from OCP.BRep import BRep_Builder
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepBuilderAPI import BRepBuilderAPI_Copy
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.gp import gp_Pnt
from OCP.TopAbs import TopAbs_State
from OCP.TopoDS import TopoDS_Solid
from OCP.TopTools import TopTools_ListOfShape

from ...layout.features import Hardware, Vec3
from ...layout.nets import Assembly, Terminal
from ...solids.build import hardware_solid

SLIVER = 1.0  # mm³: a void smaller than this that nothing reaches is counted, not reported; our choice
MARGIN = 10.0  # mm between the parts and the box round them
CLEAR = 1e-4  # mm: boxes that stand this far apart hold nothing that touches


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
    placed = [_bare(s.moved(cq.Location(cq.Vector(0, 0, p.height)))) for p, s in zip(assembly.plates, plates, strict=True)]
    closing = [hardware_solid(h) for h in parts]
    boxes = [_box(s) for s in placed]
    hull, corner = _hull([*boxes, *map(_box, closing)])
    alone, meeting = _apart(placed, boxes)
    space = _less(_hollow(hull, alone), [s.wrapped for s in (*meeting, *closing)])
    if space is None:
        return Recovered((), 0, fault="the kernel's boolean failed")
    spaces = [_Space(s) for s in cq.Shape.cast(space).Solids()]
    return sorted_out([(s, s.volume, s.reaches(corner)) for s in spaces], assembly.terminals)


def _less(space: Any, bodies: list[Any]) -> Any:
    """What is left of a space, None where the kernel fails."""
    if not bodies:
        return space
    operation = BRepAlgoAPI_Cut()
    arguments, tools = TopTools_ListOfShape(), TopTools_ListOfShape()
    arguments.Append(space)
    for body in bodies:
        tools.Append(body)
    operation.SetArguments(arguments)
    operation.SetTools(tools)
    operation.SetRunParallel(True)
    operation.SetNonDestructive(True)
    operation.Build()
    return operation.Shape() if operation.IsDone() else None


Box = tuple[float, float, float, float, float, float]  # lowest x, y, z, highest x, y, z, mm


def _box(shape: Any) -> Box:
    """A box that holds a shape, from its surfaces alone: never too small, and no larger round planes and upright bores."""
    box = Bnd_Box()
    BRepBndLib.Add_s(shape.wrapped, box, False)
    x0, y0, z0, x1, y1, z1 = box.Get()
    return x0, y0, z0, x1, y1, z1


def _hull(boxes: list[Box]) -> tuple[Any, float]:
    """The box round boxes, and the x of its left side."""
    low = [min(b[k] for b in boxes) - MARGIN for k in range(3)]
    high = [max(b[k] for b in boxes) + MARGIN for k in range(3, 6)]
    return cq.Solid.makeBox(*(h - a for a, h in zip(low, high, strict=True)), cq.Vector(*low)), low[0]


def _bare(solid: Any) -> Any:
    """The same solid without its triangles: with them the kernel's boxes are wider by their chords, and more faces meet."""
    return cq.Shape.cast(BRepBuilderAPI_Copy(solid.wrapped, False, False).Shape())


def _apart(placed: list[Any], boxes: list[Box]) -> tuple[list[Any], list[Any]]:
    """Solids of one shell whose boxes stand off those of all others, and the rest."""
    def clear(a: Box, b: Box) -> bool:
        return max(p[k] - q[3 + k] for p, q in ((a, b), (b, a)) for k in range(3)) > CLEAR

    alone = [len(s.Shells()) == 1 and all(a is b or clear(a, b) for b in boxes) for s, a in zip(placed, boxes, strict=True)]
    told = list(zip(placed, alone, strict=True))
    return [s for s, yes in told if yes], [s for s, yes in told if not yes]


def _hollow(hull: Any, bodies: list[Any]) -> TopoDS_Solid:
    """The box less what stands in it without touching anything: their shells turned inwards, which needs no boolean."""
    builder, whole = BRep_Builder(), TopoDS_Solid()
    builder.MakeSolid(whole)
    for shell in hull.Shells():
        builder.Add(whole, shell.wrapped)
    for shell in (s for body in bodies for s in body.Shells()):
        builder.Add(whole, shell.wrapped.Reversed())
    return whole


class _Space:
    """One solid of the result, with what is asked of it."""

    def __init__(self, solid: Any) -> None:
        self.shape = solid
        self.volume = float(solid.Volume())
        self.box = _box(solid)
        x0, y0, z0, x1, y1, z1 = self.box
        self.middle: Vec3 = ((x0 + x1) / 2, (y0 + y1) / 2, (z0 + z1) / 2)
        self.area = 0.0
        self._classifier: Any = None

    def reaches(self, left: float) -> bool:
        near = left + MARGIN / 2
        return self.box[0] < near and bool(self.shape.BoundingBox().xmin < near)

    def holds(self, p: Vec3) -> bool:
        if not all(self.box[k] <= p[k] <= self.box[3 + k] for k in range(3)):
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
