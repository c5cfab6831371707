"""Faces that cuts leave in a plate, made apart from it: of a tool as it is, or of a small block that cuts are taken from.

What is made once is placed at each spot where the same cuts stand. Part frame, mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import cadquery as cq
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
from OCP.BRepTools import BRepTools
from OCP.GeomAbs import GeomAbs_SurfaceType
from OCP.gp import gp_Dir, gp_Pln, gp_Pnt, gp_Trsf, gp_Vec
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_REVERSED, TopAbs_WIRE
from OCP.TopExp import TopExp, TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS

from ..layout.features import Feature, PlateLayout
from ..layout.line_pieces import Straight
from .boolean import cut
from .reach import Cluster, direction

SIDES = 6  # of a block
MARGIN = 1.0  # mm of block round its cuts
_FLAT = 1e-6  # mm and rad: planes nearer than this are the same
Vec = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Plane:
    """A plane: unit vector out of the material, and how far along it the plane lies from the origin, mm."""

    out: Vec
    at: float

    def same(self, other: Plane) -> bool:
        """Whether both are one, looking the same way."""
        return abs(self.at - other.at) < _FLAT and math.dist(self.out, other.out) < _FLAT

    def moved(self, dx: float, dy: float) -> Plane:
        return Plane(self.out, self.at + self.out[0] * dx + self.out[1] * dy)


@dataclass(frozen=True, slots=True, eq=False)
class Cavity:
    """What cuts add to a plate: `walls`; the edges of their mouths, to go round a hole in a plane face (`rims`); and
    what a mouth leaves standing within it (`islands`). All kernel shapes look as the plate has them."""

    walls: tuple[Any, ...]
    rims: tuple[tuple[Plane, Any], ...]
    islands: tuple[tuple[Plane, Any], ...]

    def moved(self, dx: float, dy: float) -> Cavity:
        """The same elsewhere in plan, mm."""
        if dx == dy == 0:
            return self
        move = gp_Trsf()
        move.SetTranslation(gp_Vec(dx, dy, 0))
        place = TopLoc_Location(move)
        rims, islands = (tuple((p.moved(dx, dy), s.Moved(place)) for p, s in of) for of in (self.rims, self.islands))
        return Cavity(tuple(w.Moved(place) for w in self.walls), rims, islands)


def plane_of(face: Any) -> Plane | None:
    """The plane of a kernel face, looking out of its solid; None for a curved one."""
    surface = BRepAdaptor_Surface(TopoDS.Face_s(face), False)
    if surface.GetType() != GeomAbs_SurfaceType.GeomAbs_Plane:
        return None
    flat = surface.Plane()
    axis, p = flat.Axis().Direction(), flat.Location()
    sign = (-1.0 if face.Orientation() == TopAbs_REVERSED else 1.0) * (1.0 if flat.Direct() else -1.0)
    out = (sign * axis.X(), sign * axis.Y(), sign * axis.Z())
    return Plane(out, out[0] * p.X() + out[1] * p.Y() + out[2] * p.Z())


def of_tool(tool: Any, planes: tuple[Plane, ...]) -> Cavity:
    """Of a tool that ends in the planes of the faces which it opens."""
    walls, rims, islands = list[Any](), list[tuple[Plane, Any]](), list[tuple[Plane, Any]]()
    for face in parts(tool.wrapped, TopAbs_FACE):
        plane = _among(plane_of(face), planes)
        if plane is None:
            walls.append(face.Reversed())
            continue
        outer = BRepTools.OuterWire_s(TopoDS.Face_s(face))
        for wire in parts(face, TopAbs_WIRE):
            if wire.IsSame(outer):
                rims.append((plane, wire.Reversed()))
            else:
                islands.append((plane, _sheet(plane, wire)))
    return Cavity(tuple(walls), tuple(rims), tuple(islands))


def _sheet(plane: Plane, wire: Any) -> Any:
    """The plane face inside a wire; the kernel turns the wire as it has to run."""
    (x, y, z), d = plane.out, plane.at
    flat = gp_Pln(gp_Pnt(x * d, y * d, z * d), gp_Dir(x, y, z))
    return BRepBuilderAPI_MakeFace(flat, TopoDS.Wire_s(wire), True).Face()


class Touched(Exception):
    """A cut reaches a side of its block that it should not: it is no cluster of its own."""


def of_block(cluster: Cluster, plate: PlateLayout, tools: list[Any]) -> Cavity:
    """Of several cuts at once, taken from a block that ends in the planes which they open. Raises Touched."""
    block, open_, shut = _block(cluster, plate)
    left = cut(block, tools).Solids()
    if len(left) != 1:
        raise Touched
    walls, rims, islands = list[Any](), list[tuple[Plane, Any]](), list[tuple[Plane, Any]]()
    corners = [v.toTuple() for v in block.Vertices()]
    frames = 0
    for face in parts(left[0].wrapped, TopAbs_FACE):
        side = _among(plane_of(face), (*open_, *shut))
        if side is None:
            walls.append(face)
            continue
        outer = BRepTools.OuterWire_s(TopoDS.Face_s(face))
        inner = [w for w in parts(face, TopAbs_WIRE) if not w.IsSame(outer)]
        if _untouched(outer, corners):
            frames += 1
            rims += [(side, w) for w in inner]
        else:
            islands.append((side, face))
    if frames != SIDES or any(side in shut for side, _ in (*rims, *islands)):
        raise Touched
    return Cavity(tuple(walls), tuple(rims), tuple(islands))


def _untouched(wire: Any, corners: list[Vec]) -> bool:
    """Whether a wire runs straight from corner to corner of the block, as that side of it did before it was cut."""
    edges = parts(wire, TopAbs_EDGE)
    places = [BRep_Tool.Pnt_s(TopExp.FirstVertex_s(TopoDS.Edge_s(e))).Coord() for e in edges]
    return len(edges) == 4 and all(any(math.dist(p, c) < _FLAT for c in corners) for p in places)


def _block(cluster: Cluster, plate: PlateLayout) -> tuple[Any, tuple[Plane, ...], tuple[Plane, ...]]:
    """The block, the planes of it that may be opened, and the others."""
    u = direction(cluster.sides[0]) if cluster.sides else (1.0, 0.0)
    v = (-u[1], u[0])
    x0, y0, x1, y1 = cluster.box
    corners = [(x, y) for x in (x0, x1) for y in (y0, y1)]
    walls = dict[tuple[float, float], float]()
    for n in (u, v, (-u[0], -u[1]), (-v[0], -v[1])):
        walls[n] = max(x * n[0] + y * n[1] for x, y in corners) + MARGIN
    sides = {_outward(s, walls): s for s in cluster.sides}
    for n, s in sides.items():
        walls[n] = s.start[0] * n[0] + s.start[1] * n[1]
    low, high = sorted((0.0, -plate.side * plate.thickness))
    made = cq.Solid.makeBox(walls[u] + walls[-u[0], -u[1]], walls[v] + walls[-v[0], -v[1]], high - low)
    corner = [-walls[-u[0], -u[1]] * u[k] - walls[-v[0], -v[1]] * v[k] for k in (0, 1)]
    frame = cq.Plane((*corner, low), xDir=(*u, 0.0), normal=(0.0, 0.0, 1.0))
    planes = {n: Plane((*n, 0.0), d) for n, d in walls.items()}
    faces = faces_of(plate)
    return made.moved(cq.Location(frame)), (*faces, *(planes[n] for n in sides)), tuple(
        p for n, p in planes.items() if n not in sides
    )  # fmt: skip


def _outward(side: Straight, walls: dict[tuple[float, float], float]) -> tuple[float, float]:
    """Which way of a block's own looks out of the plate through one of its sides; the outline is counter-clockwise."""
    t = direction(side)
    for n in walls:
        if math.dist(n, (t[1], -t[0])) < 1e-9:
            return n
    raise Touched


