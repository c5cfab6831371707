"""A job that builds in a second, a sweep of it, and stand-ins for what builds."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from rillwright.batch.order import Made, Order
from rillwright.batch.places import OpenPlace

JOB = """\
job: tiny
loops: {cold: {tint: sky}}
plates:
  block:
    stock: {material: pom-c, thickness: 20}
    outline: {length: 60, width: 40}
    ports:
      - {name: in, loop: cold, on: left, at: [0, -10], thread: G1/8}
      - {name: out, loop: cold, on: outer, at: [10, 0], thread: G1/8, depth: 14}
    drillings:
      - {name: run, from: in, to: out, diameter: 5}
"""
SWEEP = """\
sweep: lengths
base: tiny.yaml
over:
  length: {path: plates.block.outline.length, values: [60, 70, 80]}
"""


def files(folder: Path, sweep: str = SWEEP, job: str = JOB) -> Path:
    """Both files written; the path of the sweep file."""
    (folder / "tiny.yaml").write_text(job, encoding="utf-8")
    (folder / "sweep.yaml").write_text(sweep, encoding="utf-8")
    return folder / "sweep.yaml"


def figures(**more: Any) -> dict[str, Any]:
    """A row as a worker makes it."""
    return {
        "holds": True, "plates_g": 64.0, "plates_tubes_struts_g": 64.0, "coolant_ml": 1.5, "wall_mm": 5.0,
        "wall_at": "wall.outside, block, in", "squeeze_low_percent": None, "squeeze_high_percent": None, "screws": 0,
        "holes": 0, "cord_mm": 0.0, "drop_mbar": 12.5, "velocity_m_s": 0.8,
        "errors": 0, "warnings": 0, "notes": 0, "waived": 0, "findings": [],
        "volumes_mm3": {"block": 45000.0}, "seconds": 1.0, "cpu_seconds": 1.0, "peak_mb": 500.0, "process": 1, **more,
    }  # fmt: skip


def made(order: Order) -> Made:
    """What a worker would bring back."""
    files = {f"{order.name}.yaml": order.text.encode(), "block.step": b"a solid"}
    return Made(order.name, files, figures())


@dataclass
class Pretend:
    """A workplace that only says it builds; remembers what it was asked for."""

    work: Callable[[Order], Made] = made
    limit: float = 5.0
    asked: list[str] = field(default_factory=list)

    @contextmanager
    def opened(self):
        def work(order: Order) -> Made:
            self.asked.append(order.name)
            return self.work(order)

        with ThreadPoolExecutor(1) as executor:
            yield OpenPlace(executor, work, 2)
