"""DXF files read back by the library and held against the layout."""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pytest

from rillwright.export.drawings.dxf import dxf_text
from rillwright.layout.features import Arc, Feature, Line, Outline, PlateLayout
from rillwright.layout.pockets import Area, Pocket, Stroke
from rillwright.layout.pockets import Path as Way
from rillwright.layout.setups import plate_setups
from rillwright.spec.machine import Machine

Circle = tuple[float, float, float]
JOBS = ("studio-twin", "lab-triple", "valve-board")


def read(path: Path) -> Any:
    doc = ezdxf.readfile(path)
    assert not doc.audit().errors
    return doc


def circles(doc: Any, layers: str = "D-") -> set[Circle]:
    return {(round(c.dxf.center.x, 3), round(c.dxf.center.y, 3), round(2 * c.dxf.radius, 3))
            for c in doc.modelspace().query("CIRCLE") if c.dxf.layer.startswith(layers)}  # fmt: skip


def as_seen(plate: PlateLayout, face: str, p: tuple[float, float, float]) -> tuple[float, float]:
    """A point on a face as one looks at it, by hand, for plates longer in x: they are flipped about x."""
    x, y, z = p
    hand = 1 if plate.seal_up else -1
    return {
        "seal": (x, hand * y), "outer": (x, -hand * y), "front": (hand * x, z), "back": (-hand * x, z),
        "right": (hand * y, z), "left": (-hand * y, z),
    }[face]  # fmt: skip


def bores(f: Feature) -> set[float]:
    """Diameters of the cylinders in a feature's profile that reach into the material."""
    pairs = zip(f.profile, (*f.profile[1:], f.profile[0]), strict=True)
    return {round(2 * a[0], 3) for a, b in pairs if a[0] == b[0] > 0 and max(a[1], b[1]) > 1e-9}


def of_plate(folder: Path, plate: str) -> list[tuple[str, Path]]:
    faces = ("seal", "outer", "front", "back", "left", "right")
    return [(f, path) for f in faces if (path := folder / f"{plate}-{f}.dxf").exists()]


@pytest.mark.parametrize("job", JOBS)
def test_every_hole_is_there_with_its_centre_and_diameter(job: str, drawn: Callable[[str], Any]) -> None:
    d = drawn(job)
    for plate in d.bundle.layout.plates:
        files = {face: circles(read(path)) for face, path in of_plate(d.folder, plate.name)}
        faces = {c.face for c in plate.cuts} | {"seal" for f in plate.features if f.role == "strut-screw"}
        through = any(len(f.mouths) == 2 for f in plate.features)  # plain ones go with the first clamping
        assert faces <= set(files) <= faces | ({"seal"} if through else set())
        for f in plate.features:
            for diameter in bores(f):
                found = [face for face, there in files.items()
                         if (*(round(v, 3) for v in as_seen(plate, face, f.origin)), diameter) in there]  # fmt: skip
                assert found, (plate.name, f.name, diameter)


@pytest.mark.parametrize("job", JOBS)
def test_there_is_nothing_but_what_the_layout_has(job: str, drawn: Callable[[str], Any]) -> None:
    d = drawn(job)
    for plate in d.bundle.layout.plates:
        for face, path in of_plate(d.folder, plate.name):
            places = {tuple(round(v, 3) for v in as_seen(plate, face, f.origin)) for f in plate.features}
            assert {c[:2] for c in circles(read(path))} <= places


def test_depths_are_in_the_names_of_the_layers(drawn: Callable[[str], Any]) -> None:
    doc = read(drawn("studio-twin").folder / "upper-seal.dxf")
    found = {e.dxf.layer for e in doc.modelspace() if e.dxf.layer.startswith("D-")}
    assert found == {"D-3.00-POCKET", "D-6.00-POCKET", "D-13.00-BORE", "D-THROUGH-BORE"}
    back = read(drawn("studio-twin").folder / "upper-back.dxf")
    assert "D-65.00-BORE" in {e.dxf.layer for e in back.modelspace()}  # deeper than the sheet is thick, and yet not through


def test_each_hole_has_one_point_and_the_outline_its_size(drawn: Callable[[str], Any]) -> None:
    d = drawn("lab-triple")
    doc = read(d.folder / "lower-seal.dxf")
    points = [(round(p.dxf.location.x, 3), round(p.dxf.location.y, 3)) for p in doc.modelspace().query("POINT")]
    assert len(points) == len(set(points)) == len({c[:2] for c in circles(doc)})
    outline = doc.modelspace().query('*[layer=="OUTLINE"]')
    (run,) = outline
    assert run.dxftype() == "LWPOLYLINE"
    assert run.closed
    points = run.get_points("xyb")
    assert sum(b != 0 for _, _, b in points) == 4
    assert {round(abs(b), 6) for _, _, b in points if b} == {round(math.tan(math.pi / 8), 6)}  # quarters of a circle
    xs, ys, _ = zip(*points, strict=True)
    assert (min(xs), max(xs), min(ys), max(ys)) == (-240, 240, -75, 75)
    assert doc.units == ezdxf.units.MM


