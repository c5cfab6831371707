"""Grooves measured on the faces of exported STEP files, by a reader of our own, against the published groove table.

Table: seal suppliers' housing table, axial installation: cord, depth, width, squeeze and fill in per cent.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from part21 import Face, Part21
from rillwright.export.placed import Placed
from rillwright.export.step import write_step
from rillwright.layout.job import job_layout
from rillwright.layout.job_layout import JobLayout
from rillwright.solids.build import hardware_solid, plate_solid
from rillwright.spec.job import Job

TABLE = [
    (1.78, 1.30, 2.60, 27.0, 73.6), (2.00, 1.50, 2.80, 25.0, 74.8), (2.50, 1.90, 3.40, 24.0, 76.0),
    (2.62, 2.00, 3.80, 23.7, 70.9), (3.00, 2.30, 4.00, 23.3, 76.8), (3.53, 2.70, 5.00, 23.5, 72.5),
]  # fmt: skip
GREY = (0.5, 0.5, 0.5, 1.0)
Place = tuple[float, float]


def job(reservoirs: list[dict[str, Any]]) -> JobLayout:
    plate = {"stock": {"thickness": 25}, "outline": {"length": 330, "width": 220}}
    return job_layout(
        Job.model_validate(
            {"job": "grooves", "loops": {"main": {}}, "reservoirs": reservoirs, "plates": {"upper": plate, "lower": plate}}
        )
    )


def places() -> dict[float, Place]:
    return {row[0]: (110.0 * (i % 3) - 110, 110.0 * (i // 3) - 55) for i, row in enumerate(TABLE)}


def planes(faces: list[Face], middle: Place) -> dict[float, tuple[float, float]]:
    """Ring-shaped plane faces about a vertical axis: height -> inner and outer radius, from the circles that bound them."""
    found: dict[float, list[float]] = {}
    for f in faces:
        if f.kind != "PLANE" or not f.runs_along((0.0, 0.0, 1.0)):
            continue
        rims = [c for c in f.rings if math.dist(c.centre[:2], middle) < 1e-6]
        if len(rims) >= 2:
            found.setdefault(round(rims[0].centre[2], 6), []).extend(c.radius for c in rims)
    return {z: (min(radii), max(radii)) for z, radii in found.items()}


def squeeze_and_fill(cord: float, depth: float, width: float) -> tuple[float, float]:
    return 100 * (1 - depth / cord), 100 * math.pi * cord**2 / (4 * depth * width)


@pytest.fixture(scope="module")
def strut_plate(tmp_path_factory: pytest.TempPathFactory) -> tuple[JobLayout, list[Face]]:
    """The lower plate of six tubes, in each of which two struts stand on a groove for another cord."""
    layout = job([
        {"name": f"tube-{i}", "loop": "main", "at": list(at), "tube": {"outside_diameter": 100, "length": 203},
         "struts": {"count": 2, "place": "inside", "diameter": 18, "length": 200, "seal": {"cord": {"diameter": cord}}}}
        for i, (cord, at) in enumerate(places().items())
    ])  # fmt: skip
    lower = next(p for p in layout.plates if p.name == "lower")
    path = tmp_path_factory.mktemp("grooves") / "lower.step"
    write_step(path, "lower", [Placed("lower", plate_solid(lower), GREY, 0.0, "pmma-cast")])
    return layout, list(Part21(path).faces())


@pytest.mark.parametrize("row", TABLE)
def test_strut_groove_as_cut_is_that_of_the_table(row: tuple[float, ...], strut_plate: Any) -> None:
    cord, depth, width, squeeze, fill = row
    layout, faces = strut_plate
    at = places()[cord]
    seats = [f.origin[:2] for p in layout.plates if p.name == "lower" for f in p.features
             if f.role == "strut-seat" and math.dist(f.origin[:2], at) < 45]  # fmt: skip
    assert len(seats) == 2
    for middle in seats:
        rings = planes(faces, middle)
        floor, seat = sorted(rings)[:2]
        inner, outer = rings[floor]
        assert seat - floor == pytest.approx(depth, abs=1e-4)
        assert outer - inner == pytest.approx(width, abs=1e-4)
        found = squeeze_and_fill(cord, seat - floor, outer - inner)
        assert found == pytest.approx((squeeze, fill), abs=0.05)


@pytest.fixture(scope="module")
def stepped(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[Face]]:
    """Lower plate and tubes, as they stand in the assembly, of six channels with a groove in the floor."""
    layout = job([
        {"name": f"tube-{i}", "loop": "main", "at": list(at),
         "tube": {"outside_diameter": 60, "wall": 8, "length": 205.4}, "struts": {"length": 200, "seat_offset": 3},
         "channel": {"depth": 8, "groove": "auto", "cord": {"diameter": cord}}}
        for i, (cord, at) in enumerate(places().items())
    ])  # fmt: skip
    lower = next(p for p in layout.plates if p.name == "lower")
    parts = [Placed("lower", plate_solid(lower), GREY, lower.height, "pmma-cast")]
    parts += [Placed(h.name, hardware_solid(h), GREY, 0.0, h.material) for h in layout.hardware if h.kind == "tube"]
    found = {}
    for part in parts:
        path = tmp_path_factory.mktemp("stepped") / f"{part.name}.step"
        write_step(path, part.name, [part])
        found[part.name] = list(Part21(path).faces())
    return found


@pytest.mark.parametrize("row", TABLE)
def test_groove_stepped_into_a_channel_is_that_of_the_table(row: tuple[float, ...], stepped: Any) -> None:
    """Depth: from the tube's end, 0.3 mm above the channel's floor, to the groove's floor."""
    cord, depth, width, squeeze, fill = row
    at = places()[cord]
    rings = planes(stepped["lower"], at)
    floor, shoulder = sorted(rings)[:2]
    inner, outer = rings[floor]
    assert outer - inner == pytest.approx(width, abs=1e-4)
    assert (inner + outer) / 2 == pytest.approx(26)  # middle of a wall of 8 under Ø60
    high = shoulder + 0.3 - floor
    assert high == pytest.approx(depth, abs=1e-4)
    assert squeeze_and_fill(cord, high, outer - inner) == pytest.approx((squeeze, fill), abs=0.05)
    tube = planes(stepped[f"tube-{list(places()).index(cord)}.tube"], at)
    assert min(tube) == pytest.approx(shoulder + 0.3, abs=1e-4)  # length 205.4: (200 + 6 − 205.4)/2 above the floor

