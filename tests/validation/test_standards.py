"""Tables against outside sources: another project's CSV files, closed forms of the standards, printed tables.

The CSV files are those of bd-warehouse 0.4.0 (Apache-2.0), read from the installed distribution without
importing it. Install it with `pip install --no-deps bd-warehouse`; without it those tests are skipped and
say so, except under CI, where they fail.
"""

from __future__ import annotations

import math

import pytest

from outside_tables import outside
from rillwright.standards import glands, screws, threads
from rillwright.standards._table import table

METRIC = tuple(key[0] for key in table("metric_threads").rows)
PIPE = tuple(key[0] for key in table("pipe_threads").rows)
ISO_HEADS = screws.sizes("ISO 10642")


def coarse(thread: str) -> str:
    """Name of a coarse thread in the outside files: M4-0.7."""
    return f"{thread}-{threads.metric(thread).pitch:g}"


# -- ISO 273, every row


@pytest.mark.parametrize("thread", [key[0] for key in table("clearance_holes").rows])
def test_iso_273(thread: str) -> None:
    theirs = outside("clearance_hole_sizes")[thread]
    for fit, word in (("fine", "Close"), ("medium", "Normal"), ("coarse", "Loose")):
        assert screws.clearance_hole(thread, fit) == float(theirs[word])


# -- ISO 228-1, every row


@pytest.mark.parametrize("thread", PIPE)
def test_iso_228_1(thread: str) -> None:
    theirs, ours = outside("iso_228_1")[thread[1:]], threads.pipe(thread)
    assert ours.tpi == float(theirs["tpi"])
    for name in ("major_diameter", "pitch_diameter", "minor_diameter"):
        assert getattr(ours, name) == float(theirs[name])
    assert ours.minor_tolerance == float(theirs["internal_minor_tolerance"])


@pytest.mark.parametrize("thread", PIPE)
def test_iso_228_1_closed_forms(thread: str) -> None:
    """P = 25.4/tpi; h = 0.640327 P; d2 = d − h; d1 = d − 2 h (ISO 228-1). The standard rounds h to 0.001."""
    ours = threads.pipe(thread)
    assert ours.pitch == pytest.approx(25.4 / ours.tpi, abs=5e-4)
    height = 0.640327 * 25.4 / ours.tpi
    assert ours.thread_height == pytest.approx(height, abs=5e-4)
    assert ours.major_diameter - ours.pitch_diameter == pytest.approx(height, abs=1e-3)
    assert ours.major_diameter - ours.minor_diameter == pytest.approx(2 * height, abs=1e-3)
    # the drill leaves a minor diameter that the standard allows
    assert ours.minor_diameter <= ours.tap_drill <= ours.minor_diameter + ours.minor_tolerance


@pytest.mark.parametrize("thread", PIPE)
def test_din_3852_2_holes_are_consistent(thread: str) -> None:
    """No outside file has them; the spotface clears the thread and the hole is deeper than the thread."""
    hole, pipe = threads.port(thread), threads.pipe(thread)
    assert hole.spotface_diameter > pipe.major_diameter + 2
    # DIN 76-1 run-out of a tapped blind hole is some five pitches
    assert 4 < (hole.hole_depth - hole.full_thread) / pipe.pitch < 7


@pytest.mark.parametrize(
    ("thread", "hole"),
    [  # a fittings table of DIN 3852-2: spotface, full thread, hole depth, spotface depth at most
        ("G1/8", (15, 8, 13, 1)),
        ("G1/4", (19, 12, 18.5, 1.5)),
        ("G3/8", (23, 12, 18.5, 2)),
        ("G1/2", (27, 14, 22, 2.5)),
    ],
)
def test_din_3852_2(thread: str, hole: tuple[float, ...]) -> None:
    got = threads.port(thread)
    assert (got.spotface_diameter, got.full_thread, got.hole_depth, got.spotface_depth_max) == hole