def test_the_frame_is_told(drawn: Callable[[str], Any]) -> None:
    doc = read(drawn("studio-twin").folder / "upper-seal.dxf")
    told = " ".join(t.dxf.text for t in doc.modelspace().query('TEXT[layer=="INFO"]'))
    assert "AS ONE LOOKS AT THE SEAL FACE" in told
    assert "Y = -y of the part" in told


ROOM = Outline((-50.0, -40.0), (Line((50.0, -40.0)), Line((50.0, 40.0)), Line((-50.0, 40.0)), Line((-50.0, -40.0))))


def plate_of(*pockets: Pocket, features: tuple[Feature, ...] = ()) -> PlateLayout:
    return PlateLayout("p", ROOM, 12.0, "pom-c", True, 0.0, features, pockets=pockets)


def enclosed(doc: Any, layer: str) -> float:
    """Area within the closed run of a layer by Green's theorem; the library takes the run apart into lines and arcs."""
    (run,) = doc.modelspace().query(f'*[layer=="{layer}"]')
    assert run.dxftype() == "LWPOLYLINE"
    assert run.closed
    ends = []
    for e in run.virtual_entities():
        if e.dxftype() == "LINE":
            a, b = e.dxf.start, e.dxf.end
            ends.append(((a.x, a.y), (b.x, b.y), (a.x * b.y - b.x * a.y) / 2))
            continue
        c, r = e.dxf.center, e.dxf.radius
        t0 = math.radians(e.dxf.start_angle)
        sweep = math.radians((e.dxf.end_angle - e.dxf.start_angle) % 360)
        p, q = ((c.x + r * math.cos(t), c.y + r * math.sin(t)) for t in (t0, t0 + sweep))
        bow = (r * r * sweep + c.x * (q[1] - p[1]) - c.y * (q[0] - p[0])) / 2
        ends.append((p, q, bow))
    total, at = 0.0, ends[0][0]
    while ends:
        i, _ = min(enumerate(ends), key=lambda v: min(math.dist(at, v[1][0]), math.dist(at, v[1][1])))
        a, b, area = ends.pop(i)
        forward = math.dist(at, a) <= math.dist(at, b)
        assert min(math.dist(at, a), math.dist(at, b)) < 1e-6, "the run has a gap"
        total, at = total + (area if forward else -area), b if forward else a
    return abs(total)


def test_a_stroke_is_drawn_round_with_true_arcs() -> None:
    bend = Way((-30.0, 0.0), (Line((0.0, 0.0)), Arc((10 * math.sin(math.pi / 4), 10 - 10 * math.cos(math.pi / 4)),
                                                    (10.0, 10.0)), Line((10.0, 30.0))))  # fmt: skip
    plate = plate_of(Pocket("run", "channel", "seal", Stroke(bend, 6.0), 4.0, ("seal",), loop="a"))
    setup = plate_setups(plate, Machine()).setups[0]
    doc = ezdxf.read(io.StringIO(dxf_text(plate, setup, Machine(), [])))
    length = 30 + math.pi / 2 * 10 + 20
    assert enclosed(doc, "D-4.00-POCKET") == pytest.approx(6 * length + math.pi * 9, abs=1e-6)
    middle = doc.modelspace().query('*[layer=="D-4.00-POCKET-MIDDLE"]')
    (line,) = middle
    assert not line.closed
    ends = [(round(e.dxf.start.x, 6), round(e.dxf.end.x, 6)) for e in line.virtual_entities() if e.dxftype() == "LINE"]
    assert ends == [(-30.0, 0.0), (10.0, 10.0)]
    (arc,) = (e for e in line.virtual_entities() if e.dxftype() == "ARC")
    assert (arc.dxf.center.x, arc.dxf.center.y, arc.dxf.radius) == pytest.approx((0, 10, 10))


def test_an_area_turns_over_with_the_plate() -> None:
    corner = Outline((10.0, 5.0), (Line((30.0, 5.0)), Line((30.0, 15.0)), Line((10.0, 15.0)), Line((10.0, 5.0))))
    plate = plate_of(Pocket("window", "recess", "outer", Area(corner), 2.0, ("outer",)))
    setup = next(s for s in plate_setups(plate, Machine()).setups if s.face == "outer")
    doc = ezdxf.read(io.StringIO(dxf_text(plate, setup, Machine(), [])))
    (run,) = doc.modelspace().query('LWPOLYLINE[layer=="D-2.00-POCKET"]')
    assert {round(p[1], 6) for p in run.get_points("xy")} == {-5.0, -15.0}
    assert enclosed(doc, "D-2.00-POCKET") == pytest.approx(200)


