"""What a build can write, by name and in order: one line for each kind of file.

Nothing heavy is imported here: the command line lists and picks outputs before the kernel is needed. A writer is
looked up only when it runs. See `Output` for what one has to keep to.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from fnmatch import fnmatchcase
from pathlib import Path
from typing import TYPE_CHECKING, Any, Protocol

from ..spec.messages import advice
from .errors import CannotWrite

if TYPE_CHECKING:
    from .bundle import Bundle


class Pending(Protocol):
    """Files in the making, by a process of its own or the like."""

    def collect(self) -> str:
        """Wait for the files; returns what went wrong in one line, or nothing."""

    def stop(self) -> None:
        """End whatever still runs; called in any case, also after `collect`."""


class KeptFiles(Protocol):
    """Files by name that were made before from the same parts."""

    def find_files(self, parts: tuple[Any, ...]) -> dict[str, bytes] | None: ...
    def keep_files(self, parts: tuple[Any, ...], files: dict[str, bytes]) -> None: ...


Write = Callable[["Bundle"], Pending | None]


@dataclass(frozen=True, slots=True)
class Output:
    """One kind of file.

    `files` are patterns of the names it writes into the bundle's folder, and no other output's: `*` stands for the name
    of a plate or whatever else differs from job to job. `writer` is "module:function" in this package; the function gets
    the bundle, writes, and returns None, or a `Pending` where the work goes on beside the checks. One that runs
    `after_checks` finds the bundle's `result` filled. `needs` names outputs whose files it reads in the same folder.
    `optional`: a convenience, which may raise `CannotWrite`, or be without a package, and is then left out with one line.
    `ahead`: "module:function" that makes and keeps what the writer will need and no answer of the checks changes.
    `by_layout`: of the job it reads nothing but the layout and `job.output`, so a change elsewhere leaves its files valid.
    """

    name: str
    files: tuple[str, ...]
    writer: str
    help: str
    after_checks: bool = False
    optional: bool = False
    needs: tuple[str, ...] = ()
    by_layout: bool = False
    ahead: str = ""

    def parts(self, bundle: Bundle) -> tuple[Any, ...]:
        """All that its files depend on, as the key under which they are kept."""
        read = bundle.layout if self.by_layout else bundle.job
        answer = bundle.result.as_dict() if self.after_checks and bundle.result is not None else None
        return ("files", self.name, read, bundle.job.output, answer)

    def owns(self, file: str) -> bool:
        """Whether a file of this name (relative, forward slashes) is this output's."""
        return any(fnmatchcase(file, pattern) for pattern in self.files)

    def load(self) -> Write:
        """The writer's function; imports its module."""
        return _function(self.writer)

    def prepare(self, bundle: Bundle) -> None:
        """Make ahead of the checks what can be; raises as the writer does."""
        if self.ahead:
            _function(self.ahead)(bundle)


def _function(name: str) -> Write:
    module, _, function = name.partition(":")
    found: Write = getattr(importlib.import_module(f"rillwright.export.{module}"), function)
    return found


OUTPUTS: tuple[Output, ...] = (
    Output("step", ("*.step",), "job:write_steps", "each plate and the assembly as STEP", by_layout=True),
    Output("stl", ("*.stl",), "job:write_stls", "each plate as STL", by_layout=True),
    Output("glb", ("*.glb",), "job:write_glb", "the assembly as GLB, for viewers", by_layout=True),
    Output("tables", ("features.csv", "parts.csv", "cord-cuts.csv", "tube-runs.csv"), "job:write_tables",
           "features, bought parts and cord cuts as CSV", by_layout=True),
    Output("leak-test", ("leak-test.csv",), "leak_sheet:write_leak_sheet", "how to prove each loop by pressure, as CSV",
           after_checks=True),
    Output("flow", ("flow-*.svg", "flow.csv"), "flow_plot:write_flow", "pressure lost over flow, as SVG and CSV",
           after_checks=True),
    Output("drawings", ("drawings.pdf",), "drawings.write:write_drawings", "part drawings and setup sheets as one PDF",
           after_checks=True, optional=True, ahead="drawings.write:prepare"),
    Output("dxf", ("*.dxf",), "drawings.dxf:write_dxf", "what is cut from each face as 2-D DXF, on layers by depth"),
    Output("plan", ("*-plan.svg",), "plan_svg:write_plans", "channels, grooves and screws in plan as SVG",
           by_layout=True),
    Output("bench", ("bench.pdf", "cut-list.csv"), "sheets.write:write_sheets",
           "cut list, assembly sheet and test sheet as PDF, and the list as CSV", after_checks=True),
    Output("pictures", ("assembly.png", "section.png", "plate-*.png"), "still:start_pictures",
           "assembly, section and both faces of each plate as PNG", optional=True, needs=("glb",), by_layout=True),
    Output("report", ("report.html",), "report.report:write_report", "the page one looks at, plates in three dimensions",
           after_checks=True, ahead="report.report:prepare"),
)  # fmt: skip
MEASURED = ("stl",)  # files that the checks read back; made in any case
NAMES = tuple(o.name for o in OUTPUTS)


