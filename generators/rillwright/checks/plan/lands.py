"""Land beside each groove: what is left flat between it and the next opening in the same face. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ...layout.features import Feature, PlateLayout
from ...layout.gland import Gland
from ...layout.job_layout import JobLayout
from ...layout.outline import distance_to
from ...spec.job import Limits
from ...standards import threads
from ..finding import Outcome
from ..report import Case, outcome
from .fitting_faces import face_cases


def lands(layout: JobLayout, limits: Limits) -> Outcome:
    """Narrowest land beside each tube channel, strut groove and fitting's ring, mm."""
    cases = [c for p in layout.plates for f in p.features if f.role == "tube-channel" for c in _channel(p, f, limits)]
    plates = {p.name: p for p in layout.plates}
    for g in layout.glands:
        if g.kind == "strut":
            cases += _strut(plates[g.plate], g, layout, limits)
        elif g.kind in ("port", "plug") and not _plain(plates[g.plate], g):
            cases += _fitting(plates[g.plate], g, limits)
    cases += face_cases(layout, limits)
    return outcome("seal.land", cases, "placed numbers")


def _plain(plate: PlateLayout, g: Gland) -> bool:
    """Whether it lies round a bore without a thread, whose part carries the groove."""
    return not next(f for f in plate.features if f.name == g.features[0]).thread


def _channel(plate: PlateLayout, f: Feature, limits: Limits) -> Iterator[Case]:
    """Inside and outside the channel, where it opens in the seal face."""
    inner, outer = f.facts["inner_radius"], f.facts["outer_radius"]
    edge = distance_to(plate.outline, f.origin[:2]) - outer
    nearest: dict[bool, tuple[float, str]] = {True: (inner, ""), False: (edge, "the plate's edge")}
    for o in plate.features:
        if o is f or "seal" not in o.mouths:
            continue
        at, radius = mouth(o)
        apart = math.dist(at, f.origin[:2])
        own = o.facts["inner_radius"] if o.role == "tube-channel" else 0.0
        inside = apart + radius < outer
        if not inside and apart + outer < own:
            land = own - apart - outer  # the channel stands inside a wider one
        else:
            land = inner - apart - radius if inside else apart - radius - outer
        nearest[inside] = min(nearest[inside], (land, o.name))
    for inside, (land, other) in nearest.items():
        if not other:
            continue
        where = "inside" if inside else "outside"
        names = (f.name,) if other == "the plate's edge" else (f.name, other)
        remedy = f"move them {limits.land - land:.2f} mm apart"
        yield Case(plate.name, names, land, limits.land, f"the land {where} the tube channel, towards {other}, is narrow",
                   remedy, (f.origin,), (f.loop or "",))  # fmt: skip


def mouth(f: Feature) -> tuple[tuple[float, float], float]:
    """Where a feature opens in the seal face and its largest radius there, mm; of an oblique one the long half axis."""
    if abs(f.axis[2]) < 1e-9:
        return f.origin[:2], 0.0
    along = -f.origin[2] / f.axis[2]
    x, y, _ = f.at(along)
    return (x, y), _radius_at(f, along) / abs(f.axis[2])


def _radius_at(f: Feature, along: float) -> float:
    """Largest radius of the profile within 1e-6 mm of a distance along the axis."""
    found = 0.0
    for (r0, z0), (r1, z1) in zip(f.profile, [*f.profile[1:], f.profile[0]], strict=True):
        low, high = min(z0, z1), max(z0, z1)
        if low - 1e-6 <= along <= high + 1e-6:
            share = 0.0 if high - low < 1e-9 else min(1.0, max(0.0, (along - z0) / (z1 - z0)))
            found = max(found, r0 + share * (r1 - r0))
    return found


def _strut(plate: PlateLayout, g: Gland, layout: JobLayout, limits: Limits) -> list[Case]:
    """Between groove and screw hole, and between groove and the rim of the strut's end: the narrower."""
    features = {f.name: f for f in plate.features}
    groove = features[g.features[0]]
    strut = groove.name.removesuffix(".groove")
    hole = features[f"{strut}.screw"].facts["hole_radius"]
    rod = max(r for h in layout.hardware if h.name == strut for r, _ in h.profile)
    sides = (("the screw's hole", groove.facts["inner_radius"] - hole),
             ("the rim of the strut's end", rod - groove.facts["outer_radius"]))  # fmt: skip
    name, land = min(sides, key=lambda side: side[1])
    return [
        Case(plate.name, (groove.name,), land, limits.land, f"the land towards {name} is narrow",
             "take thicker struts, thinner cord or a smaller thread", (groove.origin,), (g.loop,))
    ]  # fmt: skip


def _fitting(plate: PlateLayout, g: Gland, limits: Limits) -> list[Case]:
    """Between the fitting's groove and the thread's mouth, and between the groove and the spotface's rim: the narrower."""
    f = next(x for x in plate.features if x.name == g.features[0])
    middle, half = g.ring_middle, g.nominal("groove width") / 2
    sides = [("the thread", middle - half - threads.pipe(f.thread).major_diameter / 2)]
    if f.facts["spotface_depth"] > 0:
        sides.append(("the spotface's rim", f.facts["spotface_radius"] - middle - half))
    name, land = min(sides, key=lambda side: side[1])
    return [
        Case(plate.name, (f.name, g.seal), land, limits.land, f"the fitting's ring lies too near to {name}",
             "take a fitting whose groove lies on the flat round the thread", (f.origin,), (g.loop,))
    ]  # fmt: skip
