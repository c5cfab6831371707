"""Every check on finished solids and exported meshes, run once over a job; only what is measured loads the kernel."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
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

Part = tuple[tuple[Any, ...], Callable[[], Any]]  # all that it depends on, and how it is measured
Step = Callable[[], bytes]  # a plate's exported STEP file, made if it was not yet
APART = "apart"  # the part that looks at assemblies beside each other


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
    return Measuring(layout, limits, solids, meshes, stls, deflection, kept).all()


class Measuring:
    """All that is measured on one job, in parts that do not need each other."""

    def __init__(
        self, layout: JobLayout, limits: Limits, solids: Mapping[str, Any], meshes: Mapping[str, Mesh],
        stls: dict[str, Path], deflection: float, kept: Kept = anew, steps: Mapping[str, Step] | None = None,
    ) -> None:  # fmt: skip
        """`steps`: by plate; those that are not written have none."""
        self.layout, self.limits, self.solids, self.meshes = layout, limits, solids, meshes
        self.stls, self.deflection, self.kept = stls, deflection, kept
        self._read: dict[str, Any] = {}
        nets = {f"nets {a.plates[0].name}": self._nets(a) for a in assemblies(layout)}
        walls = {f"walls {p.name}": self._walls(p) for p in layout.plates}
        files = steps or {}
        back = {f"step {p.name}": self._step(p, files[p.name]) for p in layout.plates if p.name in files}
        apart = {APART: self._apart()} if layout.stances and len(nets) > 1 else {}
        self._parts: dict[str, Part] = {**nets, **walls, **back, **apart}

    @property
    def names(self) -> tuple[str, ...]:
        """Of the parts; those that take longest come first."""
        return tuple(self._parts)

    def key(self, name: str) -> tuple[Any, ...]:
        """All that a part depends on."""
        return self._parts[name][0]

    def part(self, name: str) -> Any:
        """Plain data of one part, measured now unless it is kept."""
        return self.kept(*self._parts[name])

    def all(self) -> Measured:
        """Outcomes over all parts."""
        plates = [self.part(n) for n in self.names if n.startswith(("walls ", "step "))]
        nets = [self.part(n) for n in self.names if n.startswith("nets ")]
        found = put_together([cases_from(c) for c in plates], [(cases_from(c), rows) for c, rows in nets])
        if APART in self._parts:
            found.outcomes.append(_over("parts.apart", [cases_from(self.part(APART))], APART_METHOD))
        return found

    def _stl(self, name: str) -> Any:
        from .stl import read_stl

        if name not in self._read:
            self._read[name] = read_stl(self.stls[name])
        return self._read[name]

    def _walls(self, p: PlateLayout) -> Part:
        def made() -> Any:
            from .plate import plate_cases

            stl, solid, mesh = self._stl(p.name), self.solids[p.name], self.meshes[p.name]
            return plain_cases(plate_cases(p, self.limits, solid, mesh, stl, self.deflection))

        return ("walls", p, self.limits, self.deflection), made

    def _step(self, p: PlateLayout, exported: Step) -> Part:
        def made() -> Any:
            from .step_back import step_cases

            return plain_cases(step_cases(p, exported(), self.solids[p.name]))

        return ("step back", p), made

    def _nets(self, a: Assembly) -> Part:
        stands = _own_stands(self.layout, a)

        def made() -> Any:
            from .nets import assembly_cases

            stls = {p.name: self._stl(p.name) for p in a.plates}
            cases, rows = assembly_cases(a, self.solids, stls, self.deflection, stands, self.kept)
            return [plain_cases(cases), rows]

        return ("nets", a, self.deflection, stands), made

    def _apart(self) -> Part:
        def made() -> Any:
            from .clashes import clash_cases

            return plain_cases(clash_cases(self.layout, self.solids, self.limits.apart))

        layout = self.layout
        return ("apart", layout.plates, layout.hardware, layout.stances, self.limits.apart), made


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
