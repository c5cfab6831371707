"""How far two parts of a net stand apart, measured between the two voids."""

from __future__ import annotations

import numpy as np
from OCP.BRepExtrema import BRepExtrema_DistShapeShape

from ...layout.features import Cut, Feature, PlateLayout
from ...layout.nets import Assembly
from ...layout.pockets import Pocket
from ..finding import Point
from .attribution import profile_distance
from .pocket_faces import pocket_distance
from .voids import Void
from .ways import Way


def apart(a: Assembly, loop: str, stray: Void, main: Void) -> Way:
    """The smallest gap between two voids (mm), the features on both sides of it, and what would close it."""
    distance = BRepExtrema_DistShapeShape(stray.shape.wrapped, main.shape.wrapped)
    gap = distance.Value()
    p, q = ((u.X(), u.Y(), u.Z()) for u in (distance.PointOnShape1(1), distance.PointOnShape2(1)))
    both = [_nearest(a, loop, point, void) for point, void in ((p, stray), (q, main))]
    plates = {plate.name for plate, _ in (b for b in both if b is not None)}
    if len(plates) != 1:
        return Way("", (), f"{gap:.4g} mm stand between them", f"join them: {gap:.4g} mm stand between them", (p, q))
    plate = next(b[0] for b in both if b is not None)
    at = tuple((round(x, 4), round(y, 4), round(plate.side * (z - plate.height), 4)) for x, y, z in (p, q))
    ends = [(b[1], point) for b, point in zip(both, at, strict=True) if b is not None]
    ends.sort(key=lambda e: not _at_its_end(*e))
    names, at = tuple(f.name for f, _ in ends), at if ends[0][1] == at[0] else at[::-1]
    what = f"{gap:.4g} mm stand between {' and '.join(names)}"
    remedy = f"let {names[0]} go further towards ({', '.join(f'{c:.2f}' for c in at[-1])}): {gap:.4g} mm are missing"
    return Way(plate.name, names, what, remedy, at)


def _at_its_end(f: Cut, point: Point) -> bool:
    """Whether a point of a feature's skin lies on its bottom: then going deeper closes the gap."""
    along = sum((c - o) * w for c, o, w in zip(point, f.origin, f.axis, strict=True))
    return isinstance(f, Feature) and f.role == "drilling" and along > min(f.depth, f.facts["length"]) - 1e-3


def _nearest(a: Assembly, loop: str, point: tuple[float, float, float], void: Void) -> tuple[PlateLayout, Cut] | None:
    """The wet feature of this loop whose surface a point of the void's skin lies on, and its plate."""
    best: tuple[float, PlateLayout, Cut] | None = None
    for plate in a.plates:
        own = np.array([[point[0], point[1], plate.side * (point[2] - plate.height)]])
        for f in plate.cuts:
            terminal = f"{plate.name}.{f.name}"
            if f.loop == loop and (terminal in void.terminals or f.role == "tube-channel"):
                far = pocket_distance(f, plate.thickness, own) if isinstance(f, Pocket) else profile_distance(f, own)
                off = float(far[0])
                if best is None or off < best[0]:
                    best = (off, plate, f)
    return None if best is None or best[0] > 1e-3 else best[1:]
