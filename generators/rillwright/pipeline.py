"""The arrow: parameter file → spec → layout → solids → checks → files. The kernel is loaded in `build` only."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from .checks.finding import Outcome
from .checks.plan.clamping import clamp_records
from .checks.plan.hardware import plan_checks
from .checks.plan.machining import machining_checks
from .checks.plan.seals import seal_records
from .checks.result import Result
from .checks.waivers import with_waivers
from .layout.features import JobLayout
from .layout.job import LayoutError, job_layout
from .spec.job import Job
from .spec.load import Loaded, load
from .spec.messages import SpecError
from .spec.references import reference_problems

if TYPE_CHECKING:
    from .checks.solid.measure import Measured
    from .solids.meshing import Mesh

Say = Callable[[str], None]
FAILED = "FAILED-do-not-cut.txt"


@dataclass(frozen=True, slots=True)
class Planned:
    """A job that was read and placed."""

    loaded: Loaded[Job]
    layout: JobLayout


def plan(path: Path) -> Planned:
    """Read a file and place everything; raises SpecError with every problem found, each with its line."""
    loaded = load(path, Job)
    problems = reference_problems(loaded)
    if problems:
        raise SpecError(problems)
    try:
        return Planned(loaded, job_layout(loaded.model))
    except LayoutError as e:
        raise SpecError([loaded.problem(p.loc, p.what, do=p.do) for p in e.problems]) from e


def check(path: Path) -> Result:
    """All that needs no solid."""
    planned = plan(path)
    return _result(planned, _placed_checks(planned), None)


def _placed_checks(planned: Planned) -> list[Outcome]:
    job, layout = planned.loaded.model, planned.layout
    return [*plan_checks(layout, job.limits), *machining_checks(layout, job.machine, job.limits)]


def _result(
    planned: Planned, outcomes: list[Outcome], folder: Path | None, nets: list[dict[str, Any]] | None = None
) -> Result:
    job, layout = planned.loaded.model, planned.layout
    seals, clamping = seal_records(layout, job.limits, draws=folder is not None), clamp_records(layout)
    judged = with_waivers(outcomes, job.waivers)
    return Result(job.job, judged, folder, tuple(seals), tuple(clamping), tuple(nets or ()))


def build(path: Path, out: Path, say: Say = lambda _: None) -> Result:
    """Make, measure and write everything into `out`; raises SpecError, GeometryError or OutputError.

    The folder is replaced in one step when all is written; whatever stops the run before leaves it as it was.
    A parameter file that lies in the folder itself, as a coupon's does, stays there.
    """
    planned = plan(path)
    from .export.folder import staged
    from .export.job import write_job
    from .export.still import Order, drawing
    from .solids.build import hardware_solid, plate_solid
    from .solids.meshing import mesh

    job, layout = planned.loaded.model, planned.layout
    solids, meshes = {}, {}
    for plate in layout.plates:
        say(f"{layout.name}: cutting plate {plate.name} ({len(plate.features)} features)")
        solids[plate.name] = plate_solid(plate)
        meshes[plate.name] = mesh(solids[plate.name], job.output.deflection)
    hardware = [(part, hardware_solid(part)) for part in layout.hardware]
    with staged(out) as folder:
        say(f"{layout.name}: writing")
        write_job(folder, layout, solids, meshes, hardware)
        with drawing(Order(folder, layout, job.output.deflection)) as pictures:
            say(f"{layout.name}: measuring")
            measured = _measure(planned, solids, meshes, folder)
            if trouble := pictures.collect():
                say(f"{layout.name}: {trouble}")
        result = _result(planned, [*_placed_checks(planned), *measured.outcomes], out, measured.nets)
        from .export.manifest import manifest, write_json

        write_json(folder / "checks.json", result.as_dict())
        if not result.holds:
            (folder / FAILED).write_text(_failed(result), encoding="utf-8")
        if path.resolve().parent == out.resolve():
            shutil.copyfile(path, folder / path.name)
        write_json(folder / "manifest.json", manifest(job.job, path, folder))
    return result


def _failed(result: Result) -> str:
    """What lies in the folder of a job that must not be cut."""
    lines = [f"{f.rule}  {f.plate}: {', '.join(f.features)}: {f.what}" for f in result.findings
             if f.severity == "error" and not f.waived]  # fmt: skip
    return "\n".join([f"{result.job} failed these checks; do not cut from this folder.", "", *lines, ""])


def _measure(planned: Planned, solids: dict[str, Any], meshes: dict[str, Mesh], folder: Path) -> Measured:
    from .checks.solid.measure import measure

    job = planned.loaded.model
    stls = {name: folder / f"{name}.stl" for name in solids}
    return measure(planned.layout, job.limits, solids, meshes, stls, job.output.deflection)
