"""Do the parts that are bolted to plates fit beside each other, do their screws, and are their loops kept apart? mm."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from ...layout.features import Feature, PlateLayout
from ...layout.footprint import Footprint, ScrewChoice, Space, gap
from ...layout.hardware import in_assembly
from ...layout.job_layout import JobLayout
from ...layout.mount_screws import nothing_fits
from ...spec.job import Limits
from ...standards import screws
from ..finding import Outcome, Point
from ..report import Case, outcome

METHOD = "foot prints as they are placed"
HAIR = 1e-6  # mm
FITTING = 20.0  # mm that a fitting stands over its face while it is turned in; common practice, no source


def mount_checks(layout: JobLayout, limits: Limits) -> list[Outcome]:
    """Outcomes on parts that are placed by their foot prints; none for a job without any."""
    if not layout.footprints:
        return []
    screw = [_screw(f, s) for f in layout.footprints for s in f.screws]
    return [
        outcome("mount.apart", [*_apart(layout, limits), *_heads(layout, limits)], METHOD),
        outcome("mount.screw", screw, "standard lengths of the screw, thickness of the plate"),
        outcome("mount.fitting", list(_fittings(layout, limits)), METHOD),
        outcome("mount.loops", [_loops(f, g) for f in layout.footprints for g in f.joined], METHOD),
    ]


def _pairs(layout: JobLayout) -> list[tuple[Footprint, Space, Footprint, Space]]:
    return [(f, a, g, b) for f, g in combinations(layout.footprints, 2) if (f.plate, f.face) == (g.plate, g.face)
            for a in f.spaces for b in g.spaces]  # fmt: skip


def _apart(layout: JobLayout, limits: Limits) -> list[Case]:
    """Distance of two parts on one face: in plan, or in height where they stand over each other."""
    plates = {p.name: p for p in layout.plates}
    cases = []
    for f, a, g, b in _pairs(layout):
        plan, p, q = gap(a, b)
        over = max(a.low, b.low) - min(a.high, b.high)
        apart = max(plan, over)
        what = f"{f.interface} and {g.interface} run into each other" if apart < 0 else (
            f"{f.interface} and {g.interface} stand too near to each other")  # fmt: skip
        remedy = f"move one of them {limits.apart - plan:.2f} mm further away along the line between these places"
        on = plates[f.on]
        at = (_at(on, f.face, p, max(a.low, b.low)), _at(on, f.face, q, max(a.low, b.low)))
        cases.append(Case(on.name, (a.name, b.name), apart, limits.apart, what, remedy, at))
    return cases


def _heads(layout: JobLayout, limits: Limits) -> Iterator[Case]:
    """Distance of each part from heads of screws that stand proud of the face that it lies on."""
    plates = {p.name: p for p in layout.plates}
    for f in layout.footprints:
        on = plates[f.on]
        face = "seal" if f.face == "seal" else "outer"
        level = in_assembly(on, (0.0, 0.0, 0.0 if face == "seal" else -on.thickness))[2]
        way = on.side if face == "seal" else -on.side  # out of the face
        own = {f"{f.plate}.{n}.screw" for s in f.screws for n in s.holes}
        for h in layout.hardware:
            proud = -min(z for _, z in h.profile)
            if h.kind != "screw" or h.name in own or abs(h.origin[2] - level) > HAIR or proud <= 0 or h.axis[2] * way > 0:
                continue
            if h.name.split(".")[0] != f.plate:
                continue
            head = Space(h.name, (h.origin[:2],), max(r for r, z in h.profile if z < HAIR), 0.0, proud)
            yield from (_head(on, face, s, head, limits) for s in f.spaces if s.low < proud)


def _head(on: PlateLayout, face: str, s: Space, head: Space, limits: Limits) -> Case:
    plan, p, q = gap(s, head)
    apart = max(plan, s.low - head.high)
    at = (_at(on, face, p, max(s.low, 0.0)), _at(on, face, q, 0.0))
    return Case(on.name, (s.name, head.name), apart, limits.apart, "the head of a screw stands where the part lies",
                "sink the heads into the face (countersunk or counterbored), or move one of them", at)  # fmt: skip


def _at(plate: PlateLayout, face: str, p: tuple[float, float], height: float) -> Point:
    """A place over a face; over a cover's outside for one on a cover (`plate` is then the cover)."""
    return (*p, height if face == "seal" else -plate.thickness - height)


def _screw(f: Footprint, s: ScrewChoice) -> Case:
    """How far beyond its least engagement and deepest reach the best standard length comes, mm."""
    names = s.holes if len(s.holes) < 3 else (s.holes[0], s.holes[-1])
    if s.length is not None:
        left = min(s.length - s.grip - s.wanted, s.reach - (s.length - s.grip))
        return Case(f.plate, names, left, 0.0, "", "")
    worst = max((min(n - s.grip - s.wanted, s.reach - (n - s.grip)) for n in s.nearest), default=s.reach - s.wanted)
    deep = [n for n in s.nearest if n - s.grip > s.reach]
    hits = f"; {s.head} {s.thread} × {deep[0]:g} would come {deep[0] - s.grip - s.reach:.1f} mm too deep" if deep else ""
    what = f"no screw of standard length fits: {nothing_fits(s)}{hits}"
    return Case(f.plate, names, worst, 0.0, what, _cure(s))


def _cure(s: ScrewChoice) -> str:
    known = screws.lengths(s.head, s.thread)
    most, least = s.reach, s.wanted
    if most < least:
        return "take a thinner thread, or a part with a deeper one"
    moves = [(n - most, n - least) for n in known]  # the grip that a length asks for
    low, high = min(moves, key=lambda m: max(m[0] - s.grip, s.grip - m[1], 0.0))
    by = low - s.grip if s.grip < low else high - s.grip
    return (f"{'lay washers of' if by > 0 else 'sink the heads by'} {abs(by):.1f} mm under the heads, take a plate as much "
            f"{'thicker' if by > 0 else 'thinner'}, or another thread or head")  # fmt: skip


def _fittings(layout: JobLayout, limits: Limits) -> list[Case]:
    """Gap between the flange of each fitting and what stands on the same face beside it."""
    cases = []
    for p in layout.plates:
        ports = [x for x in p.features if x.role in ("port", "plug") and x.thread and x.face in ("seal", "outer")]
        for x in ports:
            own = Space(x.name, (x.origin[:2],), x.facts["spotface_radius"], 0.0, FITTING)
            cases += [_fitting(p, x, own, s, limits) for f in layout.footprints if f.on == p.name
                      and (f.face if f.plate == p.name else "outer") == x.face
                      for s in f.spaces if s.low < FITTING and s.high > 0]  # fmt: skip
    return cases


def _fitting(p: PlateLayout, x: Feature, own: Space, s: Space, limits: Limits) -> Case:
    left, a, b = gap(own, s)
    what = "a fitting cannot be turned: no spanner goes between it and the part beside it"
    remedy = f"move it {limits.spanner - left:.2f} mm further from {s.name}"
    at = (_at(p, x.face, a, 0.0), _at(p, x.face, b, 0.0))
    return Case(p.name, (x.name, s.name), left, limits.spanner, what, remedy, at, (x.loop or "",))


def _loops(f: Footprint, group: tuple[tuple[str, str], ...]) -> Case:
    loops = tuple(sorted({loop for _, loop in group}))
    return Case(
        f.plate, tuple(name for name, _ in group), len(loops), 1.0,
        f"these ports are one passage inside {f.interface}, and the file puts them on loops {' and '.join(loops)}",
        "give them one loop", (), loops, at_most=True,
    )  # fmt: skip
