"""Drillings chosen for galleries: their walls by exact distances of axes, what they join, and why there are none."""

from __future__ import annotations

import math
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs import PARAMS, Job, named, raw, written
from rillwright.layout.features import Feature
from rillwright.layout.galleries.rods import Rod, gaps, table
from rillwright.layout.geometry import Segment, segment_distance
from rillwright.layout.job_layout import JobLayout
from rillwright.pipeline import check, plan
from rillwright.spec.messages import SpecError

WALL = 3.0


def job() -> Job:
    return raw("auto-drilled")


def drilled(layout: JobLayout, plate: str) -> list[Feature]:
    return [f for p in layout.plates if p.name == plate for f in p.features if f.role in ("drilling", "plug")]


def axis(f: Feature) -> Segment:
    return (f.at(f.facts.get("start", 0.0)), f.at(f.facts.get("length", f.depth)))


def test_the_shipped_job_keeps_all_its_checks_without_solids() -> None:
    assert check(PARAMS / "auto-drilled.yaml").holds


@pytest.mark.parametrize("plate", ["upper", "lower"])
def test_drillings_of_two_loops_keep_their_wall(plate: str) -> None:
    made = drilled(plan(PARAMS / "auto-drilled.yaml").layout, plate)
    assert {f.loop for f in made} == {"heaters", "lasers"}
    for a, b in combinations(made, 2):
        if a.loop != b.loop:
            assert segment_distance(axis(a), axis(b)) >= a.radius + b.radius + WALL - 1e-6


def test_drillings_are_written_like_those_by_hand() -> None:
    planned = plan(PARAMS / "auto-drilled.yaml")
    lower = planned.loaded.model.plates["lower"]
    assert lower.galleries == []
    by_name = {d.name: d for d in lower.drillings}
    assert by_name["hot-left"].start == "seal"
    assert by_name["hot-left"].to in by_name
    assert {d.plug for d in lower.drillings} == {None, "G1/8"}
    assert not any(d.start == "back" for d in lower.drillings)  # the file keeps plugs off that edge
    assert planned.loaded.home(("plates", "lower", "drillings", 0)) == ("plates", "lower", "galleries", 0)


def test_a_port_that_moves_takes_its_drillings_along(tmp_path: Path) -> None:
    data = job()
    before = {f.name: f.origin for f in drilled(plan(PARAMS / "auto-drilled.yaml").layout, "lower")}
    named(data["plates"]["lower"]["ports"], "heaters-drain")["at"] = [-20, -13]
    path = written(tmp_path, data)
    after = {f.name: f.origin for f in drilled(plan(path).layout, "lower")}
    assert before != after
    assert check(path).holds


def refused(tmp_path: Path, data: Job) -> str:
    with pytest.raises(SpecError) as e:
        plan(written(tmp_path, data))
    return str(e.value)


def moved(data: Job, said: str, port: str) -> None:
    """Moves a port of the lower plate to where the message says."""
    place = said.partition(f"{port} moved by ")[2].partition("at: [")[2].partition("]")[0]
    named(data["plates"]["lower"]["ports"], port)["at"] = [float(v) for v in place.split(",")]


def test_what_stands_in_the_way_is_named_with_what_lets_it_through(tmp_path: Path) -> None:
    data = job()
    named(data["plates"]["lower"]["ports"], "heaters-drain")["at"] = [-30, -13]  # beside a strut's screw
    said = refused(tmp_path, data)
    assert "plates.lower.galleries.0" in said
    assert "none of the trees of Ø8 drillings listed joins left, heaters-out and heaters-drain" in said
    # the screw stands at x -75 + 42 cos 30°: its clearance hole of 4.5 mm and the bore of 8 leave 2.38 of 3 mm
    lack = 3 - (-30 - (-75 + 42 * math.cos(math.pi / 6)) - 4.5 / 2 - 8 / 2)
    assert f"on z -13 the drilling on from port heaters-drain lacks {lack:.2f} mm of wall to left.strut-2.screw" in said
    for words in ("plugs in all edges", "heaters-drain moved by 1 mm", "limits.wall_wet 2.3 mm instead of 3"):
        assert words in said
    named(data["plates"]["lower"]["galleries"], "hot").pop("edges")
    assert check(written(tmp_path, data)).holds  # what it proposes does hold
    data = job()
    moved(data, said, "heaters-drain")
    assert check(written(tmp_path, data)).holds


def test_two_that_have_to_cross_on_one_level_are_named_together(tmp_path: Path) -> None:
    data = job() | {"limits": {"drill_ratio": 50}}
    data["plates"]["lower"] |= {
        "ports": [
            {"name": "a", "loop": "heaters", "on": "left", "at": [0, -17], "thread": "G1/4"},
            {"name": "b", "loop": "heaters", "on": "right", "at": [0, -17], "thread": "G1/4"},
            {"name": "c", "loop": "lasers", "on": "front", "at": [0, -17], "thread": "G1/4"},
            {"name": "d", "loop": "lasers", "on": "back", "at": [0, -17], "thread": "G1/4"},
        ],
        "galleries": [{"name": "along", "joins": ["a", "b"]}, {"name": "across", "joins": ["c", "d"]}],
        "holes": [],
    }
    said = refused(tmp_path, data)
    assert "none of the drillings listed for along keep their wall from any of across" in said
    assert "the drilling on from port a, z -17, and the drilling " in said
    assert "come 11.00 mm too near to each other" in said  # they cross: two radii and the wall
    assert "a and b at z -28 in a sheet of 41 mm" in said
    named(data["plates"]["lower"]["ports"], "c")["at"] = [0, -14]
    data["plates"]["lower"]["galleries"].pop(0)
    said = refused(tmp_path, data)
    assert "ports in edges do not: c at z -14 and d at z -17" in said
    assert "lets it be drilled: c at z -17" in said


