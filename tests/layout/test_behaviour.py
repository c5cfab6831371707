"""What changes when a number in a file changes: both plates, strut places, screws, and the line of a mistake."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import pytest

from jobs import PARAMS, Job, feature, raw, written
from rillwright.layout.hardware import in_assembly
from rillwright.layout.job_layout import JobLayout
from rillwright.pipeline import plan
from rillwright.spec.messages import SpecError

M4_ALUMINIUM = 1.5 * 4  # thread wanted in an aluminium strut: 1.5 d, secondary tables
SHIFT = 20.0


def placed(folder: Path, job: Job) -> JobLayout:
    return plan(written(folder, job)).layout


def bench(thickness: float = 12, **screw: Any) -> Job:
    job = raw("bench-single")
    job["reservoirs"][0]["struts"]["screw"] = screw
    for plate in job["plates"].values():
        plate["stock"]["thickness"] = thickness
    return job


def strut_screw(layout: JobLayout, plate: str = "upper") -> dict[str, float]:
    return feature(layout, plate, "tube.strut-1.screw").facts


# -- one number, both plates


@pytest.mark.parametrize("diameter", [60, 50])
def test_tube_diameter_moves_channels_and_struts_of_both_plates(tmp_path: Path, diameter: float) -> None:
    """Channel: tube ± 0.25; struts: 6 mm of wall and a seat of 5.1 further out. Common practice, no source."""
    job = raw("bench-single")
    job["reservoirs"][0]["tube"]["outside_diameter"] = diameter
    layout = placed(tmp_path, job)
    for plate in ("upper", "lower"):
        channel = feature(layout, plate, "tube.tube-channel")
        assert channel.facts["outer_radius"] == diameter / 2 + 0.25
        assert channel.facts["inner_radius"] == diameter / 2 - 5 - 0.25
        for i in range(4):
            x, y, _ = feature(layout, plate, f"tube.strut-{i + 1}.seat").origin
            assert math.hypot(x, y) == pytest.approx(diameter / 2 + 0.25 + 6 + 5.1)
            assert math.degrees(math.atan2(y, x)) % 360 == pytest.approx(45 + 90 * i)


def test_a_given_pitch_circle_stays(tmp_path: Path) -> None:
    job = raw("studio-twin")
    for r in job["reservoirs"]:
        r["tube"]["outside_diameter"] = 50
    x, y, _ = feature(placed(tmp_path, job), "lower", "right.strut-1.seat").origin
    assert (x, y) == pytest.approx((70, -42))


def test_both_plates_meet_in_the_assembly() -> None:
    """Seats face each other at the struts' length, whichever way a plate looks."""
    layout = plan(PARAMS / "studio-twin.yaml").layout
    by_name = {p.name: p for p in layout.plates}
    for reservoir in ("left", "right"):
        for i in (1, 2, 3):
            up, low = (
                in_assembly(by_name[p], (f := feature(layout, p, f"{reservoir}.strut-{i}.seat")).at(f.depth))
                for p in ("upper", "lower")
            )
            assert up[:2] == low[:2]
            assert up[2] - low[2] == pytest.approx(200)


def test_moving_a_reservoir_moves_all_of_it(tmp_path: Path) -> None:
    before, job = plan(PARAMS / "studio-twin.yaml").layout, raw("studio-twin")
    job["reservoirs"][1]["at"] = [70 + SHIFT, 5]
    after = placed(tmp_path, job)
    names = [f.name for f in before.plates[0].features if f.name.startswith("right.")]
    assert len(names) == 7  # channel, three seats, three screws
    for plate in ("upper", "lower"):
        for name in names:
            a, b = feature(before, plate, name).origin, feature(after, plate, name).origin
            assert (b[0] - a[0], b[1] - a[1], b[2] - a[2]) == pytest.approx((SHIFT, 5, 0))


# -- the tube stack: gap = (strut + 2 (channel − seat) − tube)/2


def test_left_out_length_follows(tmp_path: Path) -> None:
    """Tube 153, seat 3 above the floor, cord 2 at 25 %: the gap is 1.5, so struts are 153 + 3 − 6 = 150."""
    (stack,) = plan(PARAMS / "bench-single.yaml").layout.stacks
    assert stack.strut_length == pytest.approx(150)
    assert stack.gap == pytest.approx(1.5)
    assert stack.squeeze == pytest.approx(0.25)
    job = raw("bench-single")
    job["reservoirs"][0]["struts"]["length"] = job["reservoirs"][0]["tube"].pop("length")
    (other,) = placed(tmp_path, job).stacks
    assert other.tube_length == pytest.approx(156)


