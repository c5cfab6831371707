"""Every check on finished solids and exported meshes, run once over a job; only what is measured loads the kernel."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ...layout.features import PlateLayout
from ...layout.job_layout import JobLayout
from ...layout.nets import Assembly, assemblies
from ...layout.stands import Stand
from ...spec.job import Limits
from ..finding import Outcome
from ..kept import Kept, anew, cases_from, plain_cases
from ..report import Case, outcome
from .methods import APART_METHOD, ESTIMATES, METHODS, NET_METHODS

if TYPE_CHECKING:
    from ...solids.meshing import Mesh


@dataclass(frozen=True, slots=True)
class Measured:
    """What solids and meshes answered: an outcome for each rule, and a row for each net (`volumes.net_rows`)."""

    outcomes: list[Outcome]
    nets: list[dict[str, Any]]


def measured_checks(
    layout: JobLayout, limits: Limits, solids: Mapping[str, Any], meshes: Mapping[str, Mesh], stls: dict[str, Path],
    deflection: float,
) -> list[Outcome]:  # fmt: skip
    """Outcomes of all rules that look at solids (part frame) or at the exported STL files; lengths in mm."""
    return measure(layout, limits, solids, meshes, stls, deflection).outcomes


def measure(
    layout: JobLayout, limits: Limits, solids: Mapping[str, Any], meshes: Mapping[str, Mesh], stls: dict[str, Path],
    deflection: float, kept: Kept = anew,
) -> Measured:  # fmt: skip
    """The same outcomes, with the nets that were found. What `kept` still knows is not measured again."""

    @cache
    def read(name: str) -> Any:
        from .bodies import read_stl

        return read_stl(stls[name])

    def of_plate(p: PlateLayout) -> Any:
        from .plate import plate_cases

        return plain_cases(plate_cases(p, limits, solids[p.name], meshes[p.name], read(p.name), deflection))

    def of_assembly(a: Assembly) -> Any:
        from .nets import assembly_cases

        stls = {p.name: read(p.name) for p in a.plates}
        cases, rows = assembly_cases(a, solids, stls, deflection, _own_stands(layout, a), kept)
        return [plain_cases(cases), rows]

    def of_machine() -> Any:
        from .clashes import clash_cases

        return plain_cases(clash_cases(layout, solids, limits.apart))

    plates = [kept(("walls", p, limits, deflection), partial(of_plate, p)) for p in layout.plates]
    nets = [kept(("nets", a, deflection, _own_stands(layout, a)), partial(of_assembly, a)) for a in assemblies(layout)]
    found = put_together([cases_from(c) for c in plates], [(cases_from(c), rows) for c, rows in nets])
    if layout.stances and len(assemblies(layout)) > 1:
        near = kept(("apart", layout.plates, layout.hardware, layout.stances, limits.apart), of_machine)
        found.outcomes.append(_over("parts.apart", [cases_from(near)], APART_METHOD))
    return found


def _own_stands(layout: JobLayout, a: Assembly) -> tuple[Stand, ...]:
    """The job's ways to stand, their directions turned from the machine's frame into that of the assembly."""
    stance = layout.stance(a.plates[0].name)
    return tuple(Stand(s.name, stance.unturn(s.up)) for s in layout.stands)


Telling = dict[str, tuple[list[Case], int]]  # by rule: cases that may matter, and how many others there were


def put_together(plates: list[Telling], nets: list[tuple[Telling, list[dict[str, Any]]]]) -> Measured:
    """Outcomes over all plates and assemblies, from their cases."""
    found = [_over(rule, plates, method) for rule, method in METHODS.items()]
    joined = [_over(rule, [cases for cases, _ in nets], method) for rule, method in NET_METHODS.items()]
    return Measured([*found, *joined], [row for _, rows in nets for row in rows])


def _over(rule: str, parts: list[Telling], method: str) -> Outcome:
    mine = [part[rule] for part in parts if rule in part]
    cases, others = [c for found, _ in mine for c in found], sum(n for _, n in mine)
    return outcome(rule, cases, method, bound="estimate" if rule in ESTIMATES else "exact", others=others)