def faces_of(plate: PlateLayout) -> tuple[Plane, Plane]:
    """Planes of the seal face and the outer face."""
    return Plane((0.0, 0.0, plate.side), 0.0), Plane((0.0, 0.0, -plate.side), plate.thickness)


def _among(plane: Plane | None, planes: tuple[Plane, ...]) -> Plane | None:
    return None if plane is None else next((p for p in planes if p.same(plane)), None)


def parts(shape: Any, kind: Any) -> list[Any]:
    """Faces, wires or edges of a kernel shape, each turned as its owner has it."""
    found, walk = [], TopExp_Explorer(shape, kind)
    while walk.More():
        found.append(walk.Current())
        walk.Next()
    return found


def at_home(cluster: Cluster) -> tuple[Any, tuple[float, float]]:
    """The cluster without its place: what tells two apart that are the same but for that, and the place."""
    x, y, _ = cluster.cuts[0].origin
    rows = tuple(
        (c.profile, c.axis, round(c.origin[0] - x, 9), round(c.origin[1] - y, 9), c.origin[2], c.mouths)
        if isinstance(c, Feature) else c.name  # what is milled is rarely the same twice: by its name, then
        for c in cluster.cuts
    )  # fmt: skip
    ways = ((direction(s), s.start) for s in cluster.sides)
    sides = tuple((round(t[0], 12), round(t[1], 12), round((p[0] - x) * t[1] - (p[1] - y) * t[0], 9)) for t, p in ways)
    return (rows, sides), (x, y)
