"""Tools of what is milled: prisms over strokes and areas, in the part frame, with true arcs."""

from __future__ import annotations

from typing import Any

import cadquery as cq

from ..layout.features import Arc, Hardware, Outline, PlateLayout
from ..layout.pockets import Area, Path, Pocket, Stroke
from ..layout.profiles import STAND_OUT
from ..layout.strokes import boundary, smooth


def wire(outline: Outline | Path, z: float) -> Any:
    """Closed wire of lines and circular arcs at a height, mm."""
    edges, at = [], outline.start
    for p in outline.pieces:
        a, b = cq.Vector(*at, z), cq.Vector(*p.end, z)
        if isinstance(p, Arc):
            edges.append(cq.Edge.makeThreePointArc(a, cq.Vector(*p.middle, z), b))
        elif (b - a).Length > 1e-7:
            edges.append(cq.Edge.makeLine(a, b))
        at = p.end
    return cq.Wire.assembleEdges(edges)


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


def levels(pocket: Pocket, plate: PlateLayout) -> tuple[float, float]:
    """Heights (part frame, mm) of a pocket's floor and of its tool's top, which stands out of the face."""
    through = len(pocket.mouths) > 1
    deep = plate.thickness + STAND_OUT if through else pocket.depth
    floor, top = (-deep, STAND_OUT) if pocket.face == "seal" else (deep - plate.thickness, -STAND_OUT - plate.thickness)
    return plate.side * floor, plate.side * top


def pocket_tool(pocket: Pocket, plate: PlateLayout) -> Any:
    """What is taken out of the plate, standing out of the face that it is cut from."""
    floor, top = levels(pocket, plate)
    solid = prism(pocket.shape, floor, top)
    if pocket.floor_radius > 0 and len(pocket.mouths) == 1:
        rims = [e for e in solid.Edges() if abs(e.BoundingBox().zmin - floor) < 1e-6 and e.BoundingBox().zlen < 1e-6]
        solid = solid.fillet(pocket.floor_radius, rims)
    return solid.Solids()[0]
