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
from typing import TYPE_CHECKING, Protocol

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


Write = Callable[["Bundle"], Pending | None]


@dataclass(frozen=True, slots=True)
class Output:
    """One kind of file.

    `files` are patterns of the names it writes into the bundle's folder, and no other output's: `*` stands for the name
    of a plate or whatever else differs from job to job. `writer` is "module:function" in this package; the function gets
    the bundle, writes, and returns None, or a `Pending` where the work goes on beside the checks. One that runs
    `after_checks` finds the bundle's `result` filled. `needs` names outputs whose files it reads in the same folder.
    `optional`: a convenience, which may raise `CannotWrite`, or be without a package, and is then left out with one line.
    """

    name: str
    files: tuple[str, ...]
    writer: str
    help: str
    after_checks: bool = False
    optional: bool = False
    needs: tuple[str, ...] = ()

    def owns(self, file: str) -> bool:
        """Whether a file of this name (relative, forward slashes) is this output's."""
        return any(fnmatchcase(file, pattern) for pattern in self.files)

    def load(self) -> Write:
        """The writer's function; imports its module."""
        module, _, function = self.writer.partition(":")
        found: Write = getattr(importlib.import_module(f"rillwright.export.{module}"), function)
        return found


OUTPUTS: tuple[Output, ...] = (
    Output("step", ("*.step",), "job:write_steps", "each plate and the assembly as STEP"),
    Output("stl", ("*.stl",), "job:write_stls", "each plate as STL"),
    Output("glb", ("*.glb",), "job:write_glb", "the assembly as GLB, for viewers"),
    Output("tables", ("features.csv", "parts.csv", "cord-cuts.csv"), "job:write_tables",
           "features, bought parts and cord cuts as CSV"),
    Output("drawings", ("drawings.pdf",), "drawings.write:write_drawings", "part drawings and setup sheets as one PDF",
           optional=True),
    Output("pictures", ("assembly.png", "section.png", "plate-*.png"), "still:start_pictures",
           "assembly, section and both faces of each plate as PNG", optional=True, needs=("glb",)),
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
    pending: list[tuple[Output, Pending]] = field(default_factory=list)
    stack: ExitStack = field(default_factory=ExitStack)

    def write(self, bundle: Bundle, *, after_checks: bool) -> None:
        """Run the writers of one phase, in order."""
        for output in required(self.wanted):
            if output.after_checks == after_checks:
                self._one(output, bundle)

    def _one(self, output: Output, bundle: Bundle) -> None:
        try:
            pending = output.load()(bundle)
        except (CannotWrite, ImportError) as error:
            if not output.optional:
                raise
            self.say(f"{bundle.layout.name}: left out {output.name}: {_one_line(error)}")
            return
        if pending is not None:
            self.stack.callback(pending.stop)
            self.pending.append((output, pending))

    def finish(self, bundle: Bundle) -> None:
        """Wait for what is still in the making, and take away what was made only for others to read."""
        folder = bundle.folder
        for _, pending in self.pending:
            if trouble := pending.collect():
                self.say(f"{bundle.layout.name}: {trouble}")
        unwanted = [o for o in required(self.wanted) if o not in self.wanted]
        for file in sorted(p for p in folder.rglob("*") if p.is_file()):
            if any(o.owns(file.relative_to(folder).as_posix()) for o in unwanted):
                file.unlink()


@contextmanager
def writers(wanted: Sequence[Output], say: Callable[[str], None]) -> Iterator[Run]:
    """The writers of a build; whatever still runs at the end of the block is stopped."""
    run = Run(say, wanted)
    with run.stack:
        yield run


def _one_line(error: Exception) -> str:
    if isinstance(error, ImportError):
        return f"a package is missing ({' '.join(str(error).split())}); install rillwright again with all it needs"
    return " ".join(str(error).split())
