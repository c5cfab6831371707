"""Where on the stage things are: every finding, every joint of a cord, every mouth that one may measure from. mm."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from ...checks.finding import Finding
from ...layout.features import Hardware, PlateLayout, Vec3
from ...layout.hardware import in_assembly
from ...layout.job_layout import JobLayout
from ...layout.machine import Stance
from ...layout.pockets import Pocket, Stroke


@dataclass(frozen=True, slots=True)
class Mark:
    """One place to turn to. `parts` are the names of plates and bought parts that it concerns."""

    key: str
    at: tuple[Vec3, ...]  # assembly frame, mm; two where a distance was measured
    parts: tuple[str, ...]


def finding_mark(layout: JobLayout, f: Finding) -> Mark | None:
    """Place of a finding: its own points, else the middle of what it names; None where nothing is known."""
    plate = next((p for p in layout.plates if p.name == f.plate), None)
    stance = _stance(layout, f)
    parts = tuple(dict.fromkeys([*([plate.name] if plate else []), *(h.name for h in _named(layout, f))]))
    if f.at:
        at = tuple(_known(stance.place(in_assembly(plate, p) if plate is not None else p)) for p in f.at)
        return Mark(f.key, at, parts)
    cords = sorted(_named(layout, f), key=lambda h: h.kind != "cord")  # where a cord is named, it is the matter
    found = [*_feature_places(layout, plate, f), *(_middle(h) for h in cords)]
    if found:
        return Mark(f.key, (_known(stance.place(found[0])),), parts)
    if plate is not None:
        middle = (0.0, 0.0, plate.height - plate.side * plate.thickness / 2)
        return Mark(f.key, (_known(stance.place(middle)),), parts)
    return None


def _stance(layout: JobLayout, f: Finding) -> Stance:
    """How what a finding names stands in the machine. One between assemblies has its places in the machine already."""
    names = [f.plate] if any(p.name == f.plate for p in layout.plates) else list(f.features)
    found = [layout.stance(n) for n in names if n.split(".")[0] in layout.stances]
    return found[0] if found and all(s == found[0] for s in found) else Stance()


def _known(p: Vec3) -> Vec3:
    x, y, z = (round(float(v), 4) if math.isfinite(v) else 0.0 for v in p)
    return (x, y, z)


def _named(layout: JobLayout, f: Finding) -> list[Hardware]:
    """Bought parts that the finding names, by their own name, with the plate before it, or by the start of it."""
    names = {*f.features, *(f"{f.plate}.{n}" for n in f.features)}
    exact = [h for h in layout.hardware if h.name in names]
    ends = [h for h in layout.hardware if h.name.rpartition("-")[0] in names]  # left.cord for left.cord-upper
    several = [h for h in layout.hardware if f"{h.name.rpartition('-')[0]}s" in names]  # left.struts for left.strut-1
    return [*exact, *ends, *several]


def _feature_places(layout: JobLayout, plate: PlateLayout | None, f: Finding) -> Iterator[Vec3]:
    for p in [plate] if plate is not None else layout.plates:
        for feature in p.features:
            if feature.name in f.features or f"{p.name}.{feature.name}" in f.features:
                yield in_assembly(p, feature.at(feature.depth / 2))
        for pocket in p.pockets:
            if pocket.name in f.features or f"{p.name}.{pocket.name}" in f.features:
                yield in_assembly(p, _in_pocket(p, pocket))


def _in_pocket(p: PlateLayout, k: Pocket) -> Vec3:
    """A point inside a pocket: near the middle of its line, or at a corner of its area; half as deep as it is."""
    if isinstance(k.shape, Stroke):
        points = [k.shape.path.start, *(piece.end for piece in k.shape.path.pieces)]
        x, y = points[len(points) // 2]
    else:
        x, y = k.shape.outside.start
    return (x, y, -k.depth / 2 if k.face == "seal" else k.depth / 2 - p.thickness)


def _middle(h: Hardware) -> Vec3:
    """A point of the part itself: the middle of its axis, or of its section where it is a ring."""
    if h.path is not None or not h.profile:
        start = h.path.start if h.path is not None else h.origin[:2]
        return (start[0], start[1], h.origin[2])
    along = sum(z for _, z in h.profile) / len(h.profile)
    inner = min(r for r, _ in h.profile)
    x, y, z = (o + along * a for o, a in zip(h.origin, h.axis, strict=True))
    across = sum(r for r, _ in h.profile) / len(h.profile) if inner > 0 else 0.0
    return (x, y - across, z)  # the side that looks to the front


def joint_marks(layout: JobLayout) -> list[Mark]:
    """Where the ends of each ring meet, one mark a ring: at the height of its cord, else on the seal face."""
    heights = {h.name: h.origin[2] for h in layout.hardware}
    faces = {p.name: p.height for p in layout.plates}
    marks = []
    for i, r in enumerate(layout.rings):
        z = heights.get(r.hardware, faces.get(r.plate, 0.0))
        parts = tuple(n for n in (r.plate, r.hardware) if n)
        at = layout.stance(r.plate).place((r.joint[0], r.joint[1], z))
        marks.append(Mark(f"joint-{i + 1}", (_known(at),), parts))
    return marks


def mouth_centres(layout: JobLayout) -> list[tuple[str, Vec3, str]]:
    """Centres of all round mouths to measure from: name, point, plate."""
    return [
        (f"{p.name}.{f.name}", _known(layout.stance(p.name).place(in_assembly(p, f.origin))), p.name)
        for p in layout.plates
        for f in p.features
    ]
