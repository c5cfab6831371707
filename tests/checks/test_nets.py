"""Nets found in finished solids and STL files: shipped jobs have those they ask for; each defect is found and named."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pytest

from jobs import SHIPPED, Job, named, raw, written
from rillwright.checks.finding import Finding, Outcome
from rillwright.checks.solid.nets import net_checks
from rillwright.checks.solid.stl import read_stl
from rillwright.export.stl import stl_bytes
from rillwright.layout.job_layout import JobLayout
from rillwright.pipeline import plan
from rillwright.solids.build import plate_solid
from rillwright.solids.meshing import mesh

DEFLECTION = 0.02


@dataclass(frozen=True, slots=True)
class Nets:
    """What both paths found in one job."""

    outcomes: list[Outcome]
    rows: list[dict[str, Any]]

    @property
    def broken(self) -> set[str]:
        return {f.rule for o in self.outcomes for f in o.findings}

    def of(self, rule: str) -> list[Finding]:
        return [f for o in self.outcomes for f in o.findings if f.rule == rule]


def found(
    folder: Path, job: Job, change: Callable[[JobLayout], JobLayout] = lambda x: x, stls_from: Path | None = None
) -> Nets:
    """Build a job's plates, change what stands in the layout beside them, and ask for the nets."""
    layout = plan(written(folder, job)).layout
    solids = {p.name: plate_solid(p) for p in layout.plates}
    stls = {}
    for name, solid in solids.items():
        path = folder / f"{name}.stl"
        path.write_bytes(stl_bytes(mesh(solid, DEFLECTION), name))
        stls[name] = read_stl((stls_from or folder) / path.name)
    return Nets(*net_checks(change(layout), solids, stls, DEFLECTION))


def without(name: str) -> Callable[[JobLayout], JobLayout]:
    """Leave one piece of hardware out."""

    def change(layout: JobLayout) -> JobLayout:
        left = tuple(h for h in layout.hardware if h.name != name)
        assert len(left) == len(layout.hardware) - 1
        return replace(layout, hardware=left)

    return change


def block(loops: str, ports: list[Job], drillings: list[Job]) -> Job:
    slab = {"stock": {"thickness": 30}, "outline": {"length": 120, "width": 80}, "ports": ports, "drillings": drillings}
    return {"job": "block", "loops": {name: {} for name in loops.split()}, "plates": {"slab": slab}}


def inside(seal: Job | None) -> Job:
    """Three struts that stand inside the tube."""
    struts = {"count": 3, "place": "inside", "diameter": 14, "screw": {"length": 16}}
    tube = {
        "name": "tube", "loop": "bench", "at": [0, 0], "tube": {"outside_diameter": 90, "wall": 5, "length": 153},
        "struts": struts if seal is None else struts | {"seal": seal},
    }  # fmt: skip
    port = {"loop": "bench", "on": "outer", "at": [0, 0], "depth": "through"}
    plate = {"stock": {"thickness": 12}, "outline": {"length": 130, "width": 130}, "ports": [port | {"name": "port"}]}
    return {"job": "inside", "loops": {"bench": {}}, "reservoirs": [tube], "plates": {"upper": plate, "lower": plate}}


@pytest.mark.parametrize("name", SHIPPED)
def test_shipped_jobs_have_the_nets_they_ask_for(name: str, tmp_path: Path) -> None:
    job = raw(name)
    nets = found(tmp_path, job)
    assert nets.broken == set()
    assert {row["loop"] for row in nets.rows} == set(job["loops"])
    for row in nets.rows:
        asked = {f"{plate}.{p['name']}" for plate, body in job["plates"].items() for p in body["ports"]
                 if p["loop"] == row["loop"]}  # fmt: skip
        assert set(row["ports"]) == asked
        assert row["tubes"] == [f"{r['name']}.tube" for r in job["reservoirs"] if r["loop"] == row["loop"]]
        assert row["joined"]
        assert row["slivers"] == 0


def test_two_loops_that_cross_are_short(tmp_path: Path) -> None:
    ends = [("hot", "left"), ("hot", "right"), ("cold", "front"), ("cold", "back")]
    ports = [{"name": f"{loop}-{edge}", "loop": loop, "on": edge, "at": [0, -15]} for loop, edge in ends]
    runs = [{"name": "hot-run", "from": "hot-left", "to": [50, 0, -15], "diameter": 6, "tip": "flat"},
            {"name": "cold-run", "from": "cold-front", "to": [0, 30, -15], "diameter": 6, "tip": "flat"}]  # fmt: skip
    nets = found(tmp_path, block("hot cold", ports, runs))
    (f,) = nets.of("net.short")
    assert nets.broken == {"net.short"}
    assert set(f.features) == {"hot-run", "cold-run"}
    assert (f.plate, f.nets, f.measured, f.limit) == ("slab", ("cold", "hot"), 2, 1)


def tee(feed: float) -> Job:
    """A riser of 3 mm radius, and a feed of this length (mm) towards it from y = 40: it meets the bore at 37."""
    ports = [{"name": "top", "loop": "main", "on": "seal", "at": [0, 0], "depth": 12, "tip": "flat"},
             {"name": "in", "loop": "main", "on": "back", "at": [0, -18]}]  # fmt: skip
    runs = [{"name": "riser", "from": "top", "to": [0, 0, -24], "diameter": 6, "tip": "flat"},
            {"name": "feed", "from": "in", "depth": feed, "diameter": 6, "tip": "flat"}]  # fmt: skip
    return block("main", ports, runs)


