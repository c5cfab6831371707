"""Where on the stage things are: every finding, every joint of a cord, every mouth that one may measure from. mm."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from ...checks.finding import Finding
from ...layout.features import Feature, Hardware, JobLayout, PlateLayout, Vec3
from ...layout.hardware import in_assembly


@dataclass(frozen=True, slots=True)
class Mark:
    """One place to turn to. `parts` are the names of plates and bought parts that it concerns."""

    key: str
    at: tuple[Vec3, ...]  # assembly frame, mm; two where a distance was measured
    parts: tuple[str, ...]


def finding_mark(layout: JobLayout, f: Finding) -> Mark | None:
    """Place of a finding: its own points, else the middle of what it names; None where nothing is known."""
    plate = next((p for p in layout.plates if p.name == f.plate), None)
    parts = tuple(dict.fromkeys([*([plate.name] if plate else []), *(h.name for h in _named(layout, f))]))
    if f.at:
        at = tuple(_known(in_assembly(plate, p) if plate is not None else p) for p in f.at)
        return Mark(f.key, at, parts)
    cords = sorted(_named(layout, f), key=lambda h: h.kind != "cord")  # where a cord is named, it is the matter
    found = [*_feature_places(layout, plate, f), *(_middle(h) for h in cords)]
    if found:
        return Mark(f.key, (_known(found[0]),), parts)
    if plate is not None:
        return Mark(f.key, ((0.0, 0.0, plate.height - plate.side * plate.thickness / 2),), parts)
    return None


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


def _middle(h: Hardware) -> Vec3:
    """A point of the part itself: the middle of its axis, or of its section where it is a ring."""
    if not h.profile:
        start = h.path.start if h.path is not None else h.origin[:2]
        return (start[0], start[1], h.origin[2])
    along = sum(z for _, z in h.profile) / len(h.profile)
    inner = min(r for r, _ in h.profile)
    x, y, z = (o + along * a for o, a in zip(h.origin, h.axis, strict=True))
    across = sum(r for r, _ in h.profile) / len(h.profile) if inner > 0 else 0.0
    return (x, y - across, z)  # the side that looks to the front


def joint_marks(layout: JobLayout) -> list[Mark]:
    """Where the ends of each cord meet: at the height of the cord where it is known, else on the seal face."""
    plates = {p.name: p for p in layout.plates}
    heights = {h.name: h for h in layout.hardware if h.kind == "cord"}
    marks = []
    for i, r in enumerate(layout.rings):
        plate = plates.get(r.plate)
        cords = [h for n, h in heights.items() if n == r.seal or n.startswith(f"{r.seal}-")]
        near = min(cords, key=lambda h: abs(h.origin[2] - (plate.height if plate else 0.0)), default=None)
        z = near.origin[2] if near is not None else plate.height if plate is not None else 0.0
        named = (near.name,) if near is not None else ()
        marks.append(Mark(f"joint-{i + 1}", (_known((r.joint[0], r.joint[1], z)),), (r.plate, *named)))
    return marks


def mouth_centres(layout: JobLayout) -> list[tuple[str, Vec3, Vec3, float]]:
    """Centres of all round mouths to measure from: name, point, axis outwards, radius."""
    return [
        (f"{p.name}.{f.name}", _known(in_assembly(p, f.origin)), _known(_outwards(p, f)), round(_mouth(f), 3))
        for p in layout.plates
        for f in p.features
    ]


def _outwards(p: PlateLayout, f: Feature) -> Vec3:
    return (-f.axis[0], -f.axis[1], -p.side * f.axis[2])


def _mouth(f: Feature) -> float:
    at_face = [r for r, z in f.profile if z <= 1e-6]
    return max(at_face, default=f.radius)
