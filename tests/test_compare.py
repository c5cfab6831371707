"""What differs between two built jobs: against closed forms, and against edits that are known."""

from __future__ import annotations

import json
import math
import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from jobs import named, raw, written
from rillwright import pipeline
from rillwright.cli import main
from rillwright.differences import NotBuiltError, differences, opened

BOX = (40.0, 30.0, 10.0)  # mm


def solid(tmp_path: Path, folder: str, *holes: tuple[float, float, float], box: tuple[float, ...] = BOX) -> Path:
    """A box with vertical holes (x, y, radius), as STEP and STL of a plate `p`."""
    import cadquery as cq

    from rillwright.export.placed import Placed
    from rillwright.export.step import write_step
    from rillwright.export.stl import stl_bytes
    from rillwright.solids.meshing import mesh

    made = cq.Workplane().box(*box).val()
    for x, y, r in holes:
        made = made.cut(cq.Solid.makeCylinder(r, 2 * box[2], cq.Vector(x, y, -box[2])))
    shape = made.Solids()[0]
    (tmp_path / folder).mkdir()
    write_step(tmp_path / folder / "p.step", "p", [Placed("part", shape, (1.0, 1.0, 1.0, 1.0))])
    (tmp_path / folder / "p.stl").write_bytes(stl_bytes(mesh(shape, 0.005), "p"))
    return tmp_path / folder


def lens(r: float, d: float) -> float:
    """Common area of two circles of one radius whose centres are d apart (closed form), mm²."""
    return 2 * r * r * math.acos(d / (2 * r)) - d / 2 * math.sqrt(4 * r * r - d * d)


def test_a_hole_that_moved_differs_by_two_crescents(tmp_path: Path) -> None:
    from rillwright.export.solid_difference import solid_difference

    a, b = solid(tmp_path, "a", (0, 0, 4), (12, 8, 2)), solid(tmp_path, "b", (0.5, 0, 4), (12, 8, 2))
    found = solid_difference("p", a, b)
    crescent = (math.pi * 16 - lens(4, 0.5)) * BOX[2]
    assert (found.only_a, found.only_b) == pytest.approx((crescent, crescent), rel=1e-6)
    assert found.differ == pytest.approx(2 * crescent, rel=1e-6)
    assert found.method.startswith("exact")


def test_a_hole_more_and_a_thicker_plate(tmp_path: Path) -> None:
    from rillwright.export.solid_difference import solid_difference

    a, b = solid(tmp_path, "a"), solid(tmp_path, "b", (3, 3, 2.5))
    found = solid_difference("p", a, b)
    assert (found.only_a, found.only_b) == pytest.approx((math.pi * 2.5**2 * 10, 0.0), rel=1e-9)
    thick = solid(tmp_path, "c", box=(40.0, 30.0, 11.0))
    found = solid_difference("p", a, thick)
    assert (found.only_a, found.only_b) == pytest.approx((0.0, 1200.0), rel=1e-9)
    again = solid_difference("p", a, a)
    assert (again.differ, again.method) == (0.0, "equal STEP data")


@pytest.mark.parametrize("lies", [
    lambda _: (0.0, 0.0),  # contradicts itself
    lambda volumes: volumes,  # agrees with itself, and leaves no common volume where there is much
    lambda volumes: (volumes[0] - 9000, volumes[1] - 9000),  # agrees, and leaves too little
    lambda volumes: (5000.0, volumes[1] - volumes[0] + 5000.0),
    lambda _: None,  # warns
])  # fmt: skip
def test_what_the_kernel_cannot_prove_the_meshes_answer(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, lies: Callable[[tuple[float, float]], tuple[float, float] | None]
) -> None:
    from rillwright.export import solid_difference as room

    a, b = solid(tmp_path, "a"), solid(tmp_path, "b", (3, 3, 2.5))
    monkeypatch.setattr(room, "_cuts", lambda one, other, _: lies((one.Volume(), other.Volume())))
    found = room.solid_difference("p", a, b)
    assert found.method.startswith("estimate")
    assert found.only_a == pytest.approx(math.pi * 2.5**2 * 10, rel=5e-3)
    assert found.only_b == 0


