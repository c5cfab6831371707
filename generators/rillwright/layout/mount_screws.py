"""Screws of foot prints: which standard length fits, and the parts. Lengths in mm."""

from __future__ import annotations

import math
from typing import Literal

from ..spec.covered import Cover
from ..spec.interface import FootHoles
from ..spec.job import Limits
from ..spec.plate import Plate
from ..standards import materials, screws, threads
from .features import Feature, Hardware, PlateLayout, Profile
from .footprint import Footprint, ScrewChoice
from .hardware import in_assembly
from .run_out import full_thread

Covered = tuple[Cover | None, Cover | None]
Seat = Literal["part", "countersunk", "counterbored", "on-top"]


def choice(h: FootHoles, name: str, count: int, plate: Plate, covers: Covered, limits: Limits) -> ScrewChoice:
    """The shortest standard screw that holds enough thread and does not go deeper than it may.

    covers: under the part, and on the face that the heads lie on. Heads that are sunk sit in the body; others lie on it.
    """
    assert h.screw is not None
    seat, over, (under, far) = _seat(h), 0.0, covers
    head = "ISO 10642" if seat == "countersunk" else "ISO 4762"
    thick, d = plate.stock.thickness, threads.metric(h.thread).diameter
    if seat == "part":
        family = materials.material(plate.stock.material).family
        wanted = h.screw.engagement or threads.engagement_factor(family) * d
        reach = thick if h.depth is None else full_thread(h.thread, h.depth) - limits.tip_clearance
        reach = reach if h.screw.reach is None else min(reach, h.screw.reach)
        grip, behind = h.screw.under, "the plate"
    else:
        wanted, reach = h.screw.engagement or d, h.screw.reach or 0.0
        grip = thick - (screws.cap(h.thread).counterbore_depth if seat == "counterbored" else 0.0)
        grip += 0.0 if under is None else under.stock.thickness
        over = far.stock.thickness if far is not None and seat == "on-top" else 0.0
        grip += over
        behind = "the part"
    known = screws.lengths(head, h.thread)
    fit = [n for n in known if wanted <= n - grip <= reach]
    short, long = [n for n in known if n - grip < wanted], [n for n in known if n - grip > reach]
    return ScrewChoice(
        (name,) if count == 1 else tuple(f"{name}-{i}" for i in range(1, count + 1)), h.thread, head, seat, grip, wanted,
        reach, fit[0] if fit else None, (*short[-1:], *long[:1]), behind, over,
    )  # fmt: skip


def _seat(h: FootHoles) -> Seat:
    if h.kind == "tapped":
        return "part"
    return "on-top" if h.kind == "clearance" else h.kind


def screw_parts(plate: PlateLayout, prints: tuple[Footprint, ...]) -> list[Hardware]:
    """The screws of all foot prints on one plate, each in its hole."""
    holes = {f.name: f for f in plate.features}
    return [
        _part(plate, holes[n], s, f.face) for f in prints if f.plate == plate.name for s in f.screws
        if s.length is not None for n in s.holes if n in holes
    ]  # fmt: skip


def _part(plate: PlateLayout, hole: Feature, s: ScrewChoice, face: str) -> Hardware:
    assert s.length is not None
    x, y, _ = hole.origin
    from_seal = (face in ("seal", "cover")) == (s.seat == "part")  # the face that the head looks out of
    origin = in_assembly(plate, (x, y, s.over if from_seal else -plate.thickness - s.over))
    axis = (0.0, 0.0, -plate.side if from_seal else plate.side)
    note = f"{s.head} {s.thread} × {s.length:g}"
    name = f"{plate.name}.{hole.name}.screw"
    return Hardware(name, "screw", origin, axis, _profile(s, s.length), None, "steel", note)


def _profile(s: ScrewChoice, length: float) -> Profile:
    """Drawn at the tapped bore, so that it does not cut into its thread."""
    d = threads.metric(s.thread).tap_drill / 2
    if s.seat == "countersunk":
        r = screws.countersunk(s.thread).head_diameter_theoretical_max / 2
        return ((0.0, 0.0), (r, 0.0), (d, r - d), (d, length), (0.0, length))
    cap = screws.cap(s.thread)
    r = cap.head_diameter_max / 2
    seat = {"part": -s.grip, "on-top": 0.0, "counterbored": cap.counterbore_depth}[s.seat]
    top = seat - cap.head_height_max
    return ((0.0, top), (r, top), (r, seat), (d, seat), (d, seat + length), (0.0, seat + length))


def nothing_fits(s: ScrewChoice) -> str:
    """Why no screw fits, with the lengths on both sides, in words."""
    need, most = s.grip + s.wanted, s.grip + s.reach
    known = " and ".join(f"{n:g}" for n in s.nearest) or "none"
    if most < need:
        return (f"it would have to hold {s.wanted:g} mm of thread and may go only {s.reach:g} mm into {s.behind}")
    return (f"between {need:g} and {most:g} mm there is no length of {s.head} {s.thread}; the nearest are {known} mm"
            if math.isfinite(most) else f"none is as long as {need:g} mm")  # fmt: skip