# -- ISO 4762, every row


@pytest.mark.parametrize(
    ("thread", "plain", "bore", "depth"),
    [  # dealers' and machinists' tables: plain head, counterbore
        ("M3", 5.5, 6, 3.4),
        ("M4", 7, 8, 4.4),
        ("M5", 8.5, 10, 5.4),
        ("M6", 10, 11, 6.4),
        ("M8", 13, 15, 8.6),
    ],
)
def test_plain_head_and_counterbore(thread: str, plain: float, bore: float, depth: float) -> None:
    head = screws.cap(thread)
    assert (head.head_diameter_max, head.counterbore_diameter, head.counterbore_depth) == (plain, bore, depth)


@pytest.mark.parametrize("thread", screws.sizes("ISO 4762"))
def test_iso_4762(thread: str) -> None:
    """Their dk is the knurled head."""
    theirs, ours = outside("socket_head_cap_parameters")[coarse(thread)], screws.cap(thread)
    assert ours.head_diameter_knurled_max == float(theirs["iso4762:dk"])
    assert ours.head_height_max == float(theirs["iso4762:k"])
    assert ours.socket == float(theirs["iso4762:s"])
    assert ours.head_height_max == ours.thread_diameter  # k = d, ISO 4762
    assert ours.thread_length == 2 * ours.thread_diameter + 12  # b = 2 d + 12, ISO 4762 (ISO 888)


@pytest.mark.parametrize("thread", screws.sizes("ISO 4762"))
def test_iso_4762_lengths(thread: str) -> None:
    """Theirs begin M6 at 8 and M8 at 10, the standard (from memory) at 10 and 12; ours never offer more."""
    theirs = outside("socket_head_cap_parameters")[coarse(thread)]
    listed = [float(v) for v in outside("nominal_screw_lengths")["iso4762"]["Nominal_Sizes"].split(",")]
    least, most = float(theirs["iso4762:short"]), float(theirs["iso4762:long"])
    wanted = [v for v in listed if least <= v <= most]
    ours = list(screws.lengths("ISO 4762", thread))
    assert ours == (wanted[1:] if thread in ("M6", "M8") else wanted)


# -- countersunk heads


@pytest.mark.parametrize("thread", ISO_HEADS)
def test_iso_10642_closed_forms(thread: str) -> None:
    """dk = 2.24 d and k = (dk − d)/2 for a 90° head (ISO 10642); b = 2 d + 12 (ISO 888)."""
    head = screws.countersunk(thread)
    assert head.head_diameter_theoretical_max == pytest.approx(2.24 * head.thread_diameter, abs=1e-9)
    cone = (head.head_diameter_theoretical_max - head.thread_diameter) / 2
    assert head.head_height_max == pytest.approx(cone, abs=1e-9)
    assert head.thread_diameter < head.head_diameter_actual_min < head.head_diameter_theoretical_max
    assert head.thread_length == 2 * head.thread_diameter + 12


def test_iso_10642_smallest_heads_and_sockets() -> None:
    """A dealer's table of ISO 10642:2004; the smallest head was seen in one table only."""
    smallest = {"M3": 5.54, "M4": 7.53, "M5": 9.43, "M6": 11.34, "M8": 15.24}
    sockets = {"M3": 2, "M4": 2.5, "M5": 3, "M6": 4, "M8": 5}
    for thread in ISO_HEADS:
        assert screws.countersunk(thread).head_diameter_actual_min == smallest[thread]
        assert screws.countersunk(thread).socket == sockets[thread]


