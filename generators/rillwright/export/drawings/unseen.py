"""Which faces of a solid a view can do without: those that show nothing in it, so that less has to be searched.

Nothing that is seen is lost. A plane or a cylinder that the eye looks along covers no area on the paper, and its rim
belongs to its neighbours too. What looks away lies behind the solid's own front. The rim of the farthest plane is drawn
already: by the near ends of walls along the line of sight, by slanted walls. Whatever lies behind faces that look
at the eye, and within their outlines, is covered.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from typing import Any

from OCP.Bnd import Bnd_Box
from OCP.BRep import BRep_Builder, BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepBndLib import BRepBndLib
from OCP.GeomAbs import GeomAbs_C0, GeomAbs_Cone, GeomAbs_Cylinder, GeomAbs_Plane
from OCP.gp import gp_Pnt, gp_Vec
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_REVERSED
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Compound

from ...layout.geometry import dot
from .frames import Eye
from .outlines import rings

FLAT = 1e-6  # of a unit vector: seen edge on
CHORDS = 0.05  # mm: a cover's holes are taken so much larger, more than their chords are off
SEAM = 1e-3  # mm: covers that share an edge are one
QUARTER = 2.0  # rad, and well above a quarter: the floor radius of a channel is no bore
TURNS = 8  # normals looked at round a cylinder or cone: of those with one axis, all or none of the rest look away
SMALL, LEVELS = 0.001, 8  # covers that are worth the while: their share of all, and depths at which they begin
ABOVE = Eye((1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
Box = tuple[float, float, float, float]  # left, low, right, high


@dataclass(slots=True, eq=False)
class Face:
    """A face as an eye looks at it. `looks`: cosine between its normal and the line of sight, None where it is no plane."""

    shape: Any  # TopoDS_Face
    looks: float | None
    along: bool = False  # a plane or cylinder that the eye looks along
    box: Box = (0.0, 0.0, 0.0, 0.0)  # what it covers on the paper at most, mm
    near: float = 0.0  # mm towards the eye: no place of it is nearer; right for planes square to the eye at first
    far: float = 0.0  # none is farther

    @property
    def square_off(self) -> bool:
        """Whether it is a plane that looks straight away from the eye."""
        return self.looks is not None and self.looks < FLAT - 1


def worth_a_look(shape: Any, eye: Eye, behind: bool) -> list[Face]:
    """The faces of a shape (TopoDS_Shape in the part frame) that may show in a view. `behind`: covered lines count too."""
    if not behind:
        return uncovered(showing(list(measured(shape, eye))), eye)
    found = showing(list(_faces(shape, eye)))
    last = min((f.far for f in found if f.square_off), default=0.0)
    return [f for f in found if not (f.square_off and f.far < last + SEAM and _sharp(f))]


def bores(shape: Any) -> list[Face]:
    """Round faces whose axis lies level in the plate, those of drillings and of ports in edges; no quarter round."""
    found = []
    for f in _faces(shape, ABOVE):
        if (surface := BRepAdaptor_Surface(f.shape, False)).GetType() not in (GeomAbs_Cylinder, GeomAbs_Cone):
            continue
        axis = (surface.Cylinder() if surface.GetType() == GeomAbs_Cylinder else surface.Cone()).Axis().Direction()
        if abs(axis.Z()) < FLAT and _sweep(f) > QUARTER:
            found.append(f)
    return found


def _sweep(f: Face) -> float:
    """How far round a round face goes, rad."""
    bounds = BRepAdaptor_Surface(f.shape, True)
    return float(bounds.LastUParameter() - bounds.FirstUParameter())


def measured(shape: Any, eye: Eye) -> Iterator[Face]:
    """Every face of a shape, with what it covers on the paper."""
    for f in _faces(shape, eye):
        _measure(f, eye)
        yield f


def showing(found: list[Face]) -> list[Face]:
    """Those that the eye does not look along."""
    return [f for f in found if not f.along]


def uncovered(found: list[Face], eye: Eye) -> list[Face]:
    """Those, of faces that were measured, that do not look away and that no others cover."""
    stands = [(f, s) for f in found if (s := _stands(f, eye)) >= 0]
    covers = _covers([f for f, s in stands if s > 0], eye)
    return [f for f, s in stands if not _covered(f, s > 0, covers)]


def _faces(shape: Any, eye: Eye) -> Iterator[Face]:
    explorer = TopExp_Explorer(shape, TopAbs_FACE)
    while explorer.More():
        face = TopoDS.Face_s(explorer.Current())
        explorer.Next()
        surface = BRepAdaptor_Surface(face, False)
        kind = surface.GetType()
        if kind == GeomAbs_Plane:
            p = surface.Plane().Location()
            at, looks = dot((p.X(), p.Y(), p.Z()), eye.towards), _looks(surface.Plane(), face, eye)
            yield Face(face, looks, abs(looks) < FLAT, near=at, far=at)
        elif kind == GeomAbs_Cylinder:
            d = surface.Cylinder().Axis().Direction()
            yield Face(face, None, abs(dot((d.X(), d.Y(), d.Z()), eye.towards)) > 1 - FLAT**2)
        else:
            yield Face(face, None)


def _looks(plane: Any, face: Any, eye: Eye) -> float:
    n = plane.Axis().Direction()
    # The axis of a left-handed plane points the other way than its normal.
    outward = plane.Direct() != (face.Orientation() == TopAbs_REVERSED)
    return dot((n.X(), n.Y(), n.Z()), eye.towards) * (1 if outward else -1)


def _sharp(f: Face) -> bool:
    """Whether a face goes over into none of its neighbours smoothly: without it a smooth seam would be drawn as an edge."""
    explorer = TopExp_Explorer(f.shape, TopAbs_EDGE)
    while explorer.More():
        if BRep_Tool.MaxContinuity_s(TopoDS.Edge_s(explorer.Current())) != GeomAbs_C0:
            return False
        explorer.Next()
    return True


def _stands(f: Face, eye: Eye) -> int:
    """1 where all of a plane, cylinder or cone looks at the eye, −1 where all of it looks away, else 0."""
    if f.looks is not None:
        return 1 if f.looks > 0 else -1
    surface = BRepAdaptor_Surface(f.shape, True)
    if surface.GetType() not in (GeomAbs_Cylinder, GeomAbs_Cone):
        return 0
    first, last = surface.FirstUParameter(), surface.LastUParameter()
    if last - first > math.pi + FLAT:
        return 0
    v = (surface.FirstVParameter() + surface.LastVParameter()) / 2
    sign = -1 if f.shape.Orientation() == TopAbs_REVERSED else 1
    p, du, dv = gp_Pnt(), gp_Vec(), gp_Vec()
    looks = []
    for i in range(TURNS + 1):
        surface.D1(first + (last - first) * i / TURNS, v, p, du, dv)
        n = du.Crossed(dv)
        looks.append(sign * dot((n.X(), n.Y(), n.Z()), eye.towards) / n.Magnitude())
    return 1 if min(looks) > -FLAT else -1 if max(looks) < FLAT else 0


def _measure(f: Face, eye: Eye) -> None:
    """What a face covers and how near it comes, from its box, which is never too small."""
    box = Bnd_Box()
    BRepBndLib.Add_s(f.shape, box, False)
    x0, y0, z0, x1, y1, z1 = box.Get()
    corners = list(product((x0, x1), (y0, y1), (z0, z1)))
    us, vs = zip(*map(eye.sees, corners), strict=True)
    depths = [dot(c, eye.towards) for c in corners]
    f.box, f.near, f.far = (min(us), min(vs), max(us), max(vs)), max(depths), min(depths)


def _covers(fronts: list[Face], eye: Eye) -> list[tuple[float, Any]]:
    """Areas that are covered from a depth on, the deepest first, with that depth; of faces that look at the eye."""
    from shapely import prepare, union_all

    least = SMALL * sum(_size(f.box) for f in fronts)
    large = [f for f in fronts if _size(f.box) > least]
    depths = sorted({round(f.far, 3) for f in large})[-LEVELS:]
    areas = [(round(f.far, 3), _area(f, eye)) for f in large if round(f.far, 3) in depths]
    made = []
    for depth in depths:
        area = union_all([a for far, a in areas if far >= depth])
        prepare(area)
        made.append((depth, area))
    return made


def _area(f: Face, eye: Eye) -> Any:
    from shapely import Polygon, union_all

    outside, *holes = rings(f.shape, eye)
    area = Polygon(outside).buffer(SEAM, join_style="mitre")
    return area.difference(union_all([Polygon(h).buffer(CHORDS) for h in holes])) if holes else area


def _size(box: Box) -> float:
    return (box[2] - box[0]) * (box[3] - box[1])


def _covered(f: Face, front: bool, covers: list[tuple[float, Any]]) -> bool:
    """Whether a face lies behind covers: if it touches their rim, its lines lie on that rim. No front covers itself."""
    from shapely import box

    i = bisect_left(covers, f.near + (SEAM if front else -SEAM), key=lambda c: c[0])
    return i < len(covers) and bool(covers[i][1].covers(box(*f.box)))


def compound(of: list[Face]) -> Any:
    """Faces as one shape."""
    builder, made = BRep_Builder(), TopoDS_Compound()
    builder.MakeCompound(made)
    for f in of:
        builder.Add(made, f.shape)
    return made
