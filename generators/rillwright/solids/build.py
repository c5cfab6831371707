"""From placed features to solids: one revolved tool per feature, one prism per pocket, one boolean per plate.

Part frame: x and y as in the file, z = 0 on the seal face. A plate whose seal face looks up lies at z < 0, one
whose seal face looks down at z > 0, so that no part is ever mirrored or turned between file, part and assembly.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache
from typing import Any

import cadquery as cq
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.BRepOffsetAPI import BRepOffsetAPI_DraftAngle
from OCP.gp import gp_Ax3, gp_Dir, gp_Pln, gp_Pnt, gp_Trsf
from OCP.TopTools import TopTools_ListOfShape

from ..layout.edge_break import hollow_at_arcs
from ..layout.features import Feature, Hardware, Outline, PlateLayout, Profile, Vec3
from ..layout.machine import Stance
from .pockets import cord_solid, pocket_tool, wire
from .swap import alone, swapped, trimmed


class GeometryError(RuntimeError):
    """The kernel could not make a valid single solid; the message names the plate."""


@lru_cache(maxsize=512)
def revolved(profile: Profile) -> Any:
    """Solid of revolution about +z through the origin (mm)."""
    wire = cq.Wire.makePolygon([cq.Vector(r, 0, z) for r, z in profile], close=True)
    return cq.Solid.revolve(wire, [], 360, cq.Vector(0, 0, 0), cq.Vector(0, 0, 1))


def location(origin: Vec3, axis: Vec3) -> Any:
    """Location that puts the local origin at `origin` (mm) and local +z along `axis`."""
    move = gp_Trsf()
    frame = gp_Ax3(gp_Pnt(*origin), gp_Dir(*axis))
    move.SetTransformation(frame, gp_Ax3())
    return cq.Location(move)


def in_machine(stance: Stance) -> Any:
    """Location that puts an assembly where it stands in the machine."""
    if stance.still:
        return cq.Location()
    move = gp_Trsf()
    (a, b, c), (d, e, f), (g, h, i) = stance.rows
    x, y, z = stance.at
    move.SetValues(a, b, c, x, d, e, f, y, g, h, i, z)
    return cq.Location(move)


def tool(feature: Feature, side: float) -> Any:
    """The feature's tool in the part frame; `side` is +1 where the seal face looks up, −1 where it looks down."""
    (x, y, z), (a, b, c) = feature.origin, feature.axis
    return revolved(feature.profile).moved(location((x, y, side * z), (a, b, side * c)))


def hardware_solid(part: Hardware) -> Any:
    """A bought part in the assembly frame."""
    if part.path is not None:
        return cord_solid(part)
    return revolved(part.profile).moved(location(part.origin, part.axis))


def blank(outline: Outline, thickness: float, side: float) -> Any:
    """The plate before anything is cut from it, edges broken."""
    solid = _prism(outline, 0.0, -side * thickness)
    if outline.chamfer <= 0:
        return solid
    try:
        if hollow_at_arcs(outline):
            return _drafted(outline, thickness, side)
        rims = [e for e in solid.Edges() if e.BoundingBox().zlen < 1e-6]
        return solid.chamfer(outline.chamfer, None, rims).Solids()[0]
    except Exception as e:
        raise GeometryError(f"outline.chamfer: {outline.chamfer:g} mm does not fit this outline; give less, or 0") from e


def _prism(outline: Outline, start: float, end: float) -> Any:
    """The outline between two heights in the part frame, mm."""
    face = cq.Face.makeFromWires(wire(outline, start))
    return cq.Solid.extrudeLinear(face, cq.Vector(0, 0, end - start))


def _drafted(outline: Outline, thickness: float, side: float) -> Any:
    """The blank with its edges broken by drafting the sides of a slab on each face: the kernel's chamfer gives an
    invalid solid, or none, where arcs meet in a hollow corner."""
    c, slabs = outline.chamfer, []
    for inner, outer in ((-side * c, 0.0), (-side * (thickness - c), -side * thickness)):
        slab = _prism(outline, inner, outer)
        out = gp_Dir(0, 0, math.copysign(1.0, outer - inner))
        draft = BRepOffsetAPI_DraftAngle(slab.wrapped)
        for f in slab.Faces():
            if abs(f.normalAt().z) < 0.5:
                draft.Add(f.wrapped, out, math.pi / 4, gp_Pln(gp_Pnt(0, 0, inner), gp_Dir(0, 0, 1)))
        draft.Build()
        slabs.append(cq.Shape.cast(draft.Shape()))
    return _prism(outline, -side * c, -side * (thickness - c)).fuse(*slabs).Solids()[0]


def plate_solid(plate: PlateLayout, swap: bool = True) -> Any:
    """The finished plate as one cq.Solid in the part frame; raises GeometryError.

    With `swap` (the default) holes that stand alone go in without a boolean; without it all go through the boolean,
    which is slower and serves as the reference.
    """
    try:
        finished = _finished(plate, swap)
    except GeometryError as e:
        raise GeometryError(f"plate {plate.name!r}: {e}") from e
    except Exception as e:
        raise GeometryError(f"plate {plate.name!r}: the solid could not be made ({type(e).__name__}: {e})") from e
    return finished


def _finished(plate: PlateLayout, swap: bool) -> Any:
    base = blank(plate.outline, plate.thickness, plate.side)
    simple, covered = alone(plate) if swap else ([], set())
    tools = [tool(f, plate.side) for f in plate.features if f.name not in covered]
    tools += [pocket_tool(p, plate) for p in plate.pockets]
    cut = _cut(base, tools) if tools else base
    solids = cut.Solids()
    if len(solids) != 1:
        what = "nothing is left of it" if not solids else f"it falls into {len(solids)} pieces"
        raise GeometryError(f"{what}; look for features that cut it through")
    if not simple:
        return solids[0]
    holes = [tool(replace(f, profile=trimmed(f, plate)), plate.side) for f in simple]
    return swapped(solids[0], holes, {"seal": 0.0, "outer": -plate.side * plate.thickness})


def _cut(base: Any, tools: list[Any]) -> Any:
    """One boolean with all tools at once: linear where cutting one after another is quadratic."""
    arguments, cutters = TopTools_ListOfShape(), TopTools_ListOfShape()
    arguments.Append(base.wrapped)
    for t in tools:
        cutters.Append(t.wrapped)
    operation = BRepAlgoAPI_Cut()
    operation.SetArguments(arguments)
    operation.SetTools(cutters)
    operation.SetRunParallel(True)
    operation.SetNonDestructive(True)
    operation.Build()
    if not operation.IsDone():
        raise GeometryError("the boolean failed")
    return cq.Shape.cast(operation.Shape())
