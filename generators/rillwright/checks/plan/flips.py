"""What turning the plate over does: walls cut from both sides, concentric cuts, dowels, and what is left standing."""

from __future__ import annotations

from ...layout.dowels import WAYS
from ...layout.features import Feature, PlateLayout
from ...layout.job_layout import JobLayout
from ...layout.operations import Kind
from ...layout.setups import PlateSetups
from ...spec.job import Limits
from ...spec.machine import Machine
from ...standards import threads
from ..asked import wall_between
from ..finding import Outcome
from ..report import Case, outcome
from .envelopes import apart, floor_left, near_pairs

METHOD = "cylinders of the placed features"
Plans = list[tuple[PlateLayout, PlateSetups]]
BODY: tuple[Kind, ...] = ("pocket", "drill")  # the cut that makes a feature's walls


def flip_checks(plans: Plans, layout: JobLayout, machine: Machine, limits: Limits) -> list[Outcome]:
    """Outcomes of the rules about cutting from both sides."""
    return [
        outcome("flip.wall", [c for p, s in plans for c in _walls(p, s, machine, limits)], METHOD, "warning"),
        outcome("flip.concentric", [c for p, s in plans for c in _concentric(p, s, layout, machine)], METHOD, "warning"),
        outcome("flip.dowels", [c for p, s in plans for c in _dowels(p, s)], "all ways to lay the plate", "warning"),
        outcome("machining.web", [c for p, s in plans for c in _webs(p, s, machine, limits)], METHOD, "warning",
                bound="lower"),
    ]  # fmt: skip


def _stage(s: PlateSetups, f: Feature) -> int:
    """Setup in which a feature's body is cut."""
    found = [s.number(f.name, kind) for kind in BODY]
    return max(found)


def _walls(p: PlateLayout, s: PlateSetups, machine: Machine, limits: Limits) -> list[Case]:
    """Walls between what is cut from the seal face and from the outer face, less the flip's shift.

    A wall that is too thin as drawn has a finding of its own and is no case here.
    """
    cut: dict[str, set[str]] = {}
    for u in s.setups:
        for o in u.operations:
            cut.setdefault(o.feature, set()).add(u.face)
    cases = []
    for a, b in near_pairs(list(p.features)):
        asked = wall_between(a, b, limits)
        sides = (cut[a.name], cut[b.name])
        if asked is None or not any("seal" in x and "outer" in y for x, y in (sides, sides[::-1])):
            continue
        drawn, left = apart(a, b), apart(a, b, machine.flip)
        # The wall's own limit has the common allowance in it; what the flip may not do is take more than a tenth.
        if drawn >= asked[1] > 0 and left < drawn:
            what = f"a shift of {machine.flip:g} mm at the flip takes too much of the wall between them"
            remedy = f"give {0.9 * asked[1] - left:.2f} mm more between them, or flip on better dowels"
            nets = tuple(sorted({f.loop for f in (a, b) if f.loop}))
            cases.append(Case(p.name, (a.name, b.name), left, 0.9 * asked[1], what, remedy, (a.origin, b.origin), nets))
    return cases


def _concentric(p: PlateLayout, s: PlateSetups, layout: JobLayout, machine: Machine) -> list[Case]:
    """Shift between each strut's seat and the countersink that pulls it home, against what the strut may follow."""
    radius = {h.name: max(r for r, _ in h.profile) for h in layout.hardware if h.kind == "strut"}
    cases = []
    for f in (f for f in p.features if f.role == "strut-screw"):
        name = f.name.removesuffix(".screw")
        seat = next((o for o in p.features if o.name == f"{name}.seat"), None)
        if seat is None or name not in radius or s.number(seat.name) == s.number(f.name, "countersink"):
            continue
        play = f.facts["hole_radius"] - threads.metric(f.thread).diameter / 2
        may = min(seat.facts["radius"] - radius[name], play)
        what = "after the flip the countersink may stand beside the seat's axis, and the screw bends or tilts the strut"
        remedy = f"flip on better dowels, or give the strut {machine.flip - may:.2f} mm more clearance in its seat"
        cases.append(Case(p.name, (f.name, seat.name), machine.flip, may, what, remedy, (f.origin,), at_most=True))
    return cases


def _dowels(p: PlateLayout, s: PlateSetups) -> list[Case]:
    """Ways other than the wanted one in which the plate goes over the dowels after the flip."""
    if s.dowels is None:
        return []
    wrong = [w for w in s.dowels.ways if w not in ("as it was", s.dowels.flip)]
    fits = s.dowels.flip in s.dowels.ways
    what = (f"the plate also goes over the dowels {' and '.join(wrong)}" if fits
            else "the plate does not go over the dowels when it is flipped")  # fmt: skip
    remedy = "put both dowels on the axis of the flip, with different diameters; left out, the job's are placed so"
    at = tuple((*d.at, 0.0) for d in s.dowels.pins)
    return [Case(p.name, ("dowels",), len(wrong) + (len(WAYS) if not fits else 0), 0, what, remedy, at, at_most=True)]


def _webs(p: PlateLayout, s: PlateSetups, machine: Machine, limits: Limits) -> list[Case]:
    """The thinnest floor or web that stands after each setup, among all that is cut by then.

    What breaks its own limit as drawn has a finding there and is no case here.
    """
    stage = {f.name: _stage(s, f) for f in p.features}
    cases = []
    for i, u in enumerate(s.setups):
        done = [f for f in p.features if stage[f.name] <= i]
        new = [f for f in done if stage[f.name] == i]
        # a strut's screw hole ends in its seat: that is no floor
        left: list[tuple[float, tuple[str, ...]]] = [
            (floor_left(f, p), (f.name,)) for f in new
            if f.role != "strut-screw" and floor_left(f, p) >= (limits.wall_outside if f.wet else limits.lip)
        ]  # fmt: skip
        for a, b in near_pairs(done):
            asked = wall_between(a, b, limits) if i in (stage[a.name], stage[b.name]) else None
            if asked is not None and (web := apart(a, b)) >= asked[1]:
                left.append((web, (a.name, b.name)))
        thin, names = min(left, default=(float("inf"), ()))
        if names and thin < float("inf"):
            what = f"too little stands once the {u.face} face is cut, and it breaks or bulges under the next cut"
            remedy = f"leave {machine.web - thin:.2f} mm more, or back it with wax or tape"
            cases.append(Case(p.name, names, thin, machine.web, what, remedy))
    return cases
