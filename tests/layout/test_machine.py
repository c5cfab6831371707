"""Assemblies moved and turned in the whole machine; tubing between their ports; clashes."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from rillwright.checks.solid.clashes import clash_cases
from rillwright.layout.machine import Stance, turned
from rillwright.pipeline import check, plan
from rillwright.solids.build import plate_solid
from rillwright.spec.messages import SpecError

JOB = """
job: two-blocks
loops: {{one: {{}}, two: {{tint: amber}}}}
plates:
  left:
    stock: {{material: pom-c, thickness: 20}}
    outline: {{length: 60, width: 40}}
    ports: [{{name: out, loop: one, on: right, at: [0, -10], thread: G1/8}}]
  right:
    stock: {{material: pom-c, thickness: 20}}
    outline: {{length: 60, width: 40}}
    ports: [{{name: in, loop: {loop}, on: left, at: [0, -10], thread: G1/8}}]
place:
  left: {{at: [0, 0, 0]}}
  right: {{at: {at}, turn: {turn}}}
runs: [{{from: left.out, to: right.{port}, fitting: 5}}]
"""


def job(tmp_path: Path, at: str = "[100, 0, 0]", turn: str = "[0, 0, 0]", loop: str = "one", port: str = "in") -> Path:
    path = tmp_path / "two-blocks.yaml"
    path.write_text(JOB.format(at=at, turn=turn, loop=loop, port=port), encoding="utf-8")
    return path


angles = st.floats(-180, 180)


@given(st.tuples(angles, angles, angles), st.tuples(*[st.floats(-100, 100)] * 3))
def test_turns_are_scipys(about: tuple[float, float, float], at: tuple[float, float, float]) -> None:
    # scipy, extrinsic x-y-z: about the fixed axes one after the other.
    wanted = Rotation.from_euler("xyz", about, degrees=True)
    stance = Stance(at, turned(about))
    assert np.allclose(stance.rows, wanted.as_matrix(), atol=1e-9)
    p = (3.0, -5.0, 7.0)
    assert np.allclose(stance.place(p), wanted.apply(p) + at, atol=1e-9)
    assert np.allclose(stance.unturn(stance.turn(p)), p, atol=1e-9)
    x, y, z, w = stance.quaternion
    assert np.allclose(Rotation.from_quat([x, y, z, w]).as_matrix(), wanted.as_matrix(), atol=1e-6)


@given(*[st.tuples(angles, angles, angles, *[st.floats(-100, 100)] * 3)] * 2)
def test_one_stance_after_another(a: tuple[float, ...], b: tuple[float, ...]) -> None:
    first, second = (Stance((s[3], s[4], s[5]), turned((s[0], s[1], s[2]))) for s in (a, b))
    p = (3.0, -5.0, 7.0)
    assert np.allclose(second.after(first).place(p), second.place(first.place(p)), atol=1e-9)
    assert np.allclose(second.after(first).turn(p), second.turn(first.turn(p)), atol=1e-9)


def test_right_angles_are_exact() -> None:
    assert turned((0, 0, 90)) == ((0, -1, 0), (1, 0, 0), (0, 0, 1))


def test_tubing_between_ports_that_face_each_other(tmp_path: Path) -> None:
    (run,) = plan(job(tmp_path)).layout.runs
    # Mouths at x 30 and 70, fittings of 5 mm at each.
    assert run.straight == pytest.approx(30)
    assert run.angles == (pytest.approx(0), pytest.approx(0))
    assert run.between == pytest.approx(180)


def test_tubing_round_a_corner(tmp_path: Path) -> None:
    # Turned by 90° about z the port looks to -y, from (100, -30).
    (run,) = plan(job(tmp_path, turn="[0, 0, 90]")).layout.runs
    assert run.between == pytest.approx(90)
    assert run.straight == pytest.approx(math.hypot(100 - 35, 35))


def test_tubing_of_two_loops_is_found(tmp_path: Path) -> None:
    result = check(job(tmp_path, loop="two"))
    assert [f.features for f in result.findings if f.rule == "run.loops"] == [("left.out", "right.in")]


@pytest.mark.parametrize(("port", "words"), [("inn", ("16:29", "there is no port 'right.inn'", "right.in"))])
def test_a_port_that_is_not_there(tmp_path: Path, port: str, words: tuple[str, ...]) -> None:
    with pytest.raises(SpecError) as caught:
        plan(job(tmp_path, port=port))
    assert all(w in str(caught.value) for w in words), str(caught.value)


def test_a_place_of_a_plate_that_is_not_there(tmp_path: Path) -> None:
    path = job(tmp_path)
    path.write_text(path.read_text(encoding="utf-8").replace("  right: {at", "  rihgt: {at"), encoding="utf-8")
    with pytest.raises(SpecError, match="right"):
        plan(path)


@pytest.mark.parametrize(
    ("at", "turn", "measured", "place"),
    [
        ("[59.5, 0, 0]", "[0, 0, 0]", -0.5, (29.75, None, None)),
        ("[60.0, 0, 0]", "[0, 0, 0]", 0.0, None),
        ("[60.4, 0, 0]", "[0, 0, 0]", 0.4, None),
        ("[49.5, 0, 0]", "[0, 0, 90]", -0.5, (29.75, None, None)),
        ("[0, 0, 19.5]", "[0, 0, 0]", -0.5, (None, None, -0.25)),
    ],
)
def test_a_clash_is_measured_and_located(
    tmp_path: Path, at: str, turn: str, measured: float, place: tuple[float | None, ...] | None
) -> None:
    layout = plan(job(tmp_path, at=at, turn=turn)).layout
    found = clash_cases(layout, {p.name: plate_solid(p) for p in layout.plates}, 0.3)["parts.apart"]
    (case,) = [c for c in found if not any("fitting" in f for f in c.features)]
    assert case.measured == pytest.approx(measured, abs=1e-6)
    if place is not None:
        assert all(w is None or c == pytest.approx(w, abs=1e-6) for c, w in zip(case.at[0], place, strict=True))
        assert "move one of them by 0.80 mm" in case.remedy


def test_one_place_is_enough_for_a_clash(tmp_path: Path) -> None:
    path = job(tmp_path, at="[0, 0, 17]")
    path.write_text(path.read_text(encoding="utf-8").replace("  left: {at: [0, 0, 0]}\n", ""), encoding="utf-8")
    layout = plan(path).layout
    found = clash_cases(layout, {p.name: plate_solid(p) for p in layout.plates}, 0.0)["parts.apart"]
    (case,) = [c for c in found if c.features == ("left", "right")]
    assert case.measured == pytest.approx(-3, abs=1e-6)


def test_a_port_that_another_part_blocks(tmp_path: Path) -> None:
    # 5 mm between the plates: neither touches, and no fitting goes between them.
    layout = plan(job(tmp_path, at="[65, 0, 0]")).layout
    found = clash_cases(layout, {p.name: plate_solid(p) for p in layout.plates}, 0.0)["parts.apart"]
    blocked = [c for c in found if c.measured < 0]
    assert sorted(c.features for c in blocked) == [
        ("left", "right.in (room for its fitting)"), ("left.out (room for its fitting)", "right"),
    ]  # fmt: skip
    # 12 mm of fitting less 5 mm of gap less the 1 mm of the other port's spotface, which stands opposite.
    assert [c.measured for c in blocked] == [pytest.approx(-6, abs=1e-6)] * 2


def test_assemblies_that_are_not_placed_say_so(tmp_path: Path) -> None:
    path = job(tmp_path)
    path.write_text(path.read_text(encoding="utf-8").split("place:")[0], encoding="utf-8")
    assert [f.severity for f in check(path).findings if f.rule == "parts.placed"] == ["note"]


def test_assemblies_that_are_not_placed_are_not_compared(tmp_path: Path) -> None:
    path = job(tmp_path)
    path.write_text(path.read_text(encoding="utf-8").split("place:")[0], encoding="utf-8")
    layout = plan(path).layout
    assert clash_cases(layout, {p.name: plate_solid(p) for p in layout.plates}, 0.0)["parts.apart"] == []