@pytest.mark.parametrize("thread", ISO_HEADS)
def test_din_7991(thread: str) -> None:
    """Their columns `iso10642:*` hold the older DIN 7991 head, and the largest socket, not the nominal."""
    theirs, ours = (
        outside("countersunk_head_parameters")[coarse(thread)],
        screws.countersunk(thread, "DIN 7991"),
    )
    assert ours.head_diameter_theoretical_max == float(theirs["iso10642:dk"])
    assert ours.head_height_max == float(theirs["iso10642:k"])
    assert ours.angle == float(theirs["iso10642:a"])
    assert 0 < float(theirs["iso10642:s"]) - ours.socket <= 0.15
    # and so theirs is not the ISO 10642 head
    assert screws.countersunk(thread).head_diameter_theoretical_max > float(theirs["iso10642:dk"])
    assert ours.thread_length == 2 * ours.thread_diameter + 6  # b = 2 d + 6, DIN 7991
    assert 0.15 < ours.land < 0.45


def test_din_7991_smallest_heads() -> None:
    """dk min of DIN 7991 is h14 below dk max (ISO 286-2: 0.30 up to 6, 0.36 up to 10, 0.43 up to 18)."""
    for thread, h14 in zip(ISO_HEADS, (0.30, 0.36, 0.36, 0.43, 0.43), strict=True):
        head = screws.countersunk(thread, "DIN 7991")
        band = head.head_diameter_theoretical_max - head.head_diameter_actual_min
        assert band == pytest.approx(h14, abs=1e-9)


@pytest.mark.parametrize("standard", ["ISO 10642", "DIN 7991"])
@pytest.mark.parametrize("thread", ISO_HEADS)
def test_countersunk_lengths(standard: str, thread: str) -> None:
    """Ranges as theirs; their list of steps leaves out 45, 55 and 65, which dealers' tables have."""
    theirs = outside("countersunk_head_parameters")[coarse(thread)]
    listed = {float(v) for v in outside("nominal_screw_lengths")["iso10642"]["Nominal_Sizes"].split(",")}
    ours = screws.lengths(standard, thread)
    assert (ours[0], ours[-1]) == (float(theirs["iso10642:short"]), float(theirs["iso10642:long"]))
    assert set(ours) - listed == {v for v in (45.0, 55.0, 65.0) if ours[0] <= v <= ours[-1]}
    assert {v for v in listed if ours[0] <= v <= ours[-1]} <= set(ours)


# -- metric threads


@pytest.mark.parametrize("thread", METRIC)
def test_pitch_and_tap_drill(thread: str) -> None:
    """Their key holds the pitch, their column Soft the drill (up to M8 it is practice's, above it is not)."""
    assert threads.metric(thread).tap_drill == float(outside("tap_hole_sizes")[coarse(thread)]["Soft"])


@pytest.mark.parametrize("thread", METRIC)
def test_metric_closed_forms(thread: str) -> None:
    """ISO 724: d2 = d − 0.649519 P, D1 = d − 1.082532 P; DIN 13-1: d3 = d − 1.226869 P; ISO 898-1: As."""
    ours = threads.metric(thread)
    d, p = ours.diameter, ours.pitch
    assert ours.pitch_diameter == pytest.approx(d - 0.649519 * p, abs=5.1e-4)
    assert ours.minor_diameter == pytest.approx(d - 1.082532 * p, abs=5.1e-4)
    assert ours.core_diameter == pytest.approx(d - 1.226869 * p, abs=5.1e-4)
    area = math.pi / 4 * ((d - 0.649519 * p + d - 1.226869 * p) / 2) ** 2
    rounded = 0.005 if ours.stress_area < 10 else 0.05  # the digits ISO 898-1 prints
    assert ours.stress_area == pytest.approx(area, abs=rounded * 1.1)
    assert ours.minor_diameter <= ours.tap_drill < ours.pitch_diameter


# -- grooves and cords

# cord, depth, width, floor radius: handbook table; squeeze, squeeze at h + 0.1, fill: recomputed from it, %
HANDBOOK = [
    (1.78, 1.30, 2.60, 0.3, 27.0, 21.3, 73.6),
    (2.00, 1.50, 2.80, 0.3, 25.0, 20.0, 74.8),
    (2.50, 1.90, 3.40, 0.3, 24.0, 20.0, 76.0),
    (2.62, 2.00, 3.80, 0.3, 23.7, 19.8, 70.9),
    (3.00, 2.30, 4.00, 0.6, 23.3, 20.0, 76.8),
    (3.53, 2.70, 5.00, 0.6, 23.5, 20.7, 72.5),
]


