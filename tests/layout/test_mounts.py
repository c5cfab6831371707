"""Foot prints put on plates: everything follows place, turn, side and sizes; wrong files and words are told in place."""

from __future__ import annotations

import copy
import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs import Job, feature
from mounting import FOOT, job_of, planned, saved
from rillwright.layout.footprint import Space, gap
from rillwright.layout.job_layout import JobLayout
from rillwright.pipeline import Planned, plan
from rillwright.recall import _key
from rillwright.spec.messages import SpecError

MOUNT: Job = {"name": "pump", "interface": "foot", "side": "seal", "at": [10, 5], "loop": "a"}


def places(layout: JobLayout) -> dict[str, tuple[float, float]]:
    """Everything that a mount brought, by name, in plan."""
    p = layout.plates[0]
    out: dict[str, Any] = {f.name: f.origin[:2] for f in p.features if f.name.startswith("pump")}
    out |= {q.name: q.start for q in p.pockets if q.name.startswith("pump")}
    out |= {s.name: s.middle for f in layout.footprints for s in f.spaces}
    out |= {h.name: h.origin[:2] for h in layout.hardware}
    out |= {r.seal: r.joint for r in layout.rings}
    return out


def test_a_moved_foot_print_moves_all_that_belongs_to_it(tmp_path: Path) -> None:
    before = places(planned(tmp_path, job_of(MOUNT)).layout)
    after = places(planned(tmp_path, job_of({**MOUNT, "at": [17, 1]})).layout)
    assert set(before) == set(after)
    assert {"pump-in", "pump-out", "pump-in.groove", "pump-screw-1", "pump-eye", "pump-body", "pump-in.cord",
            "base.pump-in.cord", "base.pump-screw-2.screw"} <= set(before)  # fmt: skip
    for name, (x, y) in before.items():
        assert after[name] == pytest.approx((x + 7, y - 4), abs=1e-9), name


@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.floats(-180, 180))
def test_a_turned_foot_print_turns_as_seen_from_above(tmp_path: Path, angle: float) -> None:
    layout = planned(tmp_path, job_of({**MOUNT, "turn": angle})).layout
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    assert feature(layout, "base", "pump-in").origin[:2] == pytest.approx((10 - 5 * c - 2 * s, 5 - 5 * s + 2 * c), abs=1e-6)


def test_on_a_face_that_looks_down_it_is_turned_over(tmp_path: Path) -> None:
    layout = planned(tmp_path, job_of({**MOUNT, "side": "outer"})).layout
    f = feature(layout, "base", "pump-in")
    assert f.origin == pytest.approx((10 + 5, 5 + 2, -20))
    assert f.axis == (0.0, 0.0, 1.0)
    assert feature(layout, "base", "pump-screw-2").origin[:2] == pytest.approx((10 - 15, 5 + 5))


def test_a_row_stands_evenly_about_its_middle_and_takes_loops_in_turn(tmp_path: Path) -> None:
    row = {**MOUNT, "count": 3, "pitch": 45, "turn": 0, "loops": {"in": ["a", "a", "b"], "out": ["a", "a", "b"]}}
    layout = planned(tmp_path, job_of(row)).layout
    ports = [feature(layout, "base", f"pump-{k}-in") for k in (1, 2, 3)]
    assert [f.origin[0] for f in ports] == pytest.approx([10 - 45 - 5, 10 - 5, 10 + 45 - 5])
    assert [f.loop for f in ports] == ["a", "a", "b"]


def test_a_size_goes_where_the_foot_print_says(tmp_path: Path) -> None:
    layout = planned(tmp_path, job_of({**MOUNT, "set": {"span": 25, "bore": "7 mm"}})).layout
    assert feature(layout, "base", "pump-screw-2").origin[:2] == pytest.approx((35, 10))
    assert feature(layout, "base", "pump-out").facts["bore_radius"] == 3.5


def test_the_groove_lies_round_the_bore_with_its_cord(tmp_path: Path) -> None:
    layout = planned(tmp_path, job_of(MOUNT)).layout
    g = next(g for g in layout.glands if g.seal == "pump-in.cord")
    assert g.circular
    assert g.corner == pytest.approx(max(3 + 2, 3 * 2))  # land of 2 mm round the bore, 3 d inside: seal handbooks
    assert g.line == pytest.approx(math.tau * (g.corner + g.nominal("groove width") / 2))
    ring = next(r for r in layout.rings if r.seal == "pump-in.cord")
    assert ring.length == pytest.approx(g.line)


def told(folder: Path, job: Job, *feet: Job) -> str:
    with pytest.raises(SpecError) as e:
        planned(folder, job, *feet)
    return str(e.value)


