"""Do the assemblies that stand in one machine run into each other? Boxes first, then the exact solids. Lengths in mm."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import cadquery as cq
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.BRepExtrema import BRepExtrema_DistShapeShape

from ...layout.features import PlateLayout, Vec3
from ...layout.hardware import in_assembly
from ...layout.job_layout import JobLayout
from ...layout.nets import assemblies
from ...solids.build import hardware_solid, in_machine
from ..report import Case, Cases

RULE = "parts.apart"
FITTING = 12.0  # mm: the shortest plug or elbow stands this far out of its port; our choice, no source


@dataclass(frozen=True, slots=True, eq=False)
class _Body:
    """One part where it stands in the machine."""

    name: str
    group: int
    shape: Any
    room: bool  # not a part, but what a fitting needs
    low: Vec3
    high: Vec3


def clash_cases(layout: JobLayout, solids: Mapping[str, Any], limit: float) -> Cases:
    """One case for each two parts of different placed assemblies that come nearer than `limit` (mm), and the nearest.

    A negative figure is how deep they run into each other, by the smallest side of what they share.
    """
    bodies = list(_bodies(layout, solids))
    cases = []
    for i, a in enumerate(bodies):
        for b in bodies[i + 1 :]:
            if a.group == b.group or (a.room and b.room):  # fittings that face each other are joined by tubing
                continue
            limit_here = 0.0 if a.room or b.room else limit
            if _apart(a, b) <= max(limit_here, 1.0):
                cases.append(_case(a, b, limit_here))
    if bodies and not cases:
        cases = [Case("assembly", (), limit + 1.0, limit, "", "")]  # every pair of boxes stands further apart
    return {RULE: cases}


def _bodies(layout: JobLayout, solids: Mapping[str, Any]) -> Iterator[_Body]:
    groups = assemblies(layout)
    if len(groups) < 2 or not layout.stances:
        return
    for n, a in enumerate(groups):
        there = in_machine(layout.stance(a.plates[0].name))
        for p in a.plates:
            yield _body(p.name, n, solids[p.name].moved(there * cq.Location(cq.Vector(0, 0, p.height))))
        for h in a.hardware:
            yield _body(h.name, n, hardware_solid(h).moved(there))
        for p in a.plates:
            yield from (_body(name, n, room.moved(there), room=True) for name, room in _fittings(p))


def _fittings(plate: PlateLayout) -> Iterator[tuple[str, Any]]:
    """Room that the smallest fitting or plug needs outside each threaded port: a cylinder over its spotface."""
    for f in plate.features:
        if f.role == "port" and f.thread:
            out = (-f.axis[0], -f.axis[1], -plate.side * f.axis[2])
            at = in_assembly(plate, f.origin)
            solid = cq.Solid.makeCylinder(f.facts["spotface_radius"], FITTING, cq.Vector(*at), cq.Vector(*out))
            yield f"{plate.name}.{f.name} (room for its fitting)", solid


def _body(name: str, group: int, shape: Any, room: bool = False) -> _Body:
    b = shape.BoundingBox()
    return _Body(name, group, shape, room, (b.xmin, b.ymin, b.zmin), (b.xmax, b.ymax, b.zmax))


def _apart(a: _Body, b: _Body) -> float:
    """Distance of two boxes, mm."""
    gaps = [max(0.0, lb - ha, la - hb) for la, ha, lb, hb in zip(a.low, a.high, b.low, b.high, strict=True)]
    return float(sum(g * g for g in gaps) ** 0.5)


def _case(a: _Body, b: _Body, limit: float) -> Case:
    names = (a.name, b.name)
    shared = BRepAlgoAPI_Common(a.shape.wrapped, b.shape.wrapped)
    common = cq.Shape.cast(shared.Shape()) if shared.IsDone() else None
    if common is not None and common.Solids() and common.Volume() > 1e-6:
        box = common.BoundingBox()
        sides = {"x": box.xlen, "y": box.ylen, "z": box.zlen}
        way = min(sides, key=lambda k: sides[k])
        deep, middle = sides[way], (box.center.x, box.center.y, box.center.z)
        remedy = f"move one of them by {deep + limit:.2f} mm along {way}, or give it room there"
        return Case("assembly", names, -deep, limit, "they run into each other", remedy, (middle,))
    near = BRepExtrema_DistShapeShape(a.shape.wrapped, b.shape.wrapped)
    p, q = near.PointOnShape1(1), near.PointOnShape2(1)
    gap = float(near.Value())
    places = ((p.X(), p.Y(), p.Z()), (q.X(), q.Y(), q.Z()))
    remedy = f"move one of them {max(limit - gap, 0.0):.2f} mm away"
    return Case("assembly", names, gap, limit, "they come nearer than asked", remedy, places)
