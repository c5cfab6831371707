"""The same plates as a plain CadQuery script would build them, feature by feature: what the figures are held against.

No fluent trick is left out that such scripts know (one workplane a kind of hole, `cskHole`, `cutThruAll`), and none is
added that they do not: every hole is cut from the solid that the one before left.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import cadquery as cq

TOLERANCE, ANGLE = 0.02, 0.2  # mm and rad, as rillwright meshes


def outline(plate: Any) -> Any:
    """The blank: lines and arcs, extruded, edges broken. The seal face lies at z = 0."""
    side = 1.0 if plate.seal_up else -1.0
    sketch = cq.Workplane("XY").moveTo(*plate.outline.start)
    for piece in plate.outline.pieces:
        middle = getattr(piece, "middle", None)
        sketch = sketch.lineTo(*piece.end) if middle is None else sketch.threePointArc(middle, piece.end)
    body = sketch.close().extrude(-side * plate.thickness)
    if plate.outline.chamfer > 0:
        body = body.faces("|Z").edges().chamfer(plate.outline.chamfer)
    return body


def feature_by_feature(plate: Any) -> Any:
    """Every feature revolved on a workplane across its axis and cut, one after another."""
    side = 1.0 if plate.seal_up else -1.0
    body = outline(plate)
    for f in plate.features:
        (x, y, z), (a, b, c) = f.origin, f.axis
        across = (0.0, 0.0, 1.0) if abs(c) < 0.9 else (1.0, 0.0, 0.0)
        normal = cq.Vector(a, b, side * c)
        plane = cq.Plane(origin=(x, y, side * z), xDir=normal.cross(cq.Vector(*across)), normal=normal)
        half = cq.Plane(origin=plane.origin, xDir=plane.xDir, normal=plane.xDir.cross(plane.zDir))
        profile = cq.Workplane(half).polyline(f.profile).close()
        body = body.cut(profile.revolve(360, (0, 0, 0), (0, 1, 0)))
    return body


def screw_plate(plate: Any) -> Any:
    """Countersunk holes in a square grid, each with its own `cskHole` as a loop over positions writes it."""
    body = outline(plate)
    for f in plate.features:
        x, y, _ = f.origin
        face = body.faces("<Z").workplane(origin=(x, y, -plate.thickness))
        body = face.cskHole(2 * f.facts["hole_radius"], 2 * f.facts["mouth_radius"], 90)
    return body


def exported(body: Any, folder: Path, name: str) -> None:
    """STEP and STL as the library writes them, at the accuracy that rillwright's files have."""
    cq.exporters.export(body, str(folder / f"{name}.step"))
    cq.exporters.export(body, str(folder / f"{name}.stl"), tolerance=TOLERANCE, angularTolerance=ANGLE)
