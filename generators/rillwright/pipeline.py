"""The arrow: parameter file → spec → layout → solids → checks → files. The kernel is loaded in `build` only."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from .checks.finding import Outcome
from .checks.plan.clamping import clamp_records
from .checks.plan.fitting_faces import face_records
from .checks.plan.flow import flow_checks, flow_records
from .checks.plan.hardware import plan_checks
from .checks.plan.machining import machining_checks
from .checks.plan.runs import run_checks
from .checks.plan.seals import gland_records, seal_records
from .checks.plan.shapes import shape_checks
from .checks.result import Result
from .checks.waivers import with_waivers
from .layout.job import LayoutError, job_layout
from .layout.job_layout import JobLayout
from .layout.telling import heard_by
from .spec.job import Job
from .spec.load import Loaded, load
from .spec.messages import SpecError
from .spec.references import reference_problems
from .spec.typed import typed

if TYPE_CHECKING:
    from .export.outputs import Output, Run
    from .hand import Hand
    from .layout.footprint import Footprint
    from .station import Station
    from .store import Store

Say = Callable[[str], None]
FAILED = "FAILED-do-not-cut.txt"
SEEN_EARLY = ("glb", "pictures")  # a process of its own draws the pictures from the first, so it comes first
LONGEST_FIRST = ("drawings", "report", "bench", "flow", "leak-test")  # of what is written after the checks


@dataclass(frozen=True, slots=True)
class Planned:
    """A job that was read and placed."""

    loaded: Loaded[Job]
    layout: JobLayout


def plan(path: Path) -> Planned:
    """Read a file and place everything; raises SpecError with every problem found, each with its line."""
    return placed(load(path, Job))


def placed(loaded: Loaded[Job]) -> Planned:
    """Place everything of a job that was read; raises SpecError as `plan` does."""
    loaded, prints = _with_mounts(loaded)
    problems = reference_problems(loaded)
    if problems:
        raise SpecError(problems)
    loaded = _with_galleries(loaded)
    try:
        return Planned(loaded, job_layout(loaded.model, prints))
    except LayoutError as e:
        raise SpecError([loaded.problem(p.loc, p.what, do=p.do) for p in e.problems]) from e


def _with_mounts(loaded: Loaded[Job]) -> tuple[Loaded[Job], tuple[Footprint, ...]]:
    """The job with what its mounts bring; what reads foot prints is loaded only where there are any."""
    if not any(p.mounts or p.block for p in loaded.model.plates.values()):
        return loaded, ()
    from .layout.mounts import mounted

    return mounted(loaded)


def _with_galleries(loaded: Loaded[Job]) -> Loaded[Job]:
    """The job with drillings in place of its galleries; the chooser is loaded only where there are any."""
    if not any(p.galleries for p in loaded.model.plates.values()):
        return loaded
    from .layout.galleries.expand import drilled

    loaded = drilled(loaded)
    problems = reference_problems(loaded)
    if problems:
        raise SpecError(problems)
    return loaded


def check(path: Path, say: Say = lambda _: None) -> Result:
    """All that needs no solid."""
    with heard_by(say):
        planned = plan(path)
    return _result(planned, _placed_checks(planned), None)


def _placed_checks(planned: Planned) -> list[Outcome]:
    job, layout = planned.loaded.model, planned.layout
    placed_ = [*plan_checks(layout, job.limits), *machining_checks(layout, job.machine, job.limits)]
    return [*placed_, *shape_checks(layout), *run_checks(layout), *_mount_checks(planned)]


def _mount_checks(planned: Planned) -> list[Outcome]:
    if not planned.layout.footprints:
        return []
    from .checks.plan.mounts import mount_checks

    return mount_checks(planned.layout, planned.loaded.model.limits)


def _result(
    planned: Planned, outcomes: list[Outcome], folder: Path | None, nets: list[dict[str, Any]] | None = None
) -> Result:
    job, layout = planned.loaded.model, planned.layout
    seals, clamping = seal_records(layout, job.limits, draws=folder is not None), clamp_records(layout)
    flow = flow_records(layout, all_loops=folder is not None)
    outcomes = [*outcomes, *flow_checks(flow, job.limits.velocity, job.limits.drop)]
    if nets is not None:
        from .checks.air import air_checks

        outcomes += air_checks(nets, job.limits.trapped)
    judged = with_waivers(outcomes, job.waivers)
    glands = gland_records(layout, job.limits, draws=folder is not None)
    return Result(job.job, judged, folder, tuple(seals), tuple(clamping), tuple(nets or ()), tuple(glands),
                  tuple(face_records(layout)), flow=tuple(flow))  # fmt: skip


def build(
    path: Path, out: Path, say: Say = lambda _: None, only: Sequence[str] | None = None, store: Store | None = None,
    hand: Hand | None = None,
) -> Result:  # fmt: skip
    """Make, measure and write everything into `out`; raises SpecError, GeometryError or OutputError.

    `only` names the outputs wanted, see `export.outputs`; None: all of them. The checks are run in any case. The
    folder is replaced in one step when all is written; whatever stops the run before leaves it as it was. A
    parameter file that lies in the folder itself, as a coupon's does, stays there. What did not change since an
    earlier build is taken from `store`; None: the user's. `hand` does a share of it; None: this process does all.
    """
    from .checks.kept import plain_result
    from .export.outputs import chosen
    from .hand import Hand
    from .recall import again, beside, key_of, remember
    from .store import open_store

    wanted, store = chosen(only), open_store() if store is None else store
    names = [o.name for o in wanted]
    if (had := again(path, out, names, store, say)) is not None:
        return had
    key = key_of(path, beside(path, out), names, store)
    with heard_by(say):
        planned = plan(path)
    from .export.folder import staged

    with staged(out) as folder:
        stage = Stage(planned, path, out, folder, wanted)
        result, complete = _built(stage, store, say, hand or Hand())
        if complete:
            remember(path, beside(path, out), names, store, folder, plain_result(result), key)
    if store.trouble:
        say(f"{planned.layout.name}: {store.trouble}")
    return result


@dataclass(frozen=True, slots=True)
class Stage:
    """A job being built: its file, the folder that will hold its results, and the one that they are written into."""

    planned: Planned
    path: Path
    out: Path
    folder: Path
    wanted: Sequence[Output]


def _built(stage: Stage, store: Store, say: Say, hand: Hand) -> tuple[Result, bool]:
    """The answer, and whether no output had to be left out."""
    from .export.outputs import writers
    from .keeper import Keeper
    from .station import Station, measuring, opened

    planned, folder, wanted, keeper = stage.planned, stage.folder, stage.wanted, Keeper(hand.store(store))
    layout = planned.layout
    bundle = opened(planned.loaded.model, layout, folder, keeper, say)
    with writers(wanted, say, keeper) as run:
        step = any(o.name == "step" for o in wanted)
        station = Station(bundle, measuring(bundle, keeper, step), lambda b, name: run.only(b, name))
        hand.take_up(bundle, keeper.store, step)
        _before(station, run, hand)
        say(f"{layout.name}: measuring")
        measured = station.measuring.all()
        result = _result(planned, [*_placed_checks(planned), *measured.outcomes], stage.out, measured.nets)
        station.bundle = bundle = replace(bundle, result=result)
        hand.share([("write", n) for n in LONGEST_FIRST if n in run.waiting(True)], station)
        run.write(bundle, after_checks=True)
        run.finish(bundle)
    _close(planned, stage.path, stage.out, folder, result)
    return result, run.complete


def _before(station: Station, run: Run, hand: Hand) -> None:
    """All that needs no answer of the checks; with helpers also the measuring, in parts that the rest finds done."""
    bundle = station.bundle
    anew = hand.share([("plate", p.name) for p in bundle.layout.plates], station, _load_kernel)
    run.only(bundle, "stl")  # which the measuring reads
    measures = [("measure", n) for n in station.measuring.names]
    ahead = [("ahead", n) for n in run.waiting(True)] if anew else []  # else what was made from the plates is kept
    files = [("write", n) for n in run.waiting(False) if n not in SEEN_EARLY]
    hand.share([*measures, *ahead, *files], station, lambda: run.only(bundle, *SEEN_EARLY))
    run.write(bundle, after_checks=False)


def _load_kernel() -> None:
    """Meanwhile helpers, which have loaded it before, cut the first plates."""
    from .solids import build, meshing  # noqa: F401


def _close(planned: Planned, path: Path, out: Path, folder: Path, result: Result) -> None:
    """What every folder of results holds: the answer of the checks, a warning where they failed, the manifest."""
    from .export.manifest import manifest, write_json
    from .recall import beside

    write_json(folder / "checks.json", result.as_dict())
    if not result.holds:
        (folder / FAILED).write_text(_failed(result), encoding="utf-8")
    if beside(path, out):
        shutil.copyfile(path, folder / path.name)
    model = planned.loaded.model
    said, source = model.model_dump(mode="json", by_alias=True, warnings=False), planned.loaded.source
    write_json(folder / "manifest.json", manifest(model.job, path, folder, said, planned.loaded.also, typed(source)))


def _failed(result: Result) -> str:
    """What lies in the folder of a job that must not be cut."""
    lines = [f"{f.rule}  {': '.join(t for t in (f.plate, ', '.join(f.features), f.what) if t)}" for f in result.findings
             if f.severity == "error" and not f.waived]  # fmt: skip
    return "\n".join([f"{result.job} failed these checks; do not cut from this folder.", "", *lines, ""])