@pytest.mark.parametrize(("short", "broken"), [(0.01, {"net.open"}), (-0.2, set())])
def test_a_drilling_that_ends_short_of_its_aim(short: float, broken: set[str], tmp_path: Path) -> None:
    nets = found(tmp_path, tee(37 - short))
    assert nets.broken == broken
    for f in nets.of("net.open"):
        assert {"feed", "riser"} <= set(f.features)
        assert f.at[0][1] - f.at[1][1] == pytest.approx(short, abs=1e-4)
        assert f"{short:g} mm" in f.remedy


def test_paths_that_disagree_fail_with_both_answers(tmp_path: Path) -> None:
    """The exported file is that of another plate, in which the feed stops short."""
    (tmp_path / "other").mkdir()
    found(tmp_path / "other", tee(36))
    nets = found(tmp_path, tee(38), stls_from=tmp_path / "other")
    assert nets.broken == {"net.second-path"}
    (f,) = nets.of("net.second-path")
    assert f.severity == "error"
    whole, parts = f.what.split("; STL: ")
    assert whole == "solids: slab.top, slab.in, slab.riser, slab.feed"
    assert {frozenset(part.split(", ")) for part in parts.split(" | ")} == {
        frozenset({"slab.top", "slab.riser"}), frozenset({"slab.in", "slab.feed"})
    }  # fmt: skip


def test_a_plug_left_out_is_a_leak(tmp_path: Path) -> None:
    nets = found(tmp_path, raw("studio-twin"), without("lower.graphics-cross.plug"))
    (f,) = nets.of("net.leak")
    assert (f.plate, f.features, f.nets) == ("lower", ("graphics-cross.plug",), ("graphics",))
    assert nets.broken == {"net.leak"}
    assert [row["joined"] for row in nets.rows] == [True, False]


def test_a_tube_too_short_leaks_at_its_cords(tmp_path: Path) -> None:
    """3 mm less leave 3 mm at each end for a cord of 2."""
    job = raw("studio-twin")
    named(job["reservoirs"], "left")["tube"]["length"] -= 3
    nets = found(tmp_path, job)
    assert nets.broken == {"net.leak"}
    assert {f.features for f in nets.of("net.leak")} == {(f"left.cord-{end}", "left.tube") for end in ("lower", "upper")}


@pytest.mark.parametrize(("more", "leaks"), [(0.499, False), (0.501, True)])
def test_a_cord_seals_as_soon_as_it_is_squeezed(more: float, leaks: bool, tmp_path: Path) -> None:
    """The gap is 1.5 mm, the cord 2: half a millimetre more at each end and it lies loose."""
    job = raw("bench-single")
    job["reservoirs"][0]["struts"]["length"] = 150 + 2 * more
    assert bool(found(tmp_path, job).of("net.leak")) == leaks


def test_a_missing_cord_is_a_leak(tmp_path: Path) -> None:
    nets = found(tmp_path, raw("bench-single"), without("tube.cord-upper"))
    assert [f.features for f in nets.of("net.leak")] == [("tube.cord-upper", "tube.tube")]


def test_struts_inside_the_tube_leak_past_their_screws(tmp_path: Path) -> None:
    nets = found(tmp_path, inside(None))
    assert nets.broken == {"net.leak"}
    named_ = {(f.plate, f.features[0]) for f in nets.of("net.leak")}
    assert named_ == {(plate, f"tube.strut-{i}.screw") for plate in ("upper", "lower") for i in (1, 2, 3)}


def test_struts_inside_the_tube_hold_with_their_seals(tmp_path: Path) -> None:
    nets = found(tmp_path, inside({"cord": {"diameter": 2}}))
    assert nets.broken == set()


def test_one_strut_cord_left_out_is_named(tmp_path: Path) -> None:
    nets = found(tmp_path, inside({"cord": {"diameter": 2}}), without("tube.strut-2.cord-upper"))
    assert [(f.plate, f.features[0]) for f in nets.of("net.leak")] == [("upper", "tube.strut-2.screw")]


def test_a_dry_hole_into_a_passage_is_a_leak(tmp_path: Path) -> None:
    job = raw("studio-twin")
    hole = {"name": "stray", "kind": "tapped", "thread": "M4", "from": "outer", "depth": 12, "at": [[-80, 30]]}
    job["plates"]["upper"]["holes"].append(hole)
    nets = found(tmp_path, job)
    assert nets.broken == {"net.leak"}
    assert [(f.plate, f.features, f.nets) for f in nets.of("net.leak")] == [
        ("upper", ("stray", "processor-feed"), ("processor",))
    ]


def test_a_passage_without_a_port_is_not_reached(tmp_path: Path) -> None:
    job = raw("bench-single")
    for plate in job["plates"].values():
        plate["ports"] = []
    assert found(tmp_path, job).broken == {"net.unreached"}


def test_plates_that_nothing_holds_together_are_proved_apart(tmp_path: Path) -> None:
    """Two plates that would lie in one place, each with a whole net of the same loop."""
    job = tee(38)
    job["plates"]["twin"] = job["plates"]["slab"]
    nets = found(tmp_path, job)
    assert nets.broken == set()
    assert [(row["assembly"], row["loop"]) for row in nets.rows] == [("slab", "main"), ("twin", "main")]


def test_two_seeds_of_one_leak_are_both_named(tmp_path: Path) -> None:
    """A floor pierced by 0.1 mm and a plug left out."""
    job = tee(38)
    slab = job["plates"]["slab"]
    slab["drillings"][0]["to"] = [0, 0, -30.1]
    cross = {"name": "cross", "loop": "main", "from": "right", "at": [0, -18], "to": "riser", "diameter": 6}
    slab["drillings"].append(cross)
    nets = found(tmp_path, job)
    assert {f.features for f in nets.of("net.leak")} == {("riser",), ("cross",)}