@pytest.mark.parametrize("row", HANDBOOK)
def test_face_grooves(row: tuple[float, ...]) -> None:
    cord, depth, width, radius, squeeze, squeeze_deep, fill = row
    groove = glands.face_groove(cord)
    assert (groove.depth, groove.width, groove.floor_radius) == (depth, width, radius)
    assert (groove.depth_tolerance, groove.width_tolerance) == (0.1, 0.2)
    assert groove.squeeze == pytest.approx(squeeze, abs=0.06)
    assert groove.squeeze_min == pytest.approx(squeeze_deep, abs=0.06)
    assert groove.fill == pytest.approx(fill, abs=0.06)


@pytest.mark.parametrize("cord", glands.cord_diameters())
def test_every_face_groove_keeps_the_limits_at_nominal(cord: float) -> None:
    """Squeeze 20 to 30 %, fill at most 85 % (handbooks). From 5 mm on the table has less, down to 17 %."""
    groove, limit = glands.face_groove(cord), glands.limits()
    assert (limit.squeeze_min if cord < 5 else 17) <= groove.squeeze <= limit.squeeze_max
    assert 60 < groove.fill <= limit.fill_max


def test_face_grooves_against_the_other_files_axial_glands() -> None:
    """bd-warehouse's axial gland (inch sizes) and the metric table differ by 0.07 mm in depth at most."""
    for section in ("1.78", "2.62", "3.53"):
        theirs = outside("o-ring_static_gland_parameters")[section]
        depth = glands.face_groove(float(section)).depth
        assert float(theirs["d_a_min"]) - 0.07 <= depth <= float(theirs["d_a_max"]) + 0.07


@pytest.mark.parametrize(
    ("above", "up_to", "e1", "e2", "e3"),
    [  # ISO 3302-1:2014, and the rubber makers' table of the same ranges
        (0, 1.5, 0.15, 0.25, 0.40),
        (1.5, 2.5, 0.20, 0.35, 0.50),
        (2.5, 4, 0.25, 0.40, 0.70),
        (4, 6.3, 0.35, 0.50, 0.80),
        (6.3, 10, 0.40, 0.70, 1.00),
    ],
)
def test_iso_3302_1(above: float, up_to: float, e1: float, e2: float, e3: float) -> None:
    for diameter in (above + 0.01, up_to):
        assert [glands.cord_tolerance(diameter, c) for c in ("E1", "E2", "E3")] == [e1, e2, e3]


def test_moulded_sections() -> None:
    """Every section tolerance of the outside file, size by size."""
    sections = {
        (float(r["iso3601:w"]), float(r["iso3601:w_tol"])) for r in outside("o-ring_parameters").values()
    }
    assert len(sections) == 8
    for section, tolerance in sections:
        assert glands.moulded_tolerance(section) == tolerance


def test_extruded_cord_in_a_handbook_groove() -> None:
    """A 2.0 cord of class E2 in 1.5 × 2.8: 3.0 to 36.2 % squeeze and up to 103 % fill, by hand."""
    groove, tolerance = glands.face_groove(2.0), glands.cord_tolerance(2.0, "E2")
    thin, thick = 2.0 - tolerance, 2.0 + tolerance
    assert 100 * (1 - (groove.depth + groove.depth_tolerance) / thin) == pytest.approx(3.0, abs=0.05)
    assert 100 * (1 - groove.depth / thick) == pytest.approx(36.2, abs=0.05)
    assert 100 * math.pi * thick**2 / 4 / (groove.depth * groove.width) == pytest.approx(103, abs=0.5)
