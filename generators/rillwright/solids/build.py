"""From placed features to solids: one revolved tool per feature, one prism per pocket, one boolean per plate.

Part frame: x and y as in the file, z = 0 on the seal face. A plate whose seal face looks up lies at z < 0, one
whose seal face looks down at z > 0, so that no part is ever mirrored or turned between file, part and assembly.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache, partial
from typing import Any

import cadquery as cq
from OCP.BRepOffsetAPI import BRepOffsetAPI_DraftAngle
from OCP.gp import gp_Ax3, gp_Dir, gp_Pln, gp_Pnt, gp_Trsf

from ..layout.edge_break import hollow_at_arcs
from ..layout.features import Cut, Feature, Hardware, Outline, PlateLayout, Profile, Vec3
from ..layout.machine import Stance
from ..layout.pockets import Pocket
from ..layout.profiles import STAND_OUT
from ..layout.swept import trees
from .boolean import GeometryError as GeometryError
from .boolean import cut
from .cavity import Cavity, Touched, at_home, faces_of, of_block, of_tool
from .pieces import in_pieces
from .pockets import cord_solid, pocket_tool, wire
from .reach import Cluster, clusters
from .seams import seam
from .swap import plain, plain_pocket, stepped, swapped, trimmed
from .trees import tree_tool, valid

FUZZY = 1e-5  # mm: a hundred times what the kernel takes for the same place


@lru_cache(maxsize=512)
def revolved(profile: Profile) -> Any:
    """Solid of revolution about +z through the origin (mm)."""
    wire = cq.Wire.makePolygon([cq.Vector(r, 0, z) for r, z in profile], close=True)
    return cq.Solid.revolve(wire, [], 360, cq.Vector(0, 0, 0), cq.Vector(0, 0, 1))


def location(origin: Vec3, axis: Vec3, across: Vec3 | None = None) -> Any:
    """Location that puts the local origin at `origin` (mm), local +z along `axis`, and local +x, where the seam of
    what is revolved runs, along `across`: square to the axis, the kernel's choice for None."""
    move = gp_Trsf()
    frame = gp_Ax3(gp_Pnt(*origin), gp_Dir(*axis), *(() if across is None else (gp_Dir(*across),)))
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


def tool(feature: Feature, side: float, across: Vec3 | None = None) -> Any:
    """The feature's tool in the part frame; `side` is +1 where the seal face looks up, −1 where it looks down. `across`:
    from the axis to its seam, in the part frame."""
    (x, y, z), (a, b, c) = feature.origin, feature.axis
    return revolved(feature.profile).moved(location((x, y, side * z), (a, b, side * c), across))


def usual_seam(feature: Feature, side: float) -> Vec3:
    """From the axis to where the kernel puts a tool's seam by itself, in the part frame."""
    a, b, c = feature.axis
    way = gp_Ax3(gp_Pnt(), gp_Dir(a, b, side * c)).XDirection()
    return way.X(), way.Y(), way.Z()


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

    With `swap` (the default) cuts that open plane faces only go in without a boolean on the plate; without it all go
    through that, which is slower and serves as the reference.
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
    cavities, rest = _apart(plate) if swap else ([], list(plate.cuts))
    whole = _whole(base, rest, plate) if rest else base
    made = swapped(whole, cavities) if cavities else whole
    untouched = len(made.Faces()) == len(base.Faces()) and math.isclose(made.Volume(), base.Volume(), rel_tol=1e-9)
    if untouched and any(map(_rounded, plate.cuts)):
        raise GeometryError("none of its cuts took anything away; look for lines that lie on one another")
    return made


def _whole(base: Any, cuts: Sequence[Cut], plate: PlateLayout) -> Any:
    """What the cuts leave, in one piece; where floors are round also valid, if any way leads there. Raises
    GeometryError."""
    tools, left = _tools(cuts, plate), None
    for way in (partial(cut, base, tools), partial(_one_by_one, base, tools), partial(cut, base, tools, FUZZY)):
        left = way()
        if len(left.Solids()) == 1 and (not any(map(_rounded, cuts)) or valid(left)):
            return left.Solids()[0]
    raise GeometryError(in_pieces(left.Solids(), cuts, plate) if left is not None else "nothing was cut")


def _one_by_one(base: Any, tools: list[Any]) -> Any:
    for t in tools:
        base = cut(base, [t])
    return base


def _rounded(c: Cut) -> bool:
    return isinstance(c, Pocket) and c.floor_radius > 0


def _tools(cuts: Sequence[Cut], plate: PlateLayout) -> list[Any]:
    """Tools of cuts that may meet, with their seams where they graze no other; strokes with a floor radius that run
    into each other as one."""
    joined = trees([c for c in cuts if isinstance(c, Pocket)])
    within = {p.name for tree in joined for p in tree}
    single = [_led(c, cuts, plate) if isinstance(c, Feature) else pocket_tool(c, plate)
              for c in cuts if isinstance(c, Feature) or c.name not in within]  # fmt: skip
    return [*single, *(tree_tool(tree, plate, STAND_OUT) for tree in joined)]


def _led(feature: Feature, cuts: Sequence[Cut], plate: PlateLayout) -> Any:
    side = plate.side
    x, y, z = usual_seam(feature, side)
    a, b, c = seam(feature, cuts, plate, (x, y, side * z))
    return tool(feature, side, (a, b, side * c))


def _apart(plate: PlateLayout) -> tuple[list[Cavity], list[Cut]]:
    """What can be made apart from the plate and put in, and the cuts that cannot."""
    found, rest = clusters(plate, [*stepped(plate), *plate.pockets])
    known, cavities = dict[Any, tuple[Cavity, tuple[float, float]]](), list[Cavity]()
    for cluster in found:
        key, (x, y) = at_home(cluster)
        if key not in known:
            try:
                known[key] = _cavity(cluster, plate), (x, y)
            except Touched:
                rest += cluster.cuts
                continue
        made, (x0, y0) = known[key]
        cavities.append(made.moved(x - x0, y - y0))
    return cavities, rest


def _cavity(cluster: Cluster, plate: PlateLayout) -> Cavity:
    """The faces of one cluster, the slow way only where cuts meet. Raises Touched."""
    one = cluster.cuts[0]
    if len(cluster.cuts) == 1 and isinstance(one, Feature) and plain(one, plate):
        return of_tool(tool(replace(one, profile=trimmed(one, plate)), plate.side), faces_of(plate))
    if len(cluster.cuts) == 1 and isinstance(one, Pocket) and plain_pocket(one, plate):
        return of_tool(_alone(one, plate), faces_of(plate))
    return of_block(cluster, plate, _tools(cluster.cuts, plate))


def _alone(one: Pocket, plate: PlateLayout) -> Any:
    """The tool of one pocket, ended in the faces that it opens."""
    return tree_tool(trees([one])[0], plate, 0.0) if trees([one]) else pocket_tool(one, plate, stand_out=0.0)
