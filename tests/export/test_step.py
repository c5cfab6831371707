"""STEP files, read back by the kernel and as text."""

from __future__ import annotations

import re
from pathlib import Path

import cadquery as cq
import pytest
from OCP.Interface import Interface_Static

from rillwright.export.placed import Placed
from rillwright.export.step import write_step

CLEAR, RED = (0.8, 0.9, 1.0, 0.4), (1.0, 0.0, 0.0, 1.0)


def products(text: str) -> list[str]:
    return re.findall(r"\bPRODUCT\('([^']*)'", text)


def places(text: str) -> list[str]:
    return re.findall(r"NEXT_ASSEMBLY_USAGE_OCCURRENCE\('[^']*','([^']*)'", text)


def written(folder: Path, *parts: Placed, name: str = "twin") -> str:
    write_step(folder / "a.step", name, parts)
    return (folder / "a.step").read_text(encoding="ascii")


def test_schema_units_names_and_colours(tmp_path: Path, cube: cq.Shape) -> None:
    text = written(tmp_path, Placed("upper", cube, CLEAR, 0.0, "pmma-cast"))
    assert "FILE_SCHEMA(('AUTOMOTIVE_DESIGN" in text
    assert re.findall(r"LENGTH_UNIT\(\)[^;]*SI_UNIT\((.*?)\)", text) == [".MILLI.,.METRE."] * 2
    assert products(text) == ["twin", "upper (pmma-cast)"]
    red, green, blue = map(float, re.search(r"COLOUR_RGB\('',([^)]*)\)", text)[1].split(","))
    assert (red, green, blue) == pytest.approx((0.8, 0.9, 1.0), abs=1e-6)
    assert float(re.search(r"SURFACE_STYLE_TRANSPARENT\(([^)]*)\)", text)[1]) == pytest.approx(0.6, abs=1e-6)
    assert "FILE_NAME('twin.step'" in text
    assert "'Author'" not in text


def test_reads_back_as_the_same_assembly(tmp_path: Path, plate: cq.Shape, cube: cq.Shape) -> None:
    parts = [
        Placed("upper", plate, CLEAR, 200.0, "pmma-cast"),
        Placed("lower", plate, CLEAR, 0.0, "pmma-cast"),
    ]
    written(tmp_path, *parts, Placed("block", cube, RED, -10.0, "alu"))
    back = cq.Assembly.importStep(str(tmp_path / "a.step"))
    assert back.name == "twin"
    found = {name.split("/")[-1]: shape.moved(loc) for shape, name, loc, _ in back}
    assert set(found) == {"upper (pmma-cast)", "lower (pmma-cast)", "block (alu)"}
    assert found["upper (pmma-cast)"].Volume() == pytest.approx(plate.Volume(), rel=1e-9)
    heights = {name: shape.BoundingBox().zmin for name, shape in found.items()}
    expected = {"upper (pmma-cast)": 190, "lower (pmma-cast)": -10, "block (alu)": -10}
    assert heights == pytest.approx(expected, abs=1e-4)
    assert cq.importers.importStep(str(tmp_path / "a.step")).val().isValid()


def test_one_shape_many_times_is_one_product(tmp_path: Path, cube: cq.Shape) -> None:
    struts = [Placed(f"strut-{k}", cube, RED, 10.0 * k, "steel", "M4 × 40 strut") for k in range(5)]
    text = written(tmp_path, *struts)
    assert products(text) == ["twin", "M4 x 40 strut (steel)"]
    assert places(text) == [f"strut-{k} (steel)" for k in range(5)]
    assert text.count("MANIFOLD_SOLID_BREP(") == 1


def test_other_material_or_colour_is_another_product(tmp_path: Path, cube: cq.Shape) -> None:
    text = written(
        tmp_path,
        Placed("a", cube, RED, 0.0, "steel"),
        Placed("b", cube, RED, 9.0, "brass"),
        Placed("c", cube, CLEAR, 18.0, "steel"),
        Placed("d", cube, RED, 27.0, "brass"),
    )
    assert products(text) == ["twin", "a (steel)", "b (brass)", "c (steel)"]
    assert places(text) == ["a (steel)", "b (brass)", "c (steel)", "d (brass)"]


def test_names_are_spelt_in_ascii(tmp_path: Path, cube: cq.Shape) -> None:
    text = written(tmp_path, Placed("Träger Ø4 × 40", cube, RED, 0.0, "PÉ"), name="Prüfstück")
    assert products(text) == ["Prufstuck", "Trager dia 4 x 40 (PE)"]


def test_a_name_beyond_ascii_is_refused(tmp_path: Path, cube: cq.Shape) -> None:
    with pytest.raises(ValueError, match=r"'板'.*cannot be written in ASCII"):
        written(tmp_path, Placed("板", cube, RED))
    assert not list(tmp_path.iterdir())


def test_equal_names_are_refused(tmp_path: Path, cube: cq.Shape) -> None:
    with pytest.raises(ValueError, match="'Träger', 'Trager'"):
        written(tmp_path, Placed("Träger", cube, RED), Placed("Trager", cube, RED))


def test_no_parts_are_refused(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="at least one part"):
        written(tmp_path)


def test_nothing_on_the_console(tmp_path: Path, cube: cq.Shape, capfd: pytest.CaptureFixture[str]) -> None:
    written(tmp_path, Placed("a", cube, RED))
    assert capfd.readouterr() == ("", "")


def test_settings_of_the_kernel_are_put_back(tmp_path: Path, cube: cq.Shape) -> None:
    written(tmp_path, Placed("a", cube, RED))
    Interface_Static.SetCVal_s("write.step.schema", "AP203")
    try:
        assert "AUTOMOTIVE_DESIGN" in written(tmp_path, Placed("a", cube, RED))
        assert Interface_Static.CVal_s("write.step.schema") == "AP203"
    finally:
        Interface_Static.SetCVal_s("write.step.schema", "AP214IS")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_full_disk_is_not_taken_for_success(cube: cq.Shape) -> None:
    with pytest.raises(OSError, match="No space left"):
        write_step(Path("/dev/full"), "twin", [Placed("a", cube, RED)])


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ({"name": " "}, "needs a name"),
        ({"colour": (0, 0, 255, 1)}, "colour of part"),
        ({"offset": float("nan")}, "offset"),
    ],
)
def test_senseless_parts_are_refused(cube: cq.Shape, change: dict[str, object], named: str) -> None:
    with pytest.raises(ValueError, match=named):
        Placed(**{"name": "a", "shape": cube, "colour": RED, **change})
