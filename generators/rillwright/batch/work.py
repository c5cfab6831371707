"""What a worker does with an order: builds it in a folder of its own and brings back the files as bytes."""

from __future__ import annotations

import os
import time
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from ..workers.memory import peak_mb
from .order import Made, Order, program

LOOKED_AT = ("stl", "glb")  # read here for the figures and the thumbnail, wanted or not
THUMBNAIL = "thumbnail.png"


def build_variant(order: Order) -> Made:
    """Build one variant. What goes wrong is told in the answer; only a dying process tells nothing."""
    started, cpu = time.perf_counter(), _cpu()
    try:
        with TemporaryDirectory(prefix="variant-") as scratch:
            files, row = _built(order, Path(scratch) / order.name)
    except Exception as error:
        from ..runs import trouble

        return Made(order.name, trouble=trouble(error, Path(f"{order.name}.yaml"))[1], program=program())
    row |= {"seconds": round(time.perf_counter() - started, 2), "cpu_seconds": round(_cpu() - cpu, 2)}
    row |= {"peak_mb": peak_mb(), "process": os.getpid()}
    return Made(order.name, files, row, program=program())


def _built(order: Order, folder: Path) -> tuple[dict[str, bytes], dict[str, Any]]:
    from .. import pipeline
    from ..export.outputs import OUTPUTS
    from .figures import figures
    from .thumbnail import thumbnail

    folder.parent.mkdir(exist_ok=True)
    file = folder.parent / f"{order.name}.yaml"
    file.write_text(order.text, encoding="utf-8", newline="\n")
    for name, text in order.beside:
        (folder.parent / name).parent.mkdir(exist_ok=True)
        (folder.parent / name).write_text(text, encoding="utf-8", newline="\n")
    result = pipeline.build(file, folder, only=sorted({*order.outputs, *LOOKED_AT}))
    row = figures(result, pipeline.plan(file).layout, folder)
    files = {THUMBNAIL: thumbnail(folder / "assembly.glb"), file.name: file.read_bytes()}
    files |= {name: text.encode() for name, text in order.beside}
    unwanted = [o for o in OUTPUTS if o.name in LOOKED_AT and o.name not in order.outputs]
    for path in sorted(p for p in folder.rglob("*") if p.is_file()):
        name = path.relative_to(folder).as_posix()
        if not any(o.owns(name) for o in unwanted):
            files[name] = path.read_bytes()
    return files, row


def _cpu() -> float:
    """Processor time of this process and of those it started, s."""
    t = os.times()
    return t.user + t.system + t.children_user + t.children_system
