"""The STEP file that is written is read back: a file that is broken on purpose is found, a sound one is not."""

from __future__ import annotations

import re
from pathlib import Path

import cadquery as cq
import pytest
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
from OCP.TopoDS import TopoDS

from rillwright.checks.finding import Outcome
from rillwright.checks.kept import anew, cases_from
from rillwright.checks.report import outcome
from rillwright.checks.solid import step_back
from rillwright.checks.solid.measure import Measuring
from rillwright.checks.solid.step_back import step_cases
from rillwright.export.placed import Placed
from rillwright.export.step import step_bytes
from rillwright.layout.features import Feature, Line, Outline, PlateLayout
from rillwright.layout.profiles import stepped
from rillwright.pipeline import build, plan
from rillwright.solids import build as making
from rillwright.solids.build import plate_solid
from rillwright.store import Store

CORNERS = ((60.0, -30.0), (60.0, 30.0), (-60.0, 30.0), (-60.0, -30.0))
PARAMS = Path(__file__).parents[2] / "params"


def run(name: str, origin: tuple[float, float, float], axis: tuple[float, float, float], depth: float) -> Feature:
    return Feature(name, "drilling", origin, axis, stepped([(4.0, depth)]), "left", ("left",))


def crossed(up: bool = True) -> PlateLayout:
    """A drilling that another one of the same diameter runs into from the side, half way along it."""
    long = run("long", (-60.0, 0.0, -10.0), (1.0, 0.0, 0.0), 90.0)
    runs = (long, run("side", (0.0, 30.0, -10.0), (0.0, -1.0, 0.0), 30.0))
    return PlateLayout("p", Outline(CORNERS[3], tuple(Line(c) for c in CORNERS), 0.0), 20.0, "pmma-cast", up, 0.0, runs)


def exported(solid: cq.Shape) -> bytes:
    return step_bytes("plate", [Placed("p", solid, (0.5, 0.5, 0.5, 1.0), 0.0)])


def said(plate: PlateLayout, data: bytes, solid: cq.Shape) -> Outcome:
    return outcome("step.sound", step_cases(plate, data, solid)["step.sound"], "")


@pytest.mark.parametrize("up", [True, False])
def test_what_is_written_reads_back(up: bool) -> None:
    plate = crossed(up)
    solid = plate_solid(plate)
    found = said(plate, exported(solid), solid)
    assert found.cases == 1
    assert not found.findings


@pytest.mark.parametrize("up", [True, False])
def test_a_seam_through_a_corner_breaks_the_file(up: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the kernel puts the seam of `long` both ellipses of `side` meet: valid in memory, broken in the file."""
    monkeypatch.setattr(making, "seam", lambda _f, _cuts, _plate, usual: usual)
    plate = crossed(up)
    solid = plate_solid(plate)
    assert solid.isValid()
    (one,) = said(plate, exported(solid), solid).findings
    assert one.measured == 1
    assert "has broken faces" in one.what
    (x, y, z) = one.at[0]
    assert -60 <= x <= 30
    assert (y, z) == pytest.approx((0, -10), abs=1e-3)  # of the plate's frame, on the axis of `long`


def test_a_file_without_one_face() -> None:
    solid = plate_solid(crossed())
    text = exported(solid).decode("ascii")
    shell = re.search(r"CLOSED_SHELL\('',\((#\d+),", text)
    assert shell
    opened = text.replace(shell[0], shell[0].replace(shell[1] + ",", ""))
    (one,) = said(crossed(), opened.encode(), solid).findings
    assert "has a shell that is not closed" in one.what


def test_a_file_of_another_size_or_of_two_bodies_or_of_none() -> None:
    solid = plate_solid(crossed())
    bored = solid.cut(cq.Solid.makeCylinder(0.2, 30, cq.Vector(30, 20, -25)))
    (one,) = said(crossed(), exported(bored.Solids()[0]), solid).findings
    assert one.what.endswith("has another volume than the finished solid")
    two = cq.Compound.makeCompound([solid, cq.Solid.makeBox(1, 1, 1, cq.Vector(0, 0, 50))])
    (one,) = said(crossed(), exported(two), solid).findings
    assert "holds more than one solid" in one.what
    (one,) = said(crossed(), exported(solid.Faces()[0]), solid).findings
    assert "holds no solid" in one.what


def test_a_crowded_face_is_looked_at_by_its_wires(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two holes whose mouths overlap by 0.1 mm: the kernel's test and ours say the same of the same face."""
    block = cq.Workplane("XY").box(60, 40, 10)
    sound = block.faces(">Z").workplane().rarray(10, 10, 5, 3).hole(4).val()
    (top,) = (f for f in sound.Faces() if f.normalAt().z > 0.5)
    crossing = cq.Wire.makeCircle(3.0, cq.Vector(24.9, 0, 5), cq.Vector(0, 0, 1))
    more = BRepBuilderAPI_MakeFace(top.wrapped)
    more.Add(TopoDS.Wire_s(crossing.wrapped.Reversed()))
    spoilt = cq.Face(more.Face())
    for crowded in (60, 3):
        monkeypatch.setattr(step_back, "CROWDED", crowded)
        assert not list(step_back._broken(sound))
        assert len(list(step_back._broken(spoilt))) == 1


@pytest.mark.parametrize("data", [b"", b"no STEP file", b"ISO-10303-21;\nHEADER;\n"])
def test_a_file_that_cannot_be_read(data: bytes, capfd: pytest.CaptureFixture[str]) -> None:
    (one,) = said(crossed(), data, plate_solid(crossed())).findings
    assert one.what.endswith("cannot be read")
    assert capfd.readouterr() == ("", "")


def test_a_part_of_the_measuring_for_each_file_that_is_written() -> None:
    planned = plan(PARAMS / "defects" / "plug-left-out.yaml")
    (block,), limits = planned.layout.plates, planned.loaded.model.limits
    solid = plate_solid(block)
    some = Measuring(planned.layout, limits, {block.name: solid}, {}, {}, 0.02, anew, {block.name: lambda: exported(solid)})
    part = f"step {block.name}"
    assert part in some.names
    assert cases_from(some.part(part))["step.sound"][0][0].measured == 0
    assert part not in Measuring(planned.layout, limits, {block.name: solid}, {}, {}, 0.02).names


@pytest.mark.parametrize(("only", "cases"), [(["step"], 1), (["stl"], 0)])
def test_a_build_asks_it_of_files_that_are_wanted(only: list[str], cases: int, tmp_path: Path) -> None:
    result = build(PARAMS / "defects" / "plug-left-out.yaml", tmp_path / "out", only=only, store=Store(None, 0))
    (found,) = (o for o in result.outcomes if o.rule == "step.sound")
    assert (found.cases, found.findings) == (cases, ())