class UnknownOutput(ValueError):
    """A name that no output has; the message gives the nearest one."""


def chosen(names: Iterable[str] | None) -> tuple[Output, ...]:
    """The outputs of these names in the order of the registry, all for None. Raises UnknownOutput."""
    if names is None:
        return OUTPUTS
    given = [n.strip() for n in names]
    unknown = [n for n in given if n not in NAMES]
    if unknown or not given:
        raise UnknownOutput("; ".join(f'no output is named "{n}"; {advice(n, NAMES, "outputs")}' for n in unknown)
                            or f"name at least one of {', '.join(NAMES)}")  # fmt: skip
    return tuple(o for o in OUTPUTS if o.name in given)


def required(wanted: Sequence[Output]) -> tuple[Output, ...]:
    """What has to be made: the wanted outputs, those they read, and those that the checks read."""
    names = {o.name for o in wanted} | set(MEASURED)
    while more := {n for o in OUTPUTS if o.name in names for n in o.needs} - names:
        names |= more
    return tuple(o for o in OUTPUTS if o.name in names)


@dataclass(slots=True)
class Run:
    """The writers of one build at work."""

    say: Callable[[str], None]
    wanted: Sequence[Output]
    kept: KeptFiles | None = None
    complete: bool = True  # nothing was left out
    pending: list[tuple[Output, Pending]] = field(default_factory=list)
    written: set[str] = field(default_factory=set)
    stack: ExitStack = field(default_factory=ExitStack)

    def write(self, bundle: Bundle, *, after_checks: bool) -> None:
        """Run the writers of one phase, in order, that have not run; files that are kept are taken instead."""
        for name in self.waiting(after_checks):
            self.only(bundle, name)

    def waiting(self, after_checks: bool) -> tuple[str, ...]:
        """Names of the outputs of one phase that are not written yet."""
        phase = (o.name for o in required(self.wanted) if o.after_checks == after_checks)
        return tuple(n for n in phase if n not in self.written)

    def only(self, bundle: Bundle, *names: str) -> None:
        """Run the writers of these names, of those that have to be made and have not run."""
        for output in required(self.wanted):
            if output.name in names and output.name not in self.written:
                self.written.add(output.name)
                if not self._taken(output, bundle):
                    self._one(output, bundle)

    def _taken(self, output: Output, bundle: Bundle) -> bool:
        files = None if self.kept is None else self.kept.find_files(output.parts(bundle))
        for name, data in (files or {}).items():
            (bundle.folder / name).parent.mkdir(parents=True, exist_ok=True)
            (bundle.folder / name).write_bytes(data)
        return files is not None

    def _one(self, output: Output, bundle: Bundle) -> None:
        try:
            pending = output.load()(bundle)
        except (CannotWrite, ImportError) as error:
            if not output.optional:
                raise
            self.complete = False
            self.say(f"{bundle.layout.name}: left out {output.name}: {_one_line(error)}")
            return
        if pending is None:
            self._keep(output, bundle)
        else:
            self.stack.callback(pending.stop)
            self.pending.append((output, pending))

    def _keep(self, output: Output, bundle: Bundle) -> None:
        if self.kept is not None:
            files = {n: p.read_bytes() for n, p in _files(bundle.folder).items() if output.owns(n)}
            self.kept.keep_files(output.parts(bundle), files)

    def finish(self, bundle: Bundle) -> None:
        """Wait for what is still in the making, and take away what was made only for others to read."""
        for output, pending in self.pending:
            if trouble := pending.collect():
                self.complete = False
                self.say(f"{bundle.layout.name}: {trouble}")
            else:
                self._keep(output, bundle)
        unwanted = [o for o in required(self.wanted) if o not in self.wanted]
        for name, path in _files(bundle.folder).items():
            if any(o.owns(name) for o in unwanted):
                path.unlink()


@contextmanager
def writers(
    wanted: Sequence[Output], say: Callable[[str], None], kept: KeptFiles | None = None
) -> Iterator[Run]:
    """The writers of a build; whatever still runs at the end of the block is stopped."""
    run = Run(say, wanted, kept)
    with run.stack:
        yield run


def _files(folder: Path) -> dict[str, Path]:
    return {p.relative_to(folder).as_posix(): p for p in sorted(folder.rglob("*")) if p.is_file()}


def _one_line(error: Exception) -> str:
    if isinstance(error, ImportError):
        return f"a package is missing ({' '.join(str(error).split())}); install rillwright again with all it needs"
    return " ".join(str(error).split())
