"""Jobs with parts that are bolted to plates, for tests: foot prints written beside a job file."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from jobs import Job, written
from rillwright.checks.result import Result
from rillwright.pipeline import Planned, check, plan

FOOT: Job = {
    "interface": "foot", "source": "made for this test",
    "spaces": [{"name": "body", "length": 40, "width": 20, "height": [0, 10]}],
    "holes": [{"name": "screw", "kind": "clearance", "thread": "M4", "row": {"from": [-15, 0], "to": [15, 5], "count": 2},
               "screw": {"engagement": 4, "reach": 9}}],
    "ports": [{"name": "in", "at": [-5, 2], "bore": 6, "depth": 6}, {"name": "out", "at": [9, -3], "bore": 6, "depth": 6}],
    "joined": [["in", "out"]],
    "windows": [{"name": "eye", "at": [0, 20], "length": 8, "width": 4, "corner_radius": 1}],
    "sizes": {"span": {"into": ["holes.screw.row.to.0"]}, "bore": {"into": ["ports.in.bore", "ports.out.bore"]}},
}  # fmt: skip


def job_of(*mounts: Job, thickness: float = 20, **plate: Any) -> Job:
    """One plate of 200 × 120 mm with these mounts."""
    return {
        "job": "mounted", "loops": {"a": {}, "b": {}},
        "plates": {"base": {"stock": {"material": "pom-c", "thickness": thickness},
                            "outline": {"length": 200, "width": 120}, "mounts": list(mounts), **plate}},
    }  # fmt: skip


def saved(folder: Path, job: Job, *feet: Job) -> Path:
    """The job's file, with its foot prints beside it."""
    (folder / "interfaces").mkdir(exist_ok=True)
    for foot in feet or (FOOT,):
        written(folder / "interfaces", {"job": foot["interface"], **foot}).write_text(_text(foot), encoding="utf-8")
    return written(folder, job)


def _text(foot: Job) -> str:
    import json

    return json.dumps(foot, indent=1)  # YAML 1.2 holds JSON


def planned(folder: Path, job: Job, *feet: Job) -> Planned:
    return plan(saved(folder, job, *feet))


def checked(folder: Path, job: Job, *feet: Job) -> Result:
    return check(saved(folder, job, *feet))