def test_names_cannot_break_the_file_and_the_bytes_are_the_same() -> None:
    plate = plate_of(Pocket("x", "recess", "seal", Stroke(Way((0.0, 0.0), (Line((9.0, 0.0)),)), 4.0), 2.0, ("seal",)))
    setup = plate_setups(plate, Machine()).setups[0]
    told = ["a\n  0\nEOF\n", "Ø12 × 3 ±0.1 <script>"]
    text = dxf_text(plate, setup, Machine(), told)
    doc = ezdxf.read(io.StringIO(text))
    assert [t.dxf.text for t in doc.modelspace().query("TEXT")][:2] == ["a 0 EOF", "dia 12 x 3 +/-0.1 <script>"]
    assert text == dxf_text(plate, setup, Machine(), told)


def _turned(plate: PlateLayout, face: str) -> Any:
    setup = next(s for s in plate_setups(plate, Machine()).setups if s.face == face)
    pins = plate_setups(plate, Machine()).dowels
    return ezdxf.read(io.StringIO(dxf_text(plate, setup, Machine(), [], pins)))


def test_an_arc_bends_the_same_way_after_the_flip() -> None:
    half = Outline((10.0, 0.0), (Line((30.0, 0.0)), Arc((20.0, 10.0), (10.0, 0.0))))  # a half moon above its chord
    plate = plate_of(Pocket("moon", "recess", "outer", Area(half), 2.0, ("outer",)))
    doc = _turned(plate, "outer")
    assert enclosed(doc, "D-2.00-POCKET") == pytest.approx(math.pi * 100 / 2)
    (run,) = doc.modelspace().query('LWPOLYLINE[layer=="D-2.00-POCKET"]')
    (arc,) = (e for e in run.virtual_entities() if e.dxftype() == "ARC")
    middle = math.radians(arc.dxf.start_angle + (arc.dxf.end_angle - arc.dxf.start_angle) % 360 / 2)
    # flipped about x: y changes its sign
    at = (arc.dxf.center.x + 10 * math.cos(middle), arc.dxf.center.y + 10 * math.sin(middle))
    assert at == pytest.approx((20, -10))


def test_a_round_area_is_a_closed_run() -> None:
    disc = Outline((8.0, 0.0), (Arc((0.0, 8.0), (-8.0, 0.0)), Arc((0.0, -8.0), (8.0, 0.0))))
    doc = _turned(plate_of(Pocket("disc", "recess", "seal", Area(disc), 2.0, ("seal",))), "seal")
    assert enclosed(doc, "D-2.00-POCKET") == pytest.approx(64 * math.pi)


def test_dowels_of_the_flip_have_a_layer_of_their_own(drawn: Callable[[str], Any]) -> None:
    d = drawn("lab-triple")
    plate = next(p for p in d.bundle.layout.plates if p.name == "lower")
    pins = plate_setups(plate, d.bundle.job.machine).dowels
    assert pins is not None
    wanted = {(*(round(v, 3) for v in as_seen(plate, "seal", (*p.at, 0.0))), p.diameter) for p in pins.pins}
    assert circles(read(d.folder / "lower-seal.dxf"), "DOWELS") == wanted
    assert all(abs(x) > 240 for x, _, _ in wanted)  # in the waste
    doc = read(d.folder / "lower-outer.dxf")
    assert "DOWELS" not in doc.layers
    assert {c[2] for c in circles(doc, "DOWELS-IN-PLACE")} == {c[2] for c in wanted}
    assert not doc.modelspace().query('POINT[layer=="DOWELS-IN-PLACE"]')


def test_a_floor_radius_and_an_opening_are_in_the_names_of_the_layers() -> None:
    def square(a: float) -> Outline:
        r = 4.0
        k = r * (1 - math.sqrt(0.5))
        return Outline((-a + r, -a), (
            Line((a - r, -a)), Arc((a - k, -a + k), (a, -a + r)), Line((a, a - r)), Arc((a - k, a - k), (a - r, a)),
            Line((-a + r, a)), Arc((-a + k, a - k), (-a, a - r)), Line((-a, -a + r)), Arc((-a + k, -a + k), (-a + r, -a)),
        ))  # fmt: skip

    line = Stroke(Way((-40.0, 35.0), (Line((40.0, 35.0)),)), 10.0)
    run = Pocket("run", "channel", "seal", line, 4.0, ("seal",), floor_radius=0.5)
    wide = Pocket("wide", "window", "seal", Area(square(25)), 12.0, ("seal", "outer"))
    small = Pocket("small", "window", "seal", Area(square(7)), 12.0, ("seal", "outer"))
    found = {e.dxf.layer for e in _turned(plate_of(run, wide), "seal").modelspace()}
    assert {"D-4.00-POCKET-R0.50", "D-4.00-POCKET-R0.50-MIDDLE", "D-THROUGH-OPENING"} <= found
    cleared = {e.dxf.layer for e in _turned(plate_of(run, small), "seal").modelspace()}
    assert "D-THROUGH-POCKET" in cleared  # what falls out of 14 mm is too small to leave standing on tabs
    assert "D-THROUGH-OPENING" not in cleared