def test_a_plate_too_thin_says_so_and_how_thick_it_has_to_be(tmp_path: Path) -> None:
    data = job()
    lower = data["plates"]["lower"]
    lower["stock"]["thickness"] = 12
    lower["ports"] = [{"name": n, "loop": "heaters", "on": "seal", "at": [x, 50], "bore": 6, "depth": 4} for n, x in
                      (("a", -20), ("b", 20))]  # fmt: skip
    lower["galleries"] = [{"name": "thin", "joins": ["a", "b"]}]
    lower["holes"] = []
    data["reservoirs"], data["plates"] = [], {"lower": lower}
    said = refused(tmp_path, data)
    assert "a plate of 12 mm has no level for drillings of Ø8 with 3 mm of wall on both sides: they take 14 mm" in said
    assert "and 17.8 mm where a plug G1/8 closes them" in said
    assert "lets it be drilled: sheet of 18 mm" in said


def test_uprights_that_no_level_reaches_say_where_they_are_met(tmp_path: Path) -> None:
    data = job()
    data["plates"]["lower"]["galleries"][0]["level"] = -27
    said = refused(tmp_path, data)
    assert "no level reaches all of left, heaters-out and heaters-drain: runs can lie on z -27" in said
    assert "heaters-out is met" in said
    assert "level left out" in said


def test_many_ends_are_joined_in_seconds(tmp_path: Path) -> None:
    data = job()
    lower = data["plates"]["lower"]
    lower["ports"] = [{"name": f"p{k}", "loop": "heaters", "on": "seal", "at": [-100 + 25 * k, 20 * (-1) ** k],
                       "thread": "G1/8"} for k in range(9)]  # fmt: skip
    lower["galleries"] = [{"name": "row", "joins": [f"p{k}" for k in range(9)]}]
    lower["holes"] = []
    data["reservoirs"], data["plates"] = [], {"lower": lower}
    assert len(drilled(plan(written(tmp_path, data)).layout, "lower")) >= 10


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"joins": ["left", "heaters-oot"]}, "heaters-out"),
        ({"joins": ["left", "lasers-out"]}, "belongs to loop lasers"),
        ({"joins": ["left", "left"]}, "named twice"),
        ({"edges": ["edge-3"]}, "no straight edge 'edge-3'"),
        ({"diameter": 48}, "does not fit into the tube"),
        ({"diameter": 10}, "wider than the bore of a plug G1/8"),
    ],
)  # fmt: skip
def test_faults_stand_at_their_line(tmp_path: Path, change: Job, words: str) -> None:
    data = job()
    data["plates"]["lower"]["galleries"][0] |= change
    said = refused(tmp_path, data)
    assert words in said
    assert ": plates.lower.galleries.0" in said


points = st.tuples(*[st.floats(-20, 20)] * 3)


@st.composite
def rods(draw: st.DrawFn) -> Rod:
    start, k = draw(points), draw(st.integers(0, 2))
    end = tuple(v + draw(st.floats(1, 30)) if i == k else v for i, v in enumerate(start))
    return Rod(start, end, draw(st.floats(0.5, 8)), round=draw(st.booleans()))  # type: ignore[arg-type]


def inside(r: Rod) -> np.ndarray:  # type: ignore[type-arg]
    """Points of the flat-ended cylinder: two rims, and its axis."""
    k = r.along
    across = [i for i in range(3) if i != k]
    out = []
    for at in (r.start, r.end):
        for turn in range(24):
            p = list(at)
            p[across[0]] += r.radius * math.cos(turn * math.tau / 24)
            p[across[1]] += r.radius * math.sin(turn * math.tau / 24)
            out.append(p)
    return np.array([*out, r.start, r.end])


@settings(max_examples=60, deadline=None)
@given(rods(), rods())
def test_distances_of_rods_are_never_too_great(a: Rod, b: Rod) -> None:
    p, q = inside(a), inside(b)
    least = np.sqrt(((p[:, None] - q[None]) ** 2).sum(-1)).min()
    assert gaps(table([a]), table([b]))[0, 0] <= least + 1e-9


def test_distances_of_crossing_and_parallel_rods_are_exact() -> None:
    along = Rod((0, 0, 0), (40, 0, 0), 4, round=True)
    post = Rod((20, 15, -10), (20, 15, 10), 3)
    ring = Rod((20, 0, 6), (20, 0, 12), 30, 22)
    beside = Rod((0, 0, 13), (40, 0, 13), 4, round=True)
    found = gaps(table([along]), table([post, ring, beside]))[0]
    assert found == pytest.approx([15 - 3 - 4, math.hypot(6, 22 - 20) - 4, 13 - 8])
