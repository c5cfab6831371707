"""Can it be cut? Tools, travel and accuracy of the job's machine against what the features need."""

from __future__ import annotations

from collections.abc import Iterable

from ...layout.features import Cut, Feature, PlateLayout
from ...layout.job_layout import JobLayout
from ...layout.operations import Operation, milled
from ...layout.setups import PlateSetups, plate_setups
from ...spec.job import Limits
from ...spec.machine import Machine
from ...standards import sheets
from ..finding import Outcome, Severity
from ..report import Case, outcome
from .flips import flip_checks
from .outline_cut import corners, outline_check
from .wandering import breakthrough, entry

METHOD = "setups planned from the placed features"
Plans = list[tuple[PlateLayout, PlateSetups]]


def machining_checks(layout: JobLayout, machine: Machine, limits: Limits) -> list[Outcome]:
    """Every question about cutting the plates. A list of tools that the job leaves out can only give warnings."""
    plans = [(p, plate_setups(p, machine)) for p in layout.plates]
    given = machine.model_fields_set
    mills: Severity = "error" if "cutters" in given else "warning"
    drills: Severity = "error" if {"cutters", "drills"} & given else "warning"
    return [
        outcome("machining.width", [*_widths(plans, machine), *corners(layout.plates, machine)], METHOD, mills),
        outline_check(layout.plates, machine),
        outcome("machining.reach", _reaches(plans, machine), METHOD, drills),
        outcome("machining.drill-size", _sizes(plans, machine), METHOD, drills),
        outcome("machining.ratio", _ratios(plans, machine), METHOD, "warning"),
        outcome("machining.work-area", _areas(plans, machine), METHOD),
        outcome("machining.accuracy", _accuracy(plans, machine), METHOD, "warning"),
        outcome("machining.thickness", _thickness(layout, machine, limits), "sheet tolerance", "warning"),
        entry(plans, machine), breakthrough(plans, machine), *flip_checks(plans, layout, machine, limits),
    ]  # fmt: skip


def _cuts(plans: Plans) -> list[tuple[PlateLayout, Operation]]:
    return [(p, o) for p, s in plans for u in s.setups for o in u.operations if o.kind not in ("thread", "countersink")]


def _feature(plate: PlateLayout, name: str) -> Cut:
    return next(f for f in plate.cuts if f.name == name)


def _case(p: PlateLayout, o: Operation, measured: float, limit: float, what: str, remedy: str, most: bool) -> Case:
    return Case(p.name, (o.feature,), measured, limit, what, remedy, (_feature(p, o.feature).origin,), at_most=most)


def _widths(plans: Plans, machine: Machine) -> list[Case]:
    """Width of each pocket against the thinnest cutter: a ring's width, a round pocket's diameter."""
    least = min(c.diameter for c in machine.cutters)
    return [
        _case(p, o, o.width, least, "no cutter of the list fits into it",
              f"make it {least - o.width:.2f} mm wider, or take a cutter of {o.width:g} mm at most", False)
        for p, o in _cuts(plans) if o.kind != "drill"
    ]  # fmt: skip


def _reaches(plans: Plans, machine: Machine) -> list[Case]:
    """Reach of the best tool that fits, against the depth it has to reach."""
    cases = []
    for p, o in _cuts(plans):
        fit = [c.reach for c in machine.cutters if c.diameter <= o.width + 1e-9 and o.perpendicular]
        if o.kind == "drill":
            fit.append(machine.drills.reach)
        if not fit:
            continue  # the width's finding says it
        what = f"no {'drill or cutter' if o.kind == 'drill' else 'cutter that fits'} of the list reaches its floor"
        remedy = f"make it {o.depth - max(fit):.2f} mm shallower, cut it from both sides, or add a longer tool"
        cases.append(_case(p, o, max(fit), o.depth, what, remedy, False))
    return cases


def _sizes(plans: Plans, machine: Machine) -> list[Case]:
    """How far each bore that has to be drilled is from a drill of the list."""
    sizes = machine.drills.diameters
    if sizes == "any":
        return []
    cases = []
    for p, o in _cuts(plans):
        if o.kind != "drill" or (o.perpendicular and milled(o.width, o.depth, machine.cutters)):
            continue
        near = min(sizes, key=lambda d: abs(d - o.width))
        remedy = f"make it Ø{near:g} mm, the nearest of the list, or add a drill of {o.width:g} mm"
        cases.append(_case(p, o, abs(near - o.width), 0, "no drill of the list has its diameter", remedy, True))
    return cases


