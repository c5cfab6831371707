"""Defects put into sound jobs: each must be found by its own rule, with the right names and the right figure."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from jobs import Job, Measured, apart, measured, named, raw
from rillwright.checks.finding import Finding

TAN_TIP = math.tan(math.radians(59))  # half of a drill's 118° point


def twin(folder: Path, edit: Callable[[dict[str, Any]], None]) -> Measured:
    job = raw("studio-twin")
    edit(job["plates"])
    job["output"] = {"deflection": 0.05}  # quicker; what is asserted here is measured on the solid
    return measured(folder, job)


def block(*drillings: Job) -> Job:
    """A plain plate, 100 × 80 × 40, with a Ø8 drilling of loop a along x, 15 mm under its seal face."""
    level = {"name": "level", "loop": "a", "from": "left", "at": [0, -15], "depth": 70, "diameter": 8, "plug": "G1/8"}
    slab = {"stock": {"thickness": 40}, "outline": {"length": 100, "width": 80}, "drillings": [level, *drillings]}
    return {"job": "block", "loops": {"a": {}, "b": {}}, "plates": {"slab": slab}}


def spans(f: Finding) -> float:
    """Distance of the two points that a finding gives, mm."""
    assert len(f.at) == 2
    return apart(*f.at)


def test_the_sound_jobs_are_sound(tmp_path: Path) -> None:
    """What follows proves something only if the unedited job has no finding of those rules."""
    m = twin(tmp_path, lambda _: None)
    for rule in ("wall.loops", "wall.wet-dry", "wall.same-loop", "wall.tube-channel", "drilling.meets", "drilling.open",
                 "solid.explained", "volume.features", "mesh.sound"):  # fmt: skip
        assert m.findings(rule) == (), rule


def test_two_loops_run_into_each_other(tmp_path: Path) -> None:
    stray = {"name": "stray", "loop": "processor", "from": "left", "at": [-10, -13], "to": [100, -10, -13], "diameter": 8}
    m = twin(tmp_path, lambda plates: plates["lower"]["drillings"].append(stray))
    f = m.one("wall.loops", "stray", "graphics-cross")
    assert (f.measured, f.limit, f.severity, f.plate) == (0.0, 3, "error", "lower")
    assert f.nets == ("graphics", "processor")
    assert spans(f) == pytest.approx(0, abs=1e-3)


def test_thin_wall_at_an_angle(tmp_path: Path) -> None:
    """Axes 7.7 mm apart and askew, radii 4 and 3: 0.7 mm of wall, where sampled rays saw 3 mm.

    Seen along x the slant runs through (y, z) = (0, −15) − 7.7 n with n square to (70, −10).
    """
    long = math.hypot(70, 10)
    y, z = -7.7 * 10 / long, -15 - 7.7 * 70 / long
    start, end = z + (y + 40) / 7, z - (30 - y) / 7
    slant = {"name": "slant", "loop": "b", "from": "front", "at": [-20, start], "to": [20, 30, end], "diameter": 6}
    f = measured(tmp_path, block(slant)).one("wall.loops", "slant", "level")
    assert f.measured == pytest.approx(0.7, abs=1e-4)
    assert (f.limit, f.bound, f.nets) == (3, "exact", ("a", "b"))
    assert spans(f) == pytest.approx(0.7, abs=2e-4)


def test_an_oblique_drilling_opens_its_whole_mouth(tmp_path: Path) -> None:
    """Entering at 60° to the normal: the volume is that of the straight cylinder, π r² L (and its tip)."""
    slope = {"name": "slope", "loop": "b", "from": "front", "at": [-40, -28], "to": [40, 6.188, -28], "diameter": 6}
    m = measured(tmp_path, block(slope))
    assert m.outcome("volume.features").holds
    assert m.outcome("solid.explained").holds
    long = math.hypot(80, 46.188)
    g18 = math.pi * (7.5**2 * 1 + 4.4**2 * 10)  # G1/8 plug: spotface Ø15 × 1, bore Ø8.8 to 11 (full thread 8, tap 2)
    level = math.pi * 16 * (70 - 11 + 4 / (3 * TAN_TIP)) + g18
    want = 100 * 80 * 40 - level - math.pi * 9 * (long + 3 / (3 * TAN_TIP))
    assert float(m.solids["slab"].Volume()) == pytest.approx(want, rel=1e-6)


def test_drilling_through_the_channel_floor(tmp_path: Path) -> None:
    """The feed raised to 9 mm under the seal face: its top, at 5, is above the floor at 6."""

    def raised(plates: dict[str, Any]) -> None:
        named(plates["upper"]["ports"], "processor-in")["at"][1] = -9
        named(plates["upper"]["drillings"], "processor-riser")["depth"] = 9

    f = twin(tmp_path, raised).one("wall.same-loop", "processor-feed", "left.tube-channel")
    assert (f.measured, f.limit, f.plate) == (0.0, 2, "upper")


def test_thin_floor_over_a_drilling(tmp_path: Path) -> None:
    """Raised to 11.5: 11.5 − 4 − 6 = 1.5 mm under the channel's floor, 2 wanted."""

    def raised(plates: dict[str, Any]) -> None:
        named(plates["upper"]["ports"], "processor-in")["at"][1] = -11.5
        named(plates["upper"]["drillings"], "processor-riser")["depth"] = 11.5

    f = twin(tmp_path, raised).one("wall.same-loop", "processor-feed", "left.tube-channel")
    assert f.measured == pytest.approx(1.5, abs=1e-4)
    assert spans(f) == pytest.approx(1.5, abs=1e-3)


