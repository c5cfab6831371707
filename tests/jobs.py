"""Shipped jobs and edited copies of them, for tests that build or measure."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from ruamel.yaml import YAML

from rillwright.checks.finding import Finding, Outcome
from rillwright.checks.result import Result
from rillwright.layout.features import Feature
from rillwright.layout.job_layout import JobLayout
from rillwright.pipeline import plan

PARAMS = Path(__file__).parents[1] / "params"
SHIPPED = ("bench-single", "lab-triple", "studio-twin")

Job = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Built:
    """A job after a whole run: what was placed, what was found, where its files are."""

    layout: JobLayout
    result: Result
    folder: Path


@dataclass(frozen=True, slots=True)
class Measured:
    """A job after the checks, with nothing written but the STL files that are measured."""

    layout: JobLayout
    solids: dict[str, Any]  # part frame
    outcomes: tuple[Outcome, ...]

    def outcome(self, rule: str) -> Outcome:
        return next(o for o in self.outcomes if o.rule == rule)

    def findings(self, rule: str) -> tuple[Finding, ...]:
        return self.outcome(rule).findings

    def one(self, rule: str, *features: str) -> Finding:
        """The only finding of a rule about these features."""
        found = [f for f in self.findings(rule) if set(features) <= set(f.features)]
        assert len(found) == 1, [(f.rule, f.features, f.measured) for o in self.outcomes for f in o.findings]
        return found[0]


def raw(name: str) -> Job:
    """A shipped file as plain data; blocks that share an anchor are copied apart."""
    data: Job = json.loads(json.dumps(YAML(typ="safe").load(PARAMS / f"{name}.yaml")))
    return data


def named(items: list[Job], name: str) -> Job:
    return next(item for item in items if item["name"] == name)


def written(folder: Path, job: Job) -> Path:
    path = folder / f"{job['job']}.yaml"
    with path.open("w", encoding="utf-8") as stream:
        yaml = YAML(typ="safe")
        yaml.width = 4096  # the writer breaks long keys into what the reader refuses
        yaml.dump(job, stream)
    return path


def feature(layout: JobLayout, plate: str, name: str) -> Feature:
    return next(f for p in layout.plates if p.name == plate for f in p.features if f.name == name)


def measured(folder: Path, job: Job) -> Measured:
    """Place, cut and mesh every plate and run every check; writes the file and the STLs into `folder`."""
    from rillwright.checks.plan.hardware import plan_checks
    from rillwright.checks.solid.measure import measured_checks
    from rillwright.export.stl import stl_bytes
    from rillwright.solids.build import plate_solid
    from rillwright.solids.meshing import mesh

    planned = plan(written(folder, job))
    model, layout = planned.loaded.model, planned.layout
    solids = {p.name: plate_solid(p) for p in layout.plates}
    meshes = {name: mesh(s, model.output.deflection) for name, s in solids.items()}
    stls = {name: folder / f"{name}.stl" for name in solids}
    for name, path in stls.items():
        path.write_bytes(stl_bytes(meshes[name], name))
    of_solids = measured_checks(layout, model.limits, solids, meshes, stls, model.output.deflection)
    return Measured(layout, solids, (*plan_checks(layout, model.limits), *of_solids))


def apart(a: tuple[float, ...], b: tuple[float, ...]) -> float:
    """Distance of two points, mm."""
    return float(np.linalg.norm(np.subtract(a, b)))
