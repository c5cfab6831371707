"""Exported STEP plates, read by a reader of our own, against the standards' dimensions.

ISO 10642 and ISO 273 figures are those of secondary tables that were seen; the tap drill of G1/4 is the one
tables of ISO 228-1 threads give. Depths and walls of the reservoirs are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from jobs import SHIPPED, Built
from part21 import Face, Part21, Vec
from rillwright.layout.features import Feature, PlateLayout

CLEARANCE = {"M4": 4.5, "M5": 5.5}  # ISO 273, medium, mm
METRIC_TAP = {"M4": 3.3, "M5": 4.2}  # tap drill of the coarse thread: nominal less pitch (0.7, 0.8), mm
PIPE_TAP = {"G1/8": 8.8, "G1/4": 11.8}  # tap drill, tables of ISO 228-1 threads, mm
COUNTERBORE = {"M5": 10.0}  # for ISO 4762 heads, secondary table, mm
HEAD_FACTOR = 2.24  # ISO 10642: theoretical largest head is 2.24 d
M4 = 4.0
NEAR = 1e-4  # mm: STEP carries 12 digits

PLATES = [(job, plate) for job in SHIPPED for plate in ("upper", "lower")]
Shipped = Callable[[str], Built]


@cache
def faces_of(path: Path) -> tuple[Face, ...]:
    return tuple(Part21(path).faces())


def opened(shipped: Shipped, job: str, plate: str) -> tuple[PlateLayout, tuple[Face, ...]]:
    built = shipped(job)
    layout = next(p for p in built.layout.plates if p.name == plate)
    return layout, faces_of(built.folder / f"{plate}.step")


def in_part(plate: PlateLayout, p: Vec) -> Vec:
    return (p[0], p[1], plate.side * p[2])


def on_axis(faces: tuple[Face, ...], kind: str, p: Vec, axis: Vec) -> list[Face]:
    return [f for f in faces if f.kind == kind and f.runs_along(axis) and f.axis_distance(p) < NEAR]


def bore(f: Feature) -> float:
    """Bore diameter that the tables ask for, mm."""
    if f.role in ("port", "plug"):
        return PIPE_TAP[f.thread]
    if f.role == "mounting":
        return METRIC_TAP[f.thread]
    return CLEARANCE[f.thread]


@pytest.mark.parametrize(("job", "plate"), PLATES)
def test_one_solid_in_millimetres(shipped: Shipped, job: str, plate: str) -> None:
    file = Part21(shipped(job).folder / f"{plate}.step")
    assert file.unit_is_mm
    assert file.count("MANIFOLD_SOLID_BREP") == 1
    assert file.count("CLOSED_SHELL") == 1


@pytest.mark.parametrize(("job", "plate"), PLATES)
def test_every_threaded_or_screw_hole_has_its_bore(shipped: Shipped, job: str, plate: str) -> None:
    layout, faces = opened(shipped, job, plate)
    holes = [f for f in layout.features if f.role in ("port", "plug", "mounting", "screw", "strut-screw")]
    assert holes
    for f in holes:
        found = on_axis(faces, "CYLINDRICAL_SURFACE", in_part(layout, f.origin), in_part(layout, f.axis))
        assert any(abs(2 * c.radius - bore(f)) < NEAR for c in found), (f.name, [2 * c.radius for c in found])


@pytest.mark.parametrize(("job", "plate"), PLATES)
def test_every_drilling_has_its_diameter(shipped: Shipped, job: str, plate: str) -> None:
    layout, faces = opened(shipped, job, plate)
    for f in (f for f in layout.features if f.role == "drilling"):
        found = on_axis(faces, "CYLINDRICAL_SURFACE", in_part(layout, f.origin), in_part(layout, f.axis))
        assert any(abs(c.radius - 4.0) < NEAR for c in found), f.name  # every drilling of the jobs is Ø8


@pytest.mark.parametrize(("job", "plate"), PLATES)
def test_every_bore_in_the_file_is_a_feature(shipped: Shipped, job: str, plate: str) -> None:
    """The other way round: no cylinder or cone in the file without a feature (or a corner of the outline)."""
    layout, faces = opened(shipped, job, plate)
    for face in faces:
        if face.kind == "PLANE":
            continue
        feature = any(
            face.runs_along(in_part(layout, f.axis)) and face.axis_distance(in_part(layout, f.origin)) < NEAR
            for f in layout.features
        )
        corner = face.runs_along((0, 0, 1)) and face.radius in (8.0, 10.0, 12.0)  # corner radii of the three files
        assert feature or corner, face


@pytest.mark.parametrize(
    ("job", "plate", "diameter", "point", "axis"),
    [  # written off the files by hand; the upper plate's material lies at z > 0
        ("studio-twin", "upper", 11.8, (-80, 65, 13), (0, 1, 0)),
        ("studio-twin", "upper", 11.8, (62, 0, 0), (0, 0, 1)),
        ("studio-twin", "upper", 8.0, (-80, 0, 13), (0, 0, 1)),
        ("studio-twin", "upper", 4.2, (0, -40, 25), (0, 0, 1)),
        ("studio-twin", "lower", 11.8, (122, 65, -13), (0, 1, 0)),
        ("studio-twin", "lower", 8.8, (150, -10, -13), (1, 0, 0)),
        ("studio-twin", "lower", 8.0, (78, -10, -13), (0, 0, 1)),
        ("studio-twin", "lower", 5.5, (-140, 55, 0), (0, 0, 1)),
        ("studio-twin", "lower", 4.5, (-70, -42, 0), (0, 0, 1)),  # strut 1: pitch circle 84, first at 270°
        ("lab-triple", "upper", 11.8, (-142, 0, 0), (0, 0, 1)),  # these have no mirror image in their plate
        ("lab-triple", "upper", 11.8, (140, 75, 13), (0, 1, 0)),
        ("lab-triple", "lower", 11.8, (-240, 0, -13), (1, 0, 0)),
    ],
)
def test_places_written_off_the_file(
    shipped: Shipped, job: str, plate: str, diameter: float, point: Vec, axis: Vec
) -> None:
    _, faces = opened(shipped, job, plate)
    found = on_axis(faces, "CYLINDRICAL_SURFACE", point, axis)
    assert any(abs(2 * f.radius - diameter) < NEAR for f in found), [2 * f.radius for f in found]


@pytest.mark.parametrize(("job", "plate"), PLATES)
def test_countersinks_are_90_degrees_and_2_24_d_wide(shipped: Shipped, job: str, plate: str) -> None:
    """ISO 10642: 90° head, theoretical mouth 2.24 d, k = (2.24 d − d)/2 below it."""
    layout, faces = opened(shipped, job, plate)
    screws = [f for f in layout.features if f.role == "strut-screw"]
    assert screws
    for f in screws:
        assert f.thread == "M4"
        mouth = in_part(layout, f.at(f.facts["counterbore"]))
        cones = on_axis(faces, "CONICAL_SURFACE", mouth, (0, 0, 1))
        assert cones, f.name
        for cone in cones:
            assert math.degrees(2 * abs(cone.semi_angle)) == pytest.approx(90, abs=1e-6)
            assert 2 * cone.cone_radius(mouth) == pytest.approx(HEAD_FACTOR * M4, abs=NEAR)
            rims = sorted({round(2 * r.radius, 4) for r in cone.rings})
            assert rims == [CLEARANCE["M4"], HEAD_FACTOR * M4]
            levels = sorted(abs(r.centre[2]) for r in cone.rings)
            assert levels[-1] == pytest.approx(layout.thickness - f.facts["counterbore"], abs=NEAR)


def test_counterbore_of_the_bench(shipped: Shipped) -> None:
    """ISO 4762 M5: counterbore Ø10 × 5.4, secondary table."""
    layout, faces = opened(shipped, "bench-single", "lower")
    found = on_axis(faces, "CYLINDRICAL_SURFACE", (54, 54, 0), (0, 0, 1))
    wide = next(f for f in found if abs(2 * f.radius - COUNTERBORE["M5"]) < NEAR)
    levels = sorted({round(r.centre[2], 4) for r in wide.rings})
    assert levels == [-5.4, 0.0]
    assert layout.side == 1


def ring_floor(faces: tuple[Face, ...], at: tuple[float, float], radii: tuple[float, ...]) -> float:
    """z of the plane face that is bounded by circles of these radii round a place, mm."""
    levels = {
        round(f.origin[2], 4)
        for f in faces
        if f.kind == "PLANE" and all(
            any(math.dist(r.centre[:2], at) < NEAR and abs(r.radius - want) < NEAR for r in f.rings) for want in radii
        )
    }
    deep = [z for z in levels if abs(z) > NEAR]  # the seal face itself is bounded by the mouth
    assert len(deep) == 1, (at, radii, levels)
    return deep[0]


CENTRES = {
    "bench-single": [(0, 0)], "studio-twin": [(-70, 0), (70, 0)], "lab-triple": [(-150, 0), (0, 0), (150, 0)],
}  # fmt: skip
TUBE, WALL, GAP = 60.0, 5.0, 0.25  # outside diameter and wall from the files; gap: common practice, no source
OUTER, INNER = TUBE / 2 + GAP, TUBE / 2 - WALL - GAP
SEAT = 10 / 2 + 0.1  # strut radius and its gap, common practice, no source
FLOOR, SEAT_ABOVE_FLOOR, CHANNEL_WALL = 6.0, 3.0, 6.0  # common practice, no source


@pytest.mark.parametrize(("job", "plate"), PLATES)
def test_channel_floor_seat_and_wall(shipped: Shipped, job: str, plate: str) -> None:
    layout, faces = opened(shipped, job, plate)
    for centre in CENTRES[job]:
        floor = ring_floor(faces, centre, (OUTER, INNER))
        assert floor == pytest.approx(-layout.side * FLOOR, abs=NEAR)
        seats = [f for f in faces if f.kind == "CYLINDRICAL_SURFACE" and abs(f.radius - SEAT) < NEAR
                 and math.dist(f.origin[:2], centre) < 60]  # fmt: skip
        places = {(round(f.origin[0], 4), round(f.origin[1], 4)) for f in seats}
        assert len(places) == (4 if job == "bench-single" else 3)
        for at in places:
            above = abs(floor) - abs(ring_floor(faces, at, (SEAT,)))
            assert above == pytest.approx(SEAT_ABOVE_FLOOR, abs=NEAR)
            assert math.dist(at, centre) - SEAT - OUTER >= CHANNEL_WALL - NEAR


def test_default_pitch_circle_leaves_six(shipped: Shipped) -> None:
    """6 mm of wall between seat and tube channel where the file gives no pitch circle: common practice, no source."""
    for plate in ("upper", "lower"):
        _, faces = opened(shipped, "bench-single", plate)
        seat = next(f for f in faces if f.kind == "CYLINDRICAL_SURFACE" and abs(f.radius - SEAT) < NEAR)
        assert math.hypot(*seat.origin[:2]) - SEAT - OUTER == pytest.approx(CHANNEL_WALL, abs=NEAR)


def test_drill_tips_are_118_degrees(shipped: Shipped) -> None:
    """The common point of a twist drill for metal and plastic: 118°, common practice, no source."""
    _, faces = opened(shipped, "studio-twin", "lower")
    tips = [f for f in faces if f.kind == "CONICAL_SURFACE" and f.runs_along((1, 0, 0))]
    assert tips
    for tip in tips:
        assert math.degrees(2 * abs(tip.semi_angle)) == pytest.approx(118, abs=1e-6)
