"""Holes that open only through the plate's plane faces, put in without a boolean.

A hole that stands alone takes nothing from the plate but a disc of one or both plane faces and adds its own walls.
So its tool, clipped at the faces, gives its discs to the plane faces as inner wires and its other faces to the
shell, reversed. Linear in the number of holes where the boolean is not; what touches anything else is left to it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import cadquery as cq
from OCP.BRep import BRep_Builder
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
from OCP.BRepClass import BRepClass_FaceClassifier
from OCP.TopAbs import TopAbs_State
from OCP.TopoDS import TopoDS, TopoDS_Shell, TopoDS_Solid

from ..layout.features import Feature, PlateLayout, Profile
from ..layout.outline import distance_to, encloses
from ..layout.profiles import STAND_OUT, clipped
from ..layout.strokes import near

CLEAR = 0.01  # mm: nearer than this to anything else a hole is left to the boolean


def alone(plate: PlateLayout) -> tuple[list[Feature], set[str]]:
    """Holes that open only through the plane faces and come near nothing else, in plan; and the names they cover.

    A strut's seat and its screw hole are one stepped hole here.
    """
    holes = _stepped(plate)
    shadows = [_shadow(f) for f in holes]
    found = [
        f for i, f in enumerate(holes)
        if _vertical(f) and _inside(f, plate) and not any(_meet(shadows[i], s) for j, s in enumerate(shadows) if j != i)
        and not any(near(p, f.origin[:2], shadows[i][5] + CLEAR) for p in plate.pockets)
    ]  # fmt: skip
    covered = {f.name for f in found} | {name for f in found for name in f.joins}
    return found, covered


def _stepped(plate: PlateLayout) -> list[Feature]:
    """All features, each strut seat and its screw hole put together from the outer face."""
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


def _vertical(f: Feature) -> bool:
    solid = min(r for r, _ in f.profile) < 1e-9
    deep = {"seal", "outer"}.issuperset(f.mouths)
    return solid and deep and abs(f.axis[2]) > 1 - 1e-12 and bool(f.mouths)


def _inside(f: Feature, plate: PlateLayout) -> bool:
    room = distance_to(plate.outline, f.origin[:2]) - plate.outline.chamfer
    ends = len(f.mouths) == 2 or f.depth < plate.thickness - CLEAR
    return ends and room > max(r for r, _ in f.profile) + CLEAR and encloses(plate.outline, f.origin[:2])


Shadow = tuple[float, float, float, float, float, float]  # x, y, unit direction in plan, length, radius


def _shadow(f: Feature) -> Shadow:
    """What a feature covers in plan: a point or a stretch of its axis, and a radius round it, mm."""
    level = math.hypot(*f.axis[:2])
    way = (f.axis[0] / level, f.axis[1] / level) if level > 1e-12 else (1.0, 0.0)
    return (*f.origin[:2], *way, f.depth * level, max(r for r, _ in f.profile))


def _meet(hole: Shadow, other: Shadow) -> bool:
    """Whether a vertical hole's shadow comes near another feature's."""
    dx, dy = hole[0] - other[0], hole[1] - other[1]
    reach = hole[5] + other[5] + CLEAR
    if max(abs(dx), abs(dy)) > reach + other[4]:
        return False
    t = min(max(dx * other[2] + dy * other[3], -1.0 if other[4] else 0.0), other[4])
    return math.hypot(dx - t * other[2], dy - t * other[3]) < reach


def trimmed(f: Feature, plate: PlateLayout) -> Profile:
    """The feature's profile between the plane faces it opens through."""
    return clipped(f.profile, plate.thickness if len(f.mouths) == 2 else math.inf)


def swapped(base: Any, tools: Iterable[Any], planes: dict[str, float]) -> Any:
    """`base` with each tool's walls put in and its discs taken out of the plane faces.

    planes: z of the faces "seal" and "outer" in the part frame, mm. A groove parts a plane face into several: each hole
    goes into the one that it stands on.
    """
    faces = base.Faces()
    hosts = {name: [_Host(f) for f in faces if _on_plane(f, z)] for name, z in planes.items()}
    walls = []
    for tool in tools:
        for face in tool.Faces():
            name = next((n for n, z in planes.items() if _on_plane(face, z)), None)
            if name is None:
                walls.append(face.wrapped.Reversed())
            else:
                _standing_on(face, hosts[name]).rims.append(face.outerWire().wrapped)
    return _closed([*_kept(faces, [h for some in hosts.values() for h in some]), *walls])


class _Host:
    """A plane face that may take holes."""

    def __init__(self, face: Any) -> None:
        self.face, self.rims = face, list[Any]()
        self.area = float(face.Area())

    def holds(self, p: Any) -> bool:
        return bool(BRepClass_FaceClassifier(self.face.wrapped, p.toPnt(), 1e-6).State() == TopAbs_State.TopAbs_IN)


def _standing_on(mouth: Any, hosts: list[_Host]) -> _Host:
    """The face on which a hole's mouth lies; without a groove there is only one to choose from."""
    if len(hosts) == 1:
        return hosts[0]
    return next((h for h in hosts if h.holds(mouth.Center())), max(hosts, key=lambda h: h.area))


def _on_plane(face: Any, z: float) -> bool:
    box = face.BoundingBox(1e-3) if face.geomType() == "PLANE" else None
    return box is not None and abs(box.zmin - z) < 1e-5 and abs(box.zmax - z) < 1e-5


def _kept(faces: list[Any], hosts: list[_Host]) -> Iterable[Any]:
    """The base's faces, each host with its new inner wires."""
    for face in faces:
        host = next((h for h in hosts if h.face.wrapped.IsSame(face.wrapped)), None)
        if host is None or not host.rims:
            yield face.wrapped
            continue
        made = BRepBuilderAPI_MakeFace(face.wrapped)
        for wire in host.rims:
            made.Add(TopoDS.Wire_s(wire.Reversed()))
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
