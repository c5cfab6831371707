"""Any job in the allowed ranges either becomes closed solids or is refused in words; nothing else may happen."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any

import pytest
import trimesh
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs import Job, written
from rillwright.layout.features import PlateLayout
from rillwright.pipeline import Planned, plan
from rillwright.solids.build import GeometryError, plate_solid
from rillwright.solids.meshing import Mesh, MeshError, mesh
from rillwright.spec.messages import SpecError

EXAMPLES = 25  # the same ones every time; raise it to look for more
DEFLECTION = 0.2  # mm: the question is whether the mesh closes, not how fine it is

mm = lambda low, high: st.floats(low, high).map(lambda x: round(x, 2))  # noqa: E731
LOOPS = ("a", "b", "c")
PLANE = ("seal", "outer")
loop = st.sampled_from(LOOPS)
place = st.tuples(mm(-101, 101), mm(-61, 61)).map(list)  # now and then off a small plate
centre = st.tuples(mm(-60, 60), mm(-25, 25)).map(list)


@st.composite
def reservoir(draw: st.DrawFn, number: int) -> Job:
    struts: Job = {"count": draw(st.integers(2, 5)), "length": draw(st.sampled_from([100, 120.5]))}
    struts["thread"] = draw(st.sampled_from(["M3", "M4", "M5"]))
    struts["diameter"] = draw(mm(6, 12))
    struts["place"] = draw(st.sampled_from(["outside"] * 4 + ["inside"]))
    struts["screw"] = {"counterbore": draw(st.sampled_from([0, 2, "auto"]))}
    if draw(st.booleans()):
        struts["pitch_circle"] = draw(mm(20, 100))
    tube = {"outside_diameter": draw(mm(18, 60)), "wall": draw(mm(1, 8))}
    channel = {"depth": draw(mm(3.5, 9)), "wall": draw(mm(0, 8))}
    return {"name": f"r{number}", "loop": LOOPS[number], "at": draw(centre), "tube": tube, "struts": struts,
            "channel": channel}  # fmt: skip


@st.composite
def start(draw: st.DrawFn, edges: list[str], thick: float) -> tuple[str, list[float]]:
    """A face or edge and a place on it, now and then off it."""
    deep = draw(st.sampled_from([0.95] * 19 + [1.1]))
    on = draw(st.sampled_from([*PLANE, *edges]))
    return on, draw(place) if on in PLANE else [draw(mm(-45, 45)), draw(mm(-deep * thick, -0.5))]


@st.composite
def port(draw: st.DrawFn, name: str, edges: list[str], thick: float) -> Job:
    on, at = draw(start(edges, thick))
    made: Job = {"name": name, "loop": draw(loop), "on": on, "at": at}
    made["thread"] = draw(st.sampled_from(["G1/8", "G1/4", "G3/8", "G1/2"]))
    if draw(st.booleans()):
        made["depth"] = "through" if on in PLANE else draw(mm(5, 30))
    return made


@st.composite
def drilling(draw: st.DrawFn, name: str, others: list[Job], edges: list[str], thick: float) -> Job:
    """From a port or a face; to something placed before it, to a point, or as deep as it says."""
    made: Job = {"name": name, "diameter": draw(mm(1, 14)), "tip": draw(st.sampled_from(["drill", "flat"]))}
    ports = [o["name"] for o in others if "on" in o]
    way = draw(st.sampled_from(["depth", "depth", "name", "point"]))
    if ports and way == "depth" and draw(st.booleans()):
        made["from"] = draw(st.sampled_from(ports))
    else:
        made["from"], made["at"] = draw(start(edges, thick))
        made["loop"] = draw(loop)
        if draw(st.booleans()) and way != "point":
            made["plug"] = draw(st.sampled_from(["G1/8", "G1/4"]))
    if way == "name" and others:
        made["to"] = draw(st.sampled_from(others))["name"]
    elif way == "point":
        made["to"] = [*draw(place), draw(mm(-thick, 0))]
    else:
        made["depth"] = draw(mm(15, 120))
    return made


@st.composite
def holes(draw: st.DrawFn, name: str, thick: float) -> Job:
    made: Job = {"name": name, "kind": draw(st.sampled_from(["clearance", "tapped", "countersunk", "counterbored"]))}
    made["thread"] = draw(st.sampled_from(["M3", "M4", "M5", "M6"]))
    made["from"] = draw(st.sampled_from(["seal", "outer"]))
    patterns: list[dict[str, Any]] = [
        {"at": [draw(place)]},
        {"perimeter": {"inset": draw(mm(3, 20)), "pitch": draw(mm(25, 80))}},
        {"grid": {"columns": 2, "rows": 2, "pitch": [draw(mm(10, 200)), draw(mm(10, 120))]}},
        {"circle": {"diameter": draw(mm(10, 60)), "count": draw(st.integers(1, 6)), "centre": draw(centre)}},
    ]
    made |= draw(st.sampled_from(patterns))
    if draw(st.booleans()):
        made["avoid"] = draw(mm(0, 5))
    if made["kind"] in ("clearance", "tapped") and draw(st.booleans()):
        made["depth"] = draw(mm(2, thick))
    return made


@st.composite
def plate(draw: st.DrawFn) -> Job:
    thick = draw(mm(8, 30))
    outline: Job = {"length": draw(mm(200, 300)), "width": draw(mm(120, 180)), "corner_radius": draw(mm(0, 20))}
    outline["chamfer"] = draw(st.sampled_from([0, 0, 0.5, 1.5]))
    edges = ["left", "right", "front", "back"]
    if draw(st.integers(0, 3)) == 0:
        outline = {"polygon": [[0, 0], [200, 0], {"through": [230, 60], "to": [200, 120]}, [0, 120]], "chamfer": 0.5}
        edges = ["edge-1", "edge-2", "edge-3"]
    ports = [draw(port(f"p{i}", edges, thick)) for i in range(draw(st.integers(0, 3)))]
    drillings: list[Job] = []
    for i in range(draw(st.integers(0, 3))):
        drillings.append(draw(drilling(f"d{i}", [*ports, *drillings], edges, thick)))
    patterns = [draw(holes(f"h{i}", thick)) for i in range(draw(st.integers(0, 2)))]
    return {"stock": {"thickness": thick}, "outline": outline, "ports": ports, "drillings": drillings, "holes": patterns}


@st.composite
def jobs(draw: st.DrawFn) -> Job:
    reservoirs = [draw(reservoir(i)) for i in range(draw(st.integers(1, 3)))]
    for r in reservoirs[1:]:  # one pair of plates stands at one distance
        for key in ("count", "length", "thread", "screw"):
            r["struts"][key] = reservoirs[0]["struts"][key]
        r["channel"]["depth"] = reservoirs[0]["channel"]["depth"]
    return {
        "job": "any", "loops": {name: {} for name in LOOPS}, "reservoirs": reservoirs,
        "plates": {"upper": draw(plate()), "lower": draw(plate())},
    }  # fmt: skip


def test_any_job_is_built_closed_or_refused(tmp_path: Path) -> None:
    seen: Counter[str] = Counter()

    @settings(
        max_examples=EXAMPLES, deadline=None, derandomize=True, database=None,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
    )  # fmt: skip
    @given(job=jobs())
    def holds(job: Job) -> None:
        planned = placed(written(tmp_path, job))
        seen["refused"] += planned is None
        for p in () if planned is None else planned.layout.plates:
            seen["built"] += is_built_closed(p)

    holds()
    # It proves something only if some were built and some refused.
    assert seen["built"] >= 2, seen
    assert seen["refused"] >= 1, seen


def is_built_closed(plate: PlateLayout) -> bool:
    """False where the plate is refused; the two ways to cut must agree, also in what they refuse."""
    solid, other = solid_of(plate, swap=True), solid_of(plate, swap=False)
    assert (solid is None) == (other is None)
    made = None if solid is None else mesh_of(solid)
    if made is None:
        assert other is None or mesh_of(other) is None
        return False
    assert solid.Volume() == pytest.approx(other.Volume(), rel=1e-6)
    again = trimesh.Trimesh(made.vertices, made.triangles, process=False)
    assert again.is_watertight
    assert again.is_winding_consistent
    assert again.volume > 0
    return True


def placed(path: Path) -> Planned | None:
    """The job, or None where it is refused with a line for everything that is wrong."""
    try:
        return plan(path)
    except SpecError as e:
        if not e.problems or not all(p.line > 0 and p.what for p in e.problems):
            raise AssertionError(f"refused without place or reason: {e.problems}") from e
        return None


def solid_of(plate: PlateLayout, swap: bool) -> Any:
    try:
        return plate_solid(plate, swap)
    except GeometryError as e:
        if plate.name not in str(e):
            raise AssertionError("refused without saying which plate") from e
        return None


def mesh_of(solid: Any) -> Mesh | None:
    try:
        return mesh(solid, DEFLECTION)
    except MeshError as e:
        if not str(e):
            raise AssertionError("refused without a reason") from e
        return None
