"""Still pictures of a job, drawn by a child process while the parent goes on measuring.

The graphics libraries of a machine are not ours: where one is missing or broken the process that uses it may simply
die. So the drawing has a process of its own, and its death costs a line of text and the pictures, nothing else.
"""

from __future__ import annotations

import os
import pickle
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

from ..layout.features import PlateLayout
from ..layout.job_layout import JobLayout

if TYPE_CHECKING:
    from .bundle import Bundle, Kept

CHILD = (sys.executable, "-m", "rillwright.export.still_child")
PATIENCE = 120.0  # s; a job of three reservoirs takes 2 to 3 s on two cores without a graphics card
_NO_DRAWING = "this machine cannot draw without a display (libegl1, or libosmesa6, gives it that)"


@dataclass(frozen=True, slots=True)
class Order:
    """What the child is asked for: pictures of the job whose `assembly.glb` lies in `folder`. `names`: None for all."""

    folder: Path
    layout: JobLayout
    deflection: float  # mm, of the plates' meshes
    names: tuple[str, ...] | None = None

    @property
    def wanted(self) -> tuple[str, ...]:
        """File names of the pictures, in the order in which they are drawn."""
        return tuple(n for n in picture_names(self.layout) if self.names is None or n in self.names)


def picture_names(layout: JobLayout) -> tuple[str, ...]:
    """File names of all pictures of a job, in the order in which they are drawn."""
    return ("assembly.png", "section.png", *(name for p in layout.plates for name in face_names(p)))


def face_names(plate: PlateLayout) -> tuple[str, str]:
    """File names of the pictures of a plate's own faces."""
    return (f"plate-{plate.name}-seal-face.png", f"plate-{plate.name}-outer-face.png")


@dataclass(slots=True)
class Drawing:
    """Pictures in the making."""

    order: Order
    process: subprocess.Popen[bytes] | None
    heard: IO[bytes]
    noise: IO[bytes]
    refused: str = ""

    def collect(self, patience: float = PATIENCE) -> str:
        """Wait (s) for the pictures; returns what went wrong in one line, or nothing. Half-made files are removed."""
        why = self.refused or self._wait(patience)
        self.heard.seek(0)
        done = set(self.heard.read().decode(errors="replace").split())
        missing = [n for n in self.order.wanted if n not in done]
        for name in missing:
            (self.order.folder / name).unlink(missing_ok=True)
        if not missing:
            return ""
        return f"left out {len(missing)} of {len(self.order.wanted)} pictures: {why or _NO_DRAWING}"

    def _wait(self, patience: float) -> str:
        assert self.process is not None
        try:
            code = self.process.wait(patience)
        except subprocess.TimeoutExpired:
            self._kill()
            return f"drawing took longer than {patience:g} s"
        if code == 0:
            return ""
        self.noise.seek(0)
        said = [s for s in self.noise.read().decode(errors="replace").splitlines() if s.startswith("picture: ")]
        return said[-1].removeprefix("picture: ") if said else _NO_DRAWING

    def stop(self) -> None:
        """End the child if it still runs."""
        self._kill()
        self.heard.close()
        self.noise.close()

    def _kill(self) -> None:
        if self.process is not None and self.process.poll() is None:
            self.process.kill()
            self.process.wait()


def begun(order: Order, command: Sequence[str] = CHILD) -> Drawing:
    """Start drawing. Whoever asked has to `collect`, and to `stop` in any case."""
    asked, heard, noise = (tempfile.TemporaryFile() for _ in range(3))  # noqa: SIM115  # two live as long as the drawing
    pickle.dump(order, asked)
    asked.seek(0)
    made = Drawing(order, None, heard, noise)
    try:
        made.process = subprocess.Popen(command, stdin=asked, stdout=heard, stderr=noise, env=_environment())
    except OSError as error:
        made.refused = f"no process for them could be started ({error.strerror})"
    finally:
        asked.close()
    return made


@contextmanager
def drawing(order: Order, command: Sequence[str] = CHILD) -> Iterator[Drawing]:
    """Start drawing; the block has to `collect`. The child never outlives the block."""
    made = begun(order, command)
    try:
        yield made
    finally:
        made.stop()


def start_pictures(bundle: Bundle) -> Stills | None:
    """Draw all pictures of a job from the `assembly.glb` in its folder; those that are kept are not drawn again."""
    whole = bundle.layout
    # the rest of it would cost the child its imports
    seen = JobLayout(whole.name, whole.plates, whole.hardware, whole.loops, stances=whole.stances,
                     footprints=whole.footprints)  # fmt: skip
    order = Order(bundle.folder, seen, bundle.job.output.deflection)
    keys = {name: _shows(order, name) for name in order.wanted}
    missing = []
    for name, parts in keys.items():
        data = bundle.kept.find(parts)
        if data is None:
            missing.append(name)
        else:
            (bundle.folder / name).write_bytes(data)
    if not missing:
        return None
    return Stills(begun(replace(order, names=tuple(missing))), {name: keys[name] for name in missing}, bundle.kept)


def _shows(order: Order, name: str) -> tuple[Any, ...]:
    """All that a picture depends on: of a plate's face that plate, of the others the whole job."""
    of = {n: p for p in order.layout.plates for n in face_names(p)}
    if name not in of:
        return ("picture", name, order.layout, order.deflection)
    lies = [f for f in order.layout.footprints if f.on == of[name].name]
    return ("picture", name, (order.layout.name, order.layout.loops, of[name], lies), order.deflection)


@dataclass(slots=True)
class Stills:
    """Pictures in the making that are kept once they are there."""

    drawing: Drawing
    keys: dict[str, tuple[Any, ...]]
    kept: Kept

    def collect(self) -> str:
        trouble = self.drawing.collect()
        for name, parts in self.keys.items() if not trouble else ():
            self.kept.keep(parts, (self.drawing.order.folder / name).read_bytes())
        return trouble

    def stop(self) -> None:
        self.drawing.stop()


def _environment() -> dict[str, Any]:
    """Ours, with the package findable, and without a display: a window must never open on somebody's desk."""
    kept = {k: v for k, v in os.environ.items() if k not in ("DISPLAY", "WAYLAND_DISPLAY")}
    root = str(Path(__file__).resolve().parents[2])
    return {**kept, "PYTHONPATH": os.pathsep.join([root, *filter(None, [kept.get("PYTHONPATH", "")])])}