def test_where_no_way_can_tell_that_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from rillwright.export import solid_difference as room

    a, b = solid(tmp_path, "a"), solid(tmp_path, "b", (3, 3, 2.5))
    (b / "p.stl").unlink()
    assert room.solid_difference("p", a, b).method.startswith("exact")
    monkeypatch.setattr(room, "_cuts", lambda one, other, _: (one.Volume(), other.Volume()))  # nothing in common
    found = room.solid_difference("p", a, b)
    assert (found.only_a, found.only_b, found.differ) == (None, None, None)
    assert "--only step,stl" in found.method
    (b / "p.stl").write_bytes(b"no mesh")
    assert "damaged" in room.solid_difference("p", a, b).method
    (b / "p.stl").write_bytes((solid(tmp_path, "c", box=(50.0, 30.0, 10.0)) / "p.stl").read_bytes())
    assert "does not hold the solid" in room.solid_difference("p", a, b).method


def test_solids_that_lie_apart_have_nothing_in_common(tmp_path: Path) -> None:
    """No common volume is the right answer where there is none: a pin that stands in a hole, not touching it."""
    import cadquery as cq

    from rillwright.export import solid_difference as room
    from rillwright.export.placed import Placed
    from rillwright.export.step import write_step

    ring = solid(tmp_path, "a", (0, 0, 4))
    (tmp_path / "pin").mkdir()
    pin = cq.Workplane().circle(3).extrude(5).val()
    write_step(tmp_path / "pin" / "p.step", "p", [Placed("part", pin, (1.0, 1.0, 1.0, 1.0))])
    found = room.solid_difference("p", ring, tmp_path / "pin")
    assert found.method.startswith("exact")
    assert (found.only_a, found.only_b) == pytest.approx((12000 - math.pi * 160, math.pi * 45), rel=1e-9)


def test_edges_that_lie_hardly_apart_do_not_make_the_kernel_fail(tmp_path: Path) -> None:
    """Two slots of nearly one place: what differs is a strip on either side (closed form), however thin."""
    from rillwright.export.solid_difference import solid_difference

    for n, off in enumerate((2e-7, 2e-3, 0.3)):
        a, b = solid(tmp_path, f"a{n}", (0, 0, 4), (4, 0, 4)), solid(tmp_path, f"b{n}", (off, 0, 4), (4, 0, 4))
        found = solid_difference("p", a, b)
        assert found.method.startswith("exact")
        assert found.only_b is not None
        one, two = (2 * math.pi * 16 - lens(4, d) for d in (4.0, 4.0 - off))
        assert found.volume_a - found.volume_b == pytest.approx((two - one) * 10, abs=1e-6)
        assert found.only_a is not None
        assert found.only_b - found.only_a == pytest.approx((one - two) * 10, abs=2e-3)


