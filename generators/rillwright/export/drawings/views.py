"""What is seen of a solid: visible and hidden lines by the kernel's exact hidden-line removal.

Views are at full size, in the plane of the paper; the caller scales and places them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepLib import BRepLib
from OCP.GeomAbs import GeomAbs_Circle, GeomAbs_Line
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from OCP.HLRAlgo import HLRAlgo_Projector
from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape
from OCP.TopAbs import TopAbs_EDGE
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS

from .canvas import Canvas, Kind, Point
from .frames import Eye
from .outlines import BENDS
from .unseen import bores, compound, worth_a_look


@dataclass(frozen=True, slots=True)
class Chain:
    """Points joined by straight lines, mm."""

    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Bow:
    """Circle or arc, counter-clockwise from `start` to `end`, degrees; 0 to 360 for a whole one."""

    centre: Point
    radius: float
    start: float = 0.0
    end: float = 360.0

    @property
    def whole(self) -> bool:
        return self.end - self.start > 359.999


Curve = Chain | Bow


@dataclass(slots=True)
class Seen:
    """What one sees: lines in front, lines behind, and regions cut through (outside first, then holes)."""

    visible: list[Curve] = field(default_factory=list)
    hidden: list[Curve] = field(default_factory=list)
    cut: list[list[list[Point]]] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a view is put on the paper: `origin` is where its (0, 0) goes, `scale` paper over part."""

    canvas: Canvas
    origin: Point
    scale: float

    def at(self, p: Point) -> Point:
        return (self.origin[0] + self.scale * p[0], self.origin[1] + self.scale * p[1])

    def draw(self, curves: list[Curve], kind: Kind) -> None:
        for c in curves:
            if isinstance(c, Chain):
                self.canvas.polyline([self.at(p) for p in c.points], kind)
            elif c.whole:
                self.canvas.circle(self.at(c.centre), self.scale * c.radius, kind)
            else:
                self.canvas.arc(self.at(c.centre), self.scale * c.radius, c.start, c.end, kind)


def seen(solid: Any, eye: Eye, hidden: bool = True) -> Seen:
    """Lines of a solid (cq.Shape in the part frame, mm) as the eye sees them; without `hidden` only those in front."""
    return lines(compound(worth_a_look(solid.wrapped, eye, hidden)), eye, hidden)


def edge_seen(solid: Any, eye: Eye) -> Seen:
    """An edge as `seen` without hidden lines, but for those of drillings and bores that run level behind it."""
    made = seen(solid, eye, hidden=False)
    level = bores(solid.wrapped)
    if level:
        alone = lines(compound(level), eye, hidden=True)
        drawn = {_key(c) for c in made.visible}
        made.hidden = list({k: c for c in (*alone.visible, *alone.hidden) if (k := _key(c)) not in drawn}.values())
    return made


def lines(faces: Any, eye: Eye, hidden: bool) -> Seen:
    """Lines of some faces (TopoDS_Shape), of which those nearer to the eye hide the others."""
    algorithm = HLRBRep_Algo()
    algorithm.Add(faces)
    frame = gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(*eye.towards), gp_Dir(*eye.right))
    algorithm.Projector(HLRAlgo_Projector(frame))
    algorithm.Update()
    algorithm.Hide()
    found = HLRBRep_HLRToShape(algorithm)
    made = Seen()
    for shape in (found.VCompound(), found.OutLineVCompound()):
        made.visible += _curves(shape)
    if hidden:
        for shape in (found.HCompound(), found.OutLineHCompound()):
            made.hidden += _curves(shape)
    return made


def turned_to(found: Seen, eye: Eye, other: Eye) -> Seen:
    """The same view with another direction up on the paper; both eyes look the same way."""
    (a, b), (c, d) = other.sees(eye.right), other.sees(eye.up)
    turn = math.degrees(math.atan2(b, a))

    def moved(p: Point) -> Point:
        return (a * p[0] + c * p[1], b * p[0] + d * p[1])

    def one(v: Curve) -> Curve:
        if isinstance(v, Bow):
            return Bow(moved(v.centre), v.radius, v.start + turn, v.end + turn)
        return Chain(tuple(map(moved, v.points)))

    return Seen([one(v) for v in found.visible], [one(v) for v in found.hidden])


def _curves(compound: Any) -> list[Curve]:
    if compound is None or compound.IsNull():
        return []
    BRepLib.BuildCurves3d_s(compound)
    out: dict[Any, Curve] = {}
    explorer = TopExp_Explorer(compound, TopAbs_EDGE)
    while explorer.More():
        curve = _curve(BRepAdaptor_Curve(TopoDS.Edge_s(explorer.Current())))
        out.setdefault(_key(curve), curve)
        explorer.Next()
    return list(out.values())


def _key(c: Curve) -> Any:
    """Curves that lie on each other, as the two ends of a through hole do, are drawn once."""
    if isinstance(c, Bow):
        return (round(c.centre[0], 3), round(c.centre[1], 3), round(c.radius, 3), round(c.start, 2), round(c.end, 2))
    return tuple(sorted((round(x, 3), round(y, 3)) for x, y in (c.points[0], c.points[len(c.points) // 2], c.points[-1])))


def _curve(a: Any) -> Curve:
    first, last, kind = a.FirstParameter(), a.LastParameter(), a.GetType()
    if kind == GeomAbs_Circle:
        circle = a.Circle()
        centre, up = circle.Location(), circle.Axis().Direction().Z()
        if abs(up) > 0.9999:
            return _bow(a, (centre.X(), centre.Y()), circle.Radius(), first, last, up > 0)
    n = 1 if kind == GeomAbs_Line else BENDS
    points = [a.Value(first + (last - first) * i / n) for i in range(n + 1)]
    return Chain(tuple((p.X(), p.Y()) for p in points))


def _bow(a: Any, centre: Point, radius: float, first: float, last: float, ccw: bool) -> Bow:
    sweep = math.degrees(last - first)
    if sweep > 359.99:
        return Bow(centre, radius)
    p = a.Value(first if ccw else last)
    start = math.degrees(math.atan2(p.Y() - centre[1], p.X() - centre[0]))
    return Bow(centre, radius, start, start + sweep)