def test_screw_hole_through_a_wet_drilling(tmp_path: Path) -> None:
    stab = {"name": "stab", "kind": "clearance", "thread": "M4", "at": [[110, -10]]}
    f = twin(tmp_path, lambda plates: plates["lower"]["holes"].append(stab)).one("wall.wet-dry", "stab", "graphics-cross")
    assert (f.measured, f.limit, f.nets) == (0.0, 3, ("graphics",))


@pytest.mark.parametrize("y", [7.5, 9.0])
def test_drilling_that_stops_short(tmp_path: Path, y: float) -> None:
    """Its point reaches y − r/tan 59°; the riser's wall stands at 4: that much material is left between them."""

    def shorter(plates: dict[str, Any]) -> None:
        named(plates["upper"]["drillings"], "processor-feed")["to"] = [-80, y, -13]

    f = twin(tmp_path, shorter).one("drilling.meets", "processor-riser", "processor-feed")
    assert f.measured == pytest.approx(y - 4 / TAN_TIP - 4, abs=1e-4)
    assert (f.plate, f.nets) == ("upper", ("processor",))


def test_a_drill_point_that_breaks_through_is_understood(tmp_path: Path) -> None:
    """Only the point gets into the riser: every face still belongs to something, and the passages meet."""

    def shorter(plates: dict[str, Any]) -> None:
        named(plates["upper"]["drillings"], "processor-feed")["to"] = [-80, 5.5, -13]

    m = twin(tmp_path, shorter)
    assert m.outcome("solid.explained").holds
    assert m.outcome("drilling.meets").holds


def test_missing_plug(tmp_path: Path) -> None:
    def unplugged(plates: dict[str, Any]) -> None:
        del named(plates["lower"]["drillings"], "graphics-cross")["plug"]

    f = twin(tmp_path, unplugged).one("drilling.open", "graphics-cross")
    assert (f.measured, f.limit, f.severity, f.plate) == (1, 0, "error", "lower")
    assert f.at[0] == (150, -10, -13)


def test_tube_channel_four_millimetres_from_the_edge(tmp_path: Path) -> None:
    """Outer radius 30.25 at x = 30.75 on a plate that ends at 65: 4.0 mm are left where 6 are wanted."""
    job = raw("bench-single")
    tube = job["reservoirs"][0]
    tube["at"] = [30.75, 0]
    tube["struts"] = {"count": 2, "start_angle": 90, "screw": {"length": 16}}
    for plate in job["plates"].values():
        plate["outline"]["chamfer"] = 0
        plate.pop("holes", None)
        for port in plate["ports"]:
            port["at"][0] += 30.75
    m = measured(tmp_path, job)
    found = m.findings("wall.tube-channel")
    assert {f.plate for f in found} == {"upper", "lower"}
    for f in found:
        assert set(f.features) == {"tube.tube-channel", "right edge"}
        assert f.measured == pytest.approx(4.0, abs=1e-4)
        assert (f.limit, f.unit, f.severity) == (6.0, "mm", "error")
        assert sorted(p[0] for p in f.at) == pytest.approx([61.0, 65.0], abs=1e-3)
        assert spans(f) == pytest.approx(4.0, abs=1e-3)
        assert "2.00 mm" in f.remedy
    assert not m.outcome("wall.tube-channel").holds