def _ratios(plans: Plans, machine: Machine) -> list[Case]:
    """Depth of each pocket over the diameter of the largest cutter that makes it."""
    return [
        _case(p, o, o.depth / o.tool, machine.pocket_ratio, f"a slender cutter of {o.tool:g} mm has to go deep",
              f"make it {o.depth - machine.pocket_ratio * o.tool:.2f} mm shallower, or wide enough for a cutter of "
              f"{o.depth / machine.pocket_ratio:.1f} mm", True)
        for p, o in _cuts(plans) if o.kind != "drill" and o.tool
    ]  # fmt: skip


def _areas(plans: Plans, machine: Machine) -> list[Case]:
    """How far each setup goes beyond the travel, the plate laid the better way round."""
    if machine.work_area is None:
        return []
    ax, ay, az = machine.work_area
    cases = []
    for p, s in plans:
        for u in s.setups:
            x, y, z = u.size
            over = max(min(max(x - ax, y - ay), max(y - ax, x - ay)), z - az, 0.0)
            what = f"with its {u.face} face up the plate takes {x:g} × {y:g} × {z:g} mm, more than the machine's travel"
            cases.append(Case(p.name, (u.face,), over, 0, what, "move these features to another face, or make the "
                              "plate smaller", at_most=True))  # fmt: skip
    return cases


def _accuracy(plans: Plans, machine: Machine) -> list[Case]:
    """The machine's depth tolerance against what each accurate feature asks, one case per setup: all are cut alike."""
    cases = []
    for p, s in plans:
        for u in s.setups:
            if u.accurate:
                needs = min(_feature(p, n).tolerance for n in u.accurate)
                what = f"features cut from the {u.face} face need a better depth than the machine holds"
                remedy = "touch off on the finished face and measure each floor, or give machine.depth as measured"
                cases.append(Case(p.name, _owners(u.accurate), machine.depth, needs, what, remedy, at_most=True))
    return cases


def _thickness(layout: JobLayout, machine: Machine, limits: Limits) -> list[Case]:
    """What the sheet's thickness may be off before a strut screw no longer fits, or a seal's depth is not its own."""
    cases = []
    for p in layout.plates:
        minus, plus = _sheet(p, machine)
        screws = [f for f in p.features if f.role == "strut-screw"]
        slack = [c for f in screws for c in ((_thicker(f, limits), plus, f, "thicker"), (_thinner(f, limits), minus, f,
                                                                                       "thinner"))]  # fmt: skip
        # a screw that does not fit the nominal sheet has its own finding
        slack = [c for c in slack if c[0] >= 0]
        if slack:
            left, off, _, way = min(slack, key=lambda c: c[0] - c[1])
            names = _owners(f.name for has, most, f, to in slack if to == way and has - most <= left - off + 1e-9)
            allowed = "as its standard allows" if machine.sheet is None else "as machine.sheet allows"
            what = f"a sheet that is {way} than {p.thickness:g} mm, {allowed}, makes the screws misfit"
            cases.append(Case(p.name, names, left, off, what, _for_thickness(machine, way, off - left)))
        for f in p.features:
            if f.face == "outer" and f.role.endswith(("channel", "seat", "groove")):
                what = "its depth is cut from the outer face, so the sheet's thickness goes into the seal"
                cases.append(Case(p.name, (f.name,), 0, max(minus, plus), what, "cut it from the seal face"))
    return cases


def _for_thickness(machine: Machine, way: str, lacks: float) -> str:
    if machine.sheet is None:
        return "measure the sheet, give stock.thickness as measured and machine.sheet as how well it was"
    if way == "thicker":
        return f"take a screw {lacks:.1f} mm longer, or a counterbore as much deeper: screw.length, screw.counterbore"
    return f"take a thread in the strut {lacks:.1f} mm deeper, or a shorter screw: struts.thread_depth, screw.length"


def _owners(names: Iterable[str]) -> tuple[str, ...]:
    """Reservoirs of a list of features, each once: what one would change in the file."""
    return tuple(dict.fromkeys(n.split(".")[0] for n in names))


def _sheet(p: PlateLayout, machine: Machine) -> tuple[float, float]:
    """How much thinner and thicker the sheet may be, mm; 0 for a material whose standard gives none."""
    if machine.sheet is not None:
        return machine.sheet, machine.sheet
    if p.material not in sheets.kinds():
        return 0.0, 0.0
    t = sheets.thickness_tolerance(p.material, p.thickness)
    return t.minus, t.plus


def _thicker(f: Feature, limits: Limits) -> float:
    return f.facts["engagement"] - (limits.engagement or f.facts["wanted"])


def _thinner(f: Feature, limits: Limits) -> float:
    return f.facts["thread_depth"] - f.facts["engagement"] - limits.tip_clearance