def test_thicker_plates_leave_the_stack_alone(tmp_path: Path) -> None:
    """Everything is measured from the seal face, so a sheet's thickness never moves a seal."""
    (thin,), (thick,) = placed(tmp_path, bench(12)).stacks, placed(tmp_path, bench(25)).stacks
    assert thin == thick


# -- screws


def test_m4_16_in_12_mm_holds_7_mm() -> None:
    """16 − (12 − 3) = 7 mm in the strut: the screw's length counts its countersunk head."""
    layout = plan(PARAMS / "bench-single.yaml").layout
    for plate in ("upper", "lower"):
        facts = strut_screw(layout, plate)
        assert (facts["screw_length"], facts["engagement"], facts["wanted"]) == (16, 7, M4_ALUMINIUM)


@pytest.mark.parametrize(
    ("thickness", "length"),
    [(10, 16), (12, 16), (14, 20), (16, 20), (20, 25), (25, 30)],
)
def test_thicker_plate_takes_the_next_longer_screw(tmp_path: Path, thickness: float, length: float) -> None:
    """The shortest standard length (8 10 12 16 20 25 30 35 40, ISO 10642) not below thickness − 3 + 6."""
    facts = strut_screw(placed(tmp_path, bench(thickness)))
    assert facts["screw_length"] == length
    assert facts["engagement"] == length - (thickness - 3)
    assert facts["counterbore"] == 0


@pytest.mark.parametrize(("thickness", "bore"), [(12, 0), (13, 0), (14, 1), (20, 7), (25, 12), (20.2, 7.5)])
def test_counterbore_goes_as_deep_as_the_screw_needs(tmp_path: Path, thickness: float, bore: float) -> None:
    """A 16 mm screw with 6 mm of thread reaches through 10 mm; the rest is bored away, in steps of 0.5."""
    facts = strut_screw(placed(tmp_path, bench(thickness, length=16, counterbore="auto")))
    assert facts["counterbore"] == bore
    assert facts["engagement"] == pytest.approx(16 - (thickness - 3 - bore))
    assert facts["engagement"] >= M4_ALUMINIUM


def test_a_length_nobody_sells_is_refused_with_the_nearest(tmp_path: Path) -> None:
    with pytest.raises(SpecError) as e:
        placed(tmp_path, bench(12, length=17))
    text = str(e.value)
    assert "not made 17 mm long" in text
    assert "nearest is 16" in text
    assert "reservoirs.0.struts.screw.length" in text


# -- mistakes, with their line


def changed(folder: Path, old: str, new: str) -> tuple[Path, int]:
    """Copy of a shipped file with one text exchanged, and the line it stands on."""
    text = (PARAMS / "studio-twin.yaml").read_text(encoding="utf-8")
    assert old in text
    path = folder / "x.yaml"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    return path, text[: text.index(old)].count("\n") + 1


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("outside_diameter: 60", "outside_diametre: 60", ["outside_diametre", "outside_diameter"]),
        ("to: processor-riser", "to: procesor-riser", ["procesor-riser", "processor-riser"]),
        ("at: [-80, -13]", "at: [-80, -33]", ["z = -33", "-25", "0"]),
        ("at: [-80, -13]", "at: [-180, -13]", ["-180", "back"]),
        ("from: processor-in, to: processor-riser", "from: processor-in, depth: 12", ["inside the threaded bore"]),
    ],
)
def test_a_mistake_gives_its_line(tmp_path: Path, old: str, new: str, words: list[str]) -> None:
    path, line = changed(tmp_path, old, new)
    with pytest.raises(SpecError) as e:
        plan(path)
    assert f"x.yaml:{line}:" in str(e.value)
    for word in words:
        assert word in str(e.value)


def test_a_plug_at_an_angle_is_refused(tmp_path: Path) -> None:
    path, line = changed(tmp_path, "to: [78, -10, -13]", "to: [78, 20, -13]")
    with pytest.raises(SpecError, match="square to the face") as e:
        plan(path)
    assert f"x.yaml:{line}:" in str(e.value)


def test_every_mistake_at_once(tmp_path: Path) -> None:
    path, _ = changed(tmp_path, "at: [-80, -13]", "at: [-80, -33]")
    path.write_text(path.read_text(encoding="utf-8").replace("at: [122, -13]", "at: [122, 2]"), encoding="utf-8")
    with pytest.raises(SpecError) as e:
        plan(path)
    assert len(e.value.problems) >= 2
