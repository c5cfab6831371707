"""What a process needs to do its share of a build, and the kinds of task there are.

A task leaves what it makes in the store that both processes see, under the key under which the build looks for it. So
the build is the same program with help and without, and a helper that dies costs time only.
"""

from __future__ import annotations

import pickle
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

from .keeper import Keeper
from .store import Store

if TYPE_CHECKING:
    from .checks.result import Result
    from .checks.solid.measure import Measuring
    from .export.bundle import Bundle
    from .layout.features import PlateLayout
    from .layout.job_layout import JobLayout
    from .spec.job import Job

Say = Callable[[str], None]
Task = tuple[str, str]  # kind and name: "plate", "measure" (a part), "write" or "ahead" (an output)


@dataclass(slots=True)
class Station:
    """One job being built in this process. `write`: makes an output's files and keeps them in the store."""

    bundle: Bundle
    measuring: Measuring
    write: Callable[[Bundle, str], None]

    def do(self, task: Task) -> None:
        """Do one task; raises what making, measuring or writing raises."""
        kind, name = task
        if kind == "plate":
            self.bundle.meshes[name]
        elif kind == "measure":
            self.measuring.part(name)
        elif kind == "ahead":
            self._ahead(name)
        else:
            self.write(self.bundle, name)


    def _ahead(self, name: str) -> None:
        from .export.errors import CannotWrite
        from .export.outputs import chosen

        with suppress(CannotWrite, ImportError):  # which the writer itself will meet again, and tell
            chosen([name])[0].prepare(self.bundle)

    def missing(self, tasks: Sequence[Task]) -> list[Task]:
        """Those of the tasks whose results are not kept yet."""
        kept = self.bundle.kept
        return [(kind, name) for kind, name in tasks if kind == "ahead" or not kept.holds(self._key(kind, name))]

    def _key(self, kind: str, name: str) -> tuple[Any, ...]:
        from .export.outputs import chosen
        from .stages import plate_key

        if kind == "plate":
            plate = next(p for p in self.bundle.layout.plates if p.name == name)
            return plate_key(plate, self.bundle.job.output.deflection)
        return self.measuring.key(name) if kind == "measure" else chosen([name])[0].parts(self.bundle)


_known: dict[bytes, Station] = {}  # of this process as a helper: the order that it had last


def warm() -> None:
    """As a helper: load the kernel and all that cuts, measures and writes, so that no task waits for it."""
    import gc

    from .cli import NEW_OBJECTS

    gc.set_threshold(NEW_OBJECTS)
    from .checks.solid import measure, nets, plate, step_back  # noqa: F401
    from .export import job  # noqa: F401
    from .export.drawings import write  # noqa: F401
    from .export.report import report  # noqa: F401
    from .solids import keep, meshing  # noqa: F401


def opened(job: Job, layout: JobLayout, folder: Path, keeper: Keeper, say: Say) -> Bundle:
    """A job that was placed, with its solids made or found when they are first looked at."""
    from .export.bundle import Bundle
    from .stages import Bought, Plates

    plates = Plates(layout, job.output.deflection, keeper, say)
    return Bundle(folder, job, layout, plates.solids, plates.meshes, Bought(layout.hardware), kept=keeper)


def measuring(bundle: Bundle, keeper: Keeper, step: bool) -> Measuring:
    """All that is to be measured on a bundle's solids, on the STL files that lie in its folder and, where they are wanted
    (`step`), on its STEP files."""
    from .checks.solid.measure import Measuring

    job = bundle.job
    stls = {name: bundle.folder / f"{name}.stl" for name in bundle.solids}
    fine = job.output.deflection
    steps = {p.name: partial(_exported, p, bundle) for p in bundle.layout.plates} if step else {}
    return Measuring(bundle.layout, job.limits, bundle.solids, bundle.meshes, stls, fine, keeper, steps)


def _exported(plate: PlateLayout, bundle: Bundle) -> bytes:
    """A plate's STEP file: as kept, which it is before any process writes it; with no store, as written; else made now."""
    from .export.job import plate_step

    kept, file = bundle.kept.find(("step", plate)), bundle.folder / f"{plate.name}.step"
    if kept is not None:
        return kept
    return file.read_bytes() if file.exists() else plate_step(plate, bundle)


@dataclass(frozen=True, slots=True)
class Order:
    """A job for a helper, in a form that goes from process to process. `limit`: of the store, bytes. `step`: as in
    `measuring`."""

    job: Job
    layout: JobLayout
    folder: Path
    store: Path
    limit: int
    step: bool

    def opened(self) -> Station:
        """The job as a helper works on it."""
        keeper = Keeper(Store(self.store, self.limit))
        bundle = opened(self.job, self.layout, self.folder, keeper, lambda _: None)
        return Station(bundle, measuring(bundle, keeper, self.step), lambda b, name: written_aside(b, keeper, name))


def serve(order: bytes, tasks: list[Task], claims: Path, result: Result | None) -> list[Task]:
    """As a helper: tasks of an order (its pickle); those done. One that fails is left to the parent, which will tell."""
    from .workers.share import work_through

    if order not in _known:
        _known.clear()
        _known[order] = pickle.loads(order).opened()
    station = _known[order]
    station.bundle = replace(station.bundle, result=result)
    done = []

    def attempted(task: Task) -> None:
        try:
            station.do(task)
        except Exception:
            return
        done.append(task)

    work_through(tasks, claims, attempted)
    return done


def written_aside(bundle: Bundle, keeper: Keeper, name: str) -> None:
    """Make the files of an output in a folder of their own and keep them."""
    from .export.outputs import chosen

    (output,) = chosen([name])
    if keeper.find_files(output.parts(bundle)) is not None:
        return
    with TemporaryDirectory(prefix="rillwright-") as scratch:
        aside = replace(bundle, folder=Path(scratch))
        if output.load()(aside) is None:
            files = {p.relative_to(scratch).as_posix(): p.read_bytes() for p in Path(scratch).rglob("*") if p.is_file()}
            keeper.keep_files(output.parts(bundle), files)
