"""Tools of what is milled: prisms over strokes and areas, in the part frame, with true arcs."""

from __future__ import annotations

from typing import Any

import cadquery as cq
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge
from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pnt

from ..layout.features import Arc, Hardware, Outline, PlateLayout
from ..layout.outline import arc_centre
from ..layout.pockets import Area, Path, Pocket, Point2, Stroke
from ..layout.profiles import STAND_OUT
from ..layout.strokes import boundary, smooth

_DIGITS = 9  # after the point, mm: a hundredth of what the kernel takes for the same point


def wire(outline: Outline | Path, z: float) -> Any:
    """Closed wire of lines and circular arcs at a height, mm."""
    edges, at = [], outline.start
    for p in outline.pieces:
        a, b = cq.Vector(*at, z), cq.Vector(*p.end, z)
        if isinstance(p, Arc):
            edges.append(_bow(at, p, z))
        elif (b - a).Length > 1e-7:
            edges.append(cq.Edge.makeLine(a, b))
        at = p.end
    return cq.Wire.assembleEdges(edges)


def _bow(start: Point2, arc: Arc, z: float) -> Any:
    """A circular arc at a height. Its centre has so many digits as make those of concentric arcs equal: the kernel cuts
    surfaces on one axis exactly and at once, but searches for the curve where axes are 1e-13 mm apart."""
    (x, y), r = arc_centre(start, arc.middle, arc.end)
    left = (start[0] - x) * (arc.middle[1] - y) > (start[1] - y) * (arc.middle[0] - x)
    axis = gp_Ax2(gp_Pnt(round(x, _DIGITS), round(y, _DIGITS), z), gp_Dir(0, 0, 1 if left else -1), gp_Dir(1, 0, 0))
    circle = gp_Circ(axis, round(r, _DIGITS))
    return cq.Edge(BRepBuilderAPI_MakeEdge(circle, gp_Pnt(*start, z), gp_Pnt(*arc.end, z)).Edge())


def prism(shape: Stroke | Area, low: float, high: float) -> Any:
    """Solid over a plan shape between two heights, mm."""
    if isinstance(shape, Stroke) and not smooth(shape):
        return _cornered(shape, low, high)
    outer, holes = boundary(shape) if isinstance(shape, Stroke) else (shape.outside, shape.islands)
    face = cq.Face.makeFromWires(wire(outer, low), [wire(h, low) for h in holes])
    return cq.Solid.extrudeLinear(face, cq.Vector(0, 0, high - low))


def _cornered(stroke: Stroke, low: float, high: float) -> Any:
    """A stroke with corners, from one stroke for each of its pieces."""
    parts, at = [], stroke.path.start
    for p in stroke.path.pieces:
        one = Stroke(Path(at, (p,)), stroke.width)
        parts.append(prism(one, low, high) if smooth(one) else _tight(one, low, high))
        at = p.end
    united = parts[0].fuse(*parts[1:]).clean() if len(parts) > 1 else parts[0]
    return united.Solids()[0]


def _tight(stroke: Stroke, low: float, high: float) -> Any:
    """Along an arc tighter than half the width: its outer side, with both ends' discs."""
    grown = wire(stroke.path, low).offset2D(stroke.width / 2, "arc")
    if len(grown) != 1:
        raise ValueError(f"an arc from {stroke.path.start} is too tight for a stroke of {stroke.width:g} mm")
    return cq.Solid.extrudeLinear(cq.Face.makeFromWires(grown[0]), cq.Vector(0, 0, high - low))


def cord_solid(part: Hardware) -> Any:
    """A cord along its line, in the assembly frame: as wide and high as its section, its edges round where that is."""
    assert part.path is not None
    across, up = [r for r, _ in part.profile], [z for _, z in part.profile]
    low, high = (part.origin[2] + part.axis[2] * z for z in (min(up), max(up)))
    solid = prism(Stroke(part.path, max(across) - min(across)), low, high)
    flat = [r for r, z in part.profile if z < min(up) + 1e-9]
    round_ = (max(across) - min(across) - max(flat) + min(flat)) / 2
    if round_ < 0.1:
        return solid
    level = [e for e in solid.Edges() if e.BoundingBox().zlen < 1e-6]
    return solid.fillet(0.9 * min(round_, (max(up) - min(up)) / 2), level).Solids()[0]


def levels(pocket: Pocket, plate: PlateLayout, stand_out: float = STAND_OUT) -> tuple[float, float]:
    """Heights (part frame, mm) of a pocket's floor and of its tool's top, which stands out of the face."""
    through = len(pocket.mouths) > 1
    deep = plate.thickness + stand_out if through else pocket.depth
    floor, top = (-deep, stand_out) if pocket.face == "seal" else (deep - plate.thickness, -stand_out - plate.thickness)
    return plate.side * floor, plate.side * top


def pocket_tool(pocket: Pocket, plate: PlateLayout, stand_out: float = STAND_OUT) -> Any:
    """What is taken out of the plate, standing out of the face that it is cut from."""
    floor, top = levels(pocket, plate, stand_out)
    solid = prism(pocket.shape, floor, top)
    if pocket.floor_radius > 0 and len(pocket.mouths) == 1:
        rims = [e for e in solid.Edges() if abs(e.BoundingBox().zmin - floor) < 1e-6 and e.BoundingBox().zlen < 1e-6]
        solid = solid.fillet(pocket.floor_radius, rims)
    return solid.Solids()[0]