def test_a_wrong_key_in_a_foot_print_gives_its_line(tmp_path: Path) -> None:
    path = saved(tmp_path, job_of(MOUNT))
    foot = tmp_path / "interfaces" / "foot.yaml"
    foot.write_text('interface: foot\nsource: a test\nholes:\n  - name: screw\n    kidn: tapped\n    at: [[0, 0]]\n',
                    encoding="utf-8")  # fmt: skip
    with pytest.raises(SpecError) as e:
        plan(path)
    (problem,) = e.value.problems
    assert problem.path == str(foot)
    assert (problem.line, problem.column) == (5, 5)
    assert problem.key == "holes.0.kidn"
    assert problem.do is not None
    assert '"kind"' in problem.do


def test_wrong_words_of_a_mount_are_told_in_the_job_all_at_once(tmp_path: Path) -> None:
    job = job_of({**MOUNT, "set": {"bor": 5}}, {**MOUNT, "name": "other", "interface": "fot"},
                 {**MOUNT, "name": "third", "loop": "c"}, {**MOUNT, "name": "fourth", "set": {"bore": -1}})  # fmt: skip
    text = told(tmp_path, job)
    assert 'mounts.0.set.bor: foot has no size of this name (got "bor"); did you mean "bore"?' in text
    assert 'mounts.1.interface: there is no foot print of this name' in text
    assert 'did you mean "foot"?' in text
    assert 'mounts.2.loop: there is no loop of this name (got "c")' in text
    assert "mounts.3.set.bore: must be a length in mm" in text


def test_what_does_not_fit_is_told_at_its_mount(tmp_path: Path) -> None:
    text = told(tmp_path, job_of({**MOUNT, "at": [95, 5]}))
    assert "plates.base.mounts.0" in text
    assert "pump" in text
    assert "ports.0" not in text


def test_sizes_that_must_be_measured_are_asked_for(tmp_path: Path) -> None:
    foot = copy.deepcopy(FOOT)
    foot["sizes"]["bore"]["ask"] = True
    assert "mounts.0: foot needs set.bore" in told(tmp_path, job_of(MOUNT), foot)


def test_a_port_without_a_loop_is_asked_for(tmp_path: Path) -> None:
    mount = {k: v for k, v in MOUNT.items() if k != "loop"}
    assert "port 'in' has no loop; give loop, or loops: {in: NAME}" in told(tmp_path, job_of(mount))


def test_a_size_that_leads_nowhere_gives_the_line_of_the_foot_print(tmp_path: Path) -> None:
    foot = copy.deepcopy(FOOT)
    foot["sizes"]["span"]["into"] = ["holes.scrwe.row"]
    text = told(tmp_path, job_of(MOUNT), foot)
    assert "foot.yaml:" in text
    assert 'did you mean "screw"?' in text


def test_a_changed_foot_print_is_another_build(tmp_path: Path) -> None:
    path = saved(tmp_path, job_of(MOUNT))
    before = _key(path, False, ["step"])
    assert _key(path, False, ["step"]) == before
    foot = copy.deepcopy(FOOT)
    foot["ports"][0]["bore"] = 7
    saved(tmp_path, job_of(MOUNT), foot)
    assert _key(path, False, ["step"]) != before


def test_the_files_that_were_read_are_named_with_their_hashes(tmp_path: Path) -> None:
    found: Planned = planned(tmp_path, job_of(MOUNT))
    ((name, digest),) = found.loaded.also
    assert name == "interfaces/foot.yaml"
    assert len(digest) == 64


corners = st.tuples(st.floats(-40, 40), st.floats(-40, 40))
box = st.tuples(corners, st.floats(1, 30), st.floats(1, 30), st.floats(0, math.pi))


@settings(max_examples=60, deadline=None)
@given(box, box, st.floats(0, 10))
def test_distances_of_spaces_are_those_of_another_library(a: Any, b: Any, r: float) -> None:
    import shapely

    def space(v: Any) -> Space:
        (x, y), long, wide, turn = v
        c, s = math.cos(turn), math.sin(turn)
        return Space("s", tuple((x + c * u - s * w, y + s * u + c * w) for u, w in
                                ((-long, -wide), (long, -wide), (long, wide), (-long, wide))), r, 0, 1)  # fmt: skip

    one, two = space(a), space(b)
    p, q = shapely.Polygon(one.points), shapely.Polygon(two.points)
    found, u, v = gap(one, two)
    apart = p.distance(q)
    if apart > 1e-6:
        assert found == pytest.approx(apart - 2 * r, abs=1e-6)
        assert math.dist(u, v) == pytest.approx(apart, abs=1e-6)
    else:
        # moved apart by what was found, along the line between the places, they just touch
        deep = -(found + 2 * r)
        assert deep >= -1e-6
        if deep > 1e-3:
            way = ((u[0] - v[0]) / deep, (u[1] - v[1]) / deep)
            moved = shapely.affinity.translate(q, way[0] * (deep + 1e-3), way[1] * (deep + 1e-3))
            assert p.intersection(moved).area < 0.1
