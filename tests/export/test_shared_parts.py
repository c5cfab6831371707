"""Bought parts of one kind: one product in the STEP file and one mesh in the GLB, each part where it stands."""

from __future__ import annotations

import json
from collections.abc import Callable

import cadquery as cq
import numpy as np
import pytest

from jobs import Built
from part21 import Part21
from rillwright.export.still_scene import read_glb
from rillwright.solids.build import hardware_solid

JOBS = ("studio-twin", "lab-triple")


@pytest.mark.parametrize("job", JOBS)
def test_one_product_of_each_kind(shipped: Callable[[str], Built], job: str) -> None:
    built = shipped(job)
    kinds = {(h.kind, h.profile, h.material, h.note) for h in built.layout.hardware if h.path is None}
    lines = [h for h in built.layout.hardware if h.path is not None]
    wanted = len(kinds) + len(lines) + len(built.layout.plates)
    assert Part21(built.folder / "assembly.step").count("MANIFOLD_SOLID_BREP") == wanted
    assert len(kinds) < len(built.layout.hardware)


@pytest.mark.parametrize("job", JOBS)
def test_each_part_stands_where_the_layout_has_it(shipped: Callable[[str], Built], job: str) -> None:
    built = shipped(job)
    read = cq.Assembly.importStep(str(built.folder / "assembly.step"))
    found = {name.split("/")[-1].split(" (")[0]: shape.moved(place) for shape, name, place, _ in read}
    drawn = {p.name: p.points for p in read_glb(built.folder / "assembly.glb")}
    assert len(found) == len(built.layout.hardware) + len(built.layout.plates)
    for part in built.layout.hardware:
        own = hardware_solid(part)  # jobs whose assemblies stand where they were made: nothing is placed
        assert (found[part.name].Center() - own.Center()).Length < 1e-6
        assert found[part.name].Volume() == pytest.approx(own.Volume(), rel=1e-9)
        turned = np.array(cq.Shape.matrixOfInertia(found[part.name]))
        assert turned == pytest.approx(np.array(cq.Shape.matrixOfInertia(own)), rel=1e-6, abs=1e-3)
        points = drawn[part.name]
        assert [*points.min(axis=0), *points.max(axis=0)] == pytest.approx(boxed(own), abs=0.15)  # chords


@pytest.mark.parametrize("job", JOBS)
def test_parts_of_a_kind_share_their_mesh(shipped: Callable[[str], Built], job: str) -> None:
    built = shipped(job)
    raw = (built.folder / "assembly.glb").read_bytes()
    document = json.loads(raw[20 : 20 + int.from_bytes(raw[12:16], "little")])
    mesh_of = {n["name"]: n["mesh"] for n in document["nodes"] if "mesh" in n}
    struts = [h for h in built.layout.hardware if h.kind == "strut"]
    assert len(struts) > 3
    assert len({(h.profile, mesh_of[h.name]) for h in struts}) == len({h.profile for h in struts})


def boxed(shape: cq.Shape) -> list[float]:
    box = shape.BoundingBox(1e-9)
    return [*np.array([box.xmin, box.ymin, box.zmin]), *np.array([box.xmax, box.ymax, box.zmax])]
