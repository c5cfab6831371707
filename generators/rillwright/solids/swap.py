"""Cuts that open only plane faces of a plate, put in without a boolean on the plate.

What stands well within the plate and comes near nothing else takes from it only what its mouths cover of plane faces,
and adds its own walls. So the edges of the mouths go into those faces as inner wires, and the walls into the shell.
Linear in the number of cuts where the boolean is not; what touches anything else is left to that.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Any

import cadquery as cq
from OCP.Bnd import Bnd_Box
from OCP.BRep import BRep_Builder, BRep_Tool
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
from OCP.BRepClass import BRepClass_FaceClassifier
from OCP.BRepGProp import BRepGProp
from OCP.BRepTools import BRepTools
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_FACE, TopAbs_State, TopAbs_VERTEX, TopAbs_WIRE
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Shell, TopoDS_Solid

from ..layout.features import Feature, PlateLayout, Profile
from ..layout.pockets import Pocket
from ..layout.profiles import STAND_OUT, clipped
from .boolean import GeometryError
from .cavity import Cavity, Plane, parts, plane_of
from .reach import CLEAR


def stepped(plate: PlateLayout) -> list[Feature]:
    """All features, each strut seat and its screw hole put together from the outer face: they are one stepped hole."""
    by_name = {f.name: f for f in plate.features}
    seats = {f.joins[0]: f for f in plate.features if f.role == "strut-seat" and len(f.joins) == 1}
    out = []
    for f in by_name.values():
        seat = seats.get(f.name)
        if seat is not None and math.isclose(f.depth + seat.depth, plate.thickness):
            wide, end = seat.radius, plate.thickness + STAND_OUT
            profile = (*f.profile[:-1], (wide, f.depth), (wide, end), (0.0, end))
            out.append(replace(f, profile=profile, mouths=("outer", "seal"), joins=(seat.name,)))
        elif f.role != "strut-seat" or len(f.joins) != 1 or not math.isclose(
            f.depth + by_name[f.joins[0]].depth, plate.thickness
        ):
            out.append(f)
    return out


def plain(f: Feature, plate: PlateLayout) -> bool:
    """Whether a feature's tool, ended in the plane faces, is the hole itself: it stands upright and opens no others."""
    upright = abs(f.axis[2]) > 1 - 1e-12 and bool(f.mouths) and {"seal", "outer"}.issuperset(f.mouths)
    return upright and (len(f.mouths) == 2 or f.depth < plate.thickness - CLEAR)


def plain_pocket(p: Pocket, plate: PlateLayout) -> bool:
    """Whether a pocket's tool can end in the faces that it opens: a floor, if any, and a wall are left of it."""
    return len(p.mouths) == 2 or p.floor_radius + CLEAR < p.depth < plate.thickness - CLEAR


def trimmed(f: Feature, plate: PlateLayout) -> Profile:
    """The feature's profile between the plane faces it opens through."""
    return clipped(f.profile, plate.thickness if len(f.mouths) == 2 else math.inf)


def swapped(base: Any, cavities: Iterable[Cavity]) -> Any:
    """`base` with the walls of each cavity put in and its mouths taken out of the plane faces.

    A groove parts a plane face into several: each mouth goes into the one that it stands on. Raises GeometryError for
    one that stands on none.
    """
    cavities = list(cavities)
    planes = dict.fromkeys(p for c in cavities for p, _ in c.rims)
    hosts: list[tuple[Plane, list[_Host]]] = [(p, []) for p in planes]
    rims = [rim for c in cavities for rim in c.rims]
    kept = [wall for c in cavities for wall in c.walls]
    islands = [face for c in cavities for _, face in c.islands]
    split = [p for c in cavities for p, _ in c.islands]
    for face in [*islands, *parts(base.wrapped, TopAbs_FACE)]:
        own = plane_of(face)
        known = None if own is None else next((some for p, some in hosts if p.same(own)), None)
        if own is None or known is None:
            kept.append(face)
        elif any(p.same(own) for p in split):  # what was open before may now lie on an island
            whole, inner = _filled(face)
            known.append(_Host(whole))
            rims += [(own, rim) for rim in inner]
        else:
            known.append(_Host(face))
    for plane, rim in rims:
        _standing_on(rim, next(some for p, some in hosts if p.same(plane))).rims.append(rim)
    return _closed([*kept, *(f for _, some in hosts for f in _opened(some))])


def _filled(face: Any) -> tuple[Any, list[Any]]:
    """A plane face without its holes, and their edges."""
    outer = BRepTools.OuterWire_s(TopoDS.Face_s(face))
    whole = face.EmptyCopied()
    inner = []
    for wire in parts(face, TopAbs_WIRE):
        if wire.IsSame(outer):
            BRep_Builder().Add(whole, wire)
        else:
            inner.append(wire)
    return whole, inner


class _Host:
    """A plane face that may take mouths."""

    def __init__(self, face: Any) -> None:
        self.face, self.rims = TopoDS.Face_s(face), list[Any]()
        bulk = GProp_GProps()
        BRepGProp.SurfaceProperties_s(face, bulk)
        self.area, self.box = bulk.Mass(), Bnd_Box()
        BRepBndLib.Add_s(face, self.box, False)

    def holds(self, p: Any) -> bool:
        if self.box.IsOut(p):
            return False
        return bool(BRepClass_FaceClassifier(self.face, p, 1e-6).State() == TopAbs_State.TopAbs_IN)


def _standing_on(rim: Any, hosts: list[_Host]) -> _Host:
    """The face on which a mouth lies: the smallest that holds it, since islands stand within the mouths of others."""
    if len(hosts) == 1:
        return hosts[0]
    p = BRep_Tool.Pnt_s(TopoDS.Vertex_s(TopExp_Explorer(rim, TopAbs_VERTEX).Current()))
    holding = [h for h in hosts if h.holds(p)]
    if not holding:
        raise GeometryError(f"a mouth at x {p.X():.2f}, y {p.Y():.2f} lies on no face of the plate")
    return min(holding, key=lambda h: h.area)


def _opened(hosts: list[_Host]) -> Iterator[Any]:
    """The faces with their new inner wires."""
    for host in hosts:
        if not host.rims:
            yield host.face
            continue
        made = BRepBuilderAPI_MakeFace(host.face)
        for rim in host.rims:
            made.Add(TopoDS.Wire_s(rim))
        yield made.Face()


def _closed(faces: list[Any]) -> Any:
    builder, shell, solid = BRep_Builder(), TopoDS_Shell(), TopoDS_Solid()
    builder.MakeShell(shell)
    for face in faces:
        builder.Add(shell, face)
    shell.Closed(True)
    builder.MakeSolid(solid)
    builder.Add(solid, shell)
    return cq.Shape.cast(solid)