@pytest.fixture(scope="module")
def pair(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A job, and the same with other holes, a longer tube and a limit that fails."""
    folder, data = tmp_path_factory.mktemp("pair"), raw("bench-single")
    pipeline.build(written(folder, data), folder / "a", only=["step", "tables"])
    named(data["plates"]["lower"]["holes"], "bench")["grid"]["pitch"] = [107, 108]
    named(data["reservoirs"], "tube")["tube"]["length"] = 154
    data["limits"] = {"wall_wet": 30.0}
    pipeline.build(written(folder, data), folder / "b", only=["step", "tables"])
    return folder / "a", folder / "b"


def compared(pair: tuple[Path, Path], capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert main(["compare", *map(str, pair), *words]) == 0
    return capsys.readouterr().out


def test_everything_that_was_edited_and_nothing_else(pair: tuple[Path, Path], capsys: pytest.CaptureFixture[str]) -> None:
    found: dict[str, Any] = json.loads(compared(pair, capsys, "--json"))
    assert {c["what"]: (c["a"], c["b"]) for c in found["parameters"]} == {
        "plates.lower.holes.bench.grid.pitch": ("[108, 108]", "[107, 108]"),
        "reservoirs.tube.tube.length": ("153", "154"),
        "limits.wall_wet": ("3", "30"),
    }
    assert {c["key"]: (c["a"], c["b"]) for c in found["typed"]} == {
        "plates.lower.holes.bench.grid.pitch": ("[108, 108]", "[107, 108]"),
        "reservoirs.tube.tube.length": ("153", "154"),
        "limits.wall_wet": ("", "30"),
    }
    assert {c["what"] for c in found["features"]} == {f"lower.bench-{i} x_mm" for i in (1, 2, 3, 4)}
    assert {c["what"].split()[0] for c in found["parts"]} >= {"tube.tube", "tube.strut-1"}
    lower, upper = found["solids"]
    assert (lower["plate"], upper["plate"]) == ("lower", "upper")
    assert upper["symmetric_difference"] == 0
    assert lower["only_a"] == pytest.approx(lower["only_b"], rel=1e-6)  # holes moved, none added
    assert lower["only_a"] > 0
    assert {f["rule"] for f in found["findings_gained"]} >= {"wall.wet-dry"}
    assert found["findings_lost"] == []
    assert any(c["what"] == "wall.wet-dry" and c["b"].startswith("FAILS") for c in found["rules"])


def test_in_words_and_the_other_way_round(pair: tuple[Path, Path], capsys: pytest.CaptureFixture[str]) -> None:
    there = compared(pair, capsys)
    assert "typed: 3 keys differ" in there
    assert "parameters that follow" not in there  # all that differs was typed
    assert "upper: " in there
    assert "190776.975, the same; " in there
    assert "findings lost: none" in there
    back = json.loads(compared((pair[1], pair[0]), capsys, "--json"))
    assert back["findings_gained"] == []
    assert back["findings_lost"] != []
    same = compared((pair[0], pair[0]), capsys)
    assert same.count(": the same") == 6  # typed, rules, features, nets, parts, paper
    assert same.count(", the same; ") == 2  # solids


def test_what_was_typed_comes_first_with_its_lines_then_what_weighs_most(
    pair: tuple[Path, Path], capsys: pytest.CaptureFixture[str]
) -> None:
    there = compared(pair, capsys)
    heads = ("typed: ", "findings gained", "findings lost", "rules: ", "solids, ", "features: ", "nets: ", "bought parts: ",
             "paper and other tables: ")  # fmt: skip
    assert sorted(heads, key=lambda h: there.index(f"\n{h}")) == list(heads)
    told = json.loads(compared(pair, capsys, "--json"))
    manifest = json.loads((pair[1] / "manifest.json").read_text(encoding="utf-8"))
    text = (pair[1].parent / manifest["input"]["name"]).read_text(encoding="utf-8").splitlines()  # B was written last
    limit = next(t for t in told["typed"] if t["key"] == "limits.wall_wet")
    assert (limit["a_line"], text[limit["b_line"] - 1].strip()) == (0, "limits: {wall_wet: 30.0}")
    place = f"{manifest['input']['name']}:{limit['b_line']}\n"
    assert re.search(rf"^  limits\.wall_wet +\(left out\)  →  30  {re.escape(place)}", there, re.M)


def test_a_folder_that_is_none_is_refused(
    tmp_path: Path, pair: tuple[Path, Path], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["compare", str(pair[0]), str(tmp_path)]) == 2
    assert f"{tmp_path} is no folder of a build" in capsys.readouterr().err
    assert main(["compare", str(pair[0].parent), str(pair[1])]) == 2
    assert f"in it are {pair[0]}, {pair[1]}\n" in capsys.readouterr().err
    (tmp_path / "manifest.json").write_text("{")
    (tmp_path / "checks.json").write_text("{}")
    with pytest.raises(NotBuiltError, match="damaged"):
        opened(tmp_path)


def test_what_is_not_there_is_said(tmp_path: Path) -> None:
    def folder(name: str, **manifest: Any) -> Path:
        (tmp_path / name).mkdir()
        (tmp_path / name / "manifest.json").write_text(json.dumps({"job": name, "files": [], **manifest}))
        (tmp_path / name / "checks.json").write_text(json.dumps({"checked": [], "findings": []}))
        return tmp_path / name

    a, b = opened(folder("a")), opened(folder("b", parameters={"plates": {"x": [{"name": "n", "v": [1.0, {"u": 2}]}]}}))
    found = differences(a, b)
    assert found.parameters is None
    assert found.tables == {"features": None, "parts": None}
    c = opened(folder("c", parameters={"plates": {"x": [{"name": "n", "v": [1.0, {"u": 3}]}, {"name": "m", "v": 1}]}}))
    assert differences(b, c).parameters == [
        ("plates.x.n.v.1.u", "2", "3"), ("plates.x.m.name", "(none)", "m"), ("plates.x.m.v", "(none)", "1")
    ]  # fmt: skip


@pytest.mark.parametrize(("name", "holds", "said"), [
    ("manifest.json", b"[]", "manifest.json in it is not what a build writes"),
    ("checks.json", b"{}", "checks.json in it is not what a build writes"),
    ("features.csv", b"a,b\n1,2\n", "features.csv is damaged"),
    ("parts.csv", b"\xff\xfe", "parts.csv is damaged"),
    ("upper.step", b"ISO-10303-21;\n", "upper.step cannot be read as STEP"),
])  # fmt: skip
def test_a_damaged_file_is_named(
    tmp_path: Path, pair: tuple[Path, Path], capsys: pytest.CaptureFixture[str], name: str, holds: bytes, said: str
) -> None:
    shutil.copytree(pair[0], tmp_path / "hurt")
    (tmp_path / "hurt" / name).write_bytes(holds)
    assert main(["compare", str(tmp_path / "hurt"), str(pair[1])]) == 2
    assert said in capsys.readouterr().err


def _screws(*places: tuple[float, float], first: int = 1, size: str = "M4") -> dict[tuple[str, ...], dict[str, str]]:
    return {("board", f"cover.screw-{n}"): {"plate": "board", "feature": f"cover.screw-{n}", "x_mm": f"{x}",
            "y_mm": f"{y}", "z_mm": "0", "call_out": size} for n, (x, y) in enumerate(places, first)}  # fmt: skip


def test_numbered_things_are_paired_by_their_places() -> None:
    from rillwright.paired import numbered, renamed

    ring = [(0.0, 0.0), (30.0, 0.0), (60.0, 0.0), (60.0, 40.0)]
    a, turned = _screws(*ring), _screws(*ring[2:], *ring[:2])
    assert [{c: r[c] for c in ("x_mm", "y_mm")} for _, r in sorted(renamed(a, turned).items())] == [
        {c: r[c] for c in ("x_mm", "y_mm")} for _, r in sorted(a.items())
    ]
    assert numbered(a, renamed(a, turned)) == []  # numbered from another start: nothing moved
    fewer = _screws((60.0, 40.0), (0.0, 3.1), (30.0, 0.0))
    (kind,) = numbered(a, renamed(a, fewer))
    assert kind.words == "4  →  3, 1 fewer, 1 moved (largest 3.1 mm)"
    (kind,) = numbered(fewer, renamed(fewer, a))
    assert kind.words == "3  →  4, 1 more, 1 moved (largest 3.1 mm)"
    mixed = _screws((0.0, 0.0)) | _screws((0.0, 5.0), first=2, size="M5")
    other = _screws((0.0, 9.0), size="M5") | _screws((0.0, 4.0), first=2)
    (kind,) = numbered(mixed, renamed(mixed, other))  # of one size, though another lies nearer: 4 and 4, not 1 and 9
    assert kind.words == "2  →  2, 2 moved (largest 4.0 mm)"
    assert len(renamed(a, _screws(*ring, (90.0, 0.0)))) == 5


def test_tables_are_told_by_rows(tmp_path: Path) -> None:
    from rillwright.paired import table_changes

    def table(name: str, *lines: str) -> Path:
        (tmp_path / name).write_text("\n".join(("kind,what,count", *lines)) + "\n", encoding="utf-8")
        return tmp_path / name

    a = table("a.csv", "cord,cord 2,2.18", "screw,M4,58", "tube,t,1")
    b = table("b.csv", "cord,cord 2.5,1.67", "cord,cord 2,0.57", "screw,M4,54", "tube,t,1")
    assert table_changes(a, b) == [
        ("cord, cord 2", "count 2.18", "count 0.57"), ("screw, M4", "count 58", "count 54"),
        ("cord, cord 2.5", "(none)", "1.67"),
    ]  # fmt: skip
    assert table_changes(a, a) == []
    assert table_changes(a, tmp_path / "none.csv") is None


def test_holes_that_moved_are_one_line_and_bought_things_have_units(
    pair: tuple[Path, Path], capsys: pytest.CaptureFixture[str]
) -> None:
    there = compared(pair, capsys)
    assert re.search(r"^  lower\.bench +4  →  4, 4 moved \(largest 0\.5 mm\)$", there, re.M)
    assert "x_mm" not in there
    assert not re.search(r"\.csv.* bytes", there)
    told = json.loads(compared(pair, capsys, "--json"))
    assert told["numbered"]["features"] == [{"what": "lower.bench", "a": 4, "b": 4, "moved": 4, "largest": 0.5}]
