"""Fittings beside heads and washers that stand on the same face: room for the spanner. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ...layout.features import Feature, Hardware, PlateLayout
from ...layout.hardware import in_assembly
from ...layout.job_layout import JobLayout
from ...spec.job import Limits
from ..report import Case

LEVEL = 1e-6  # mm
REACH = 12.0  # mm over a face that a spanner on a fitting takes; our choice, no source


def heads_by_fittings(layout: JobLayout, limits: Limits) -> Iterator[Case]:
    """From the flange of each port and plug in a plane face to whatever of screws and washers stands out of that face.

    Heads are read from the parts as they stand in the assembly, not from the holes that were placed for them.
    """
    standing = [h for h in layout.hardware if h.kind in ("screw", "washer", "nut") and abs(h.axis[2]) > 1 - LEVEL]
    for p in layout.plates:
        fittings = [f for f in p.features if f.role in ("port", "plug") and f.thread and f.face in ("seal", "outer")]
        for f in fittings:
            near = [(g, r, h) for h in standing if (r := _beyond(h, p, f)) > 0 for g in [_gap(h, r, p, f)]]
            if near:
                yield _case(p, f, min(near, key=lambda n: n[0]), limits)


def _beyond(h: Hardware, p: PlateLayout, f: Feature) -> float:
    """Radius of what a part has beyond the fitting's face and within a spanner's reach of it, 0 where nothing."""
    face, out = in_assembly(p, f.origin)[2], -f.axis[2] * p.side
    above = [(r, out * (h.origin[2] + z * h.axis[2] - face)) for r, z in h.profile]
    if not any(z > LEVEL for _, z in above) or min(z for _, z in above) > REACH:
        return 0.0
    return max(r for r, z in above if z > LEVEL)


def _gap(h: Hardware, radius: float, p: PlateLayout, f: Feature) -> float:
    x, y, _ = in_assembly(p, f.origin)
    return math.dist(h.origin[:2], (x, y)) - radius - f.facts["spotface_radius"]


def _case(p: PlateLayout, f: Feature, found: tuple[float, float, Hardware], limits: Limits) -> Case:
    gap, _, h = found
    what = f"a {'washer' if h.kind == 'washer' else 'nut' if h.kind == 'nut' else 'head'} stands too near a fitting"
    do = f"move one of them {limits.spanner - gap:.2f} mm further away, or sink the head"
    at = (f.origin, (h.origin[0], h.origin[1], f.origin[2]))
    return Case(p.name, (f.name, h.name), gap, limits.spanner, f"{what} for a spanner", do, at,
                (f.loop,) if f.loop else ())  # fmt: skip
