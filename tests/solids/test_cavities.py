"""Clusters of cuts made apart from the plate and put in: the same solid as one boolean gives, whatever lies in what."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rillwright.layout.features import Feature, Line, Outline, PlateLayout
from rillwright.layout.paths import circle
from rillwright.layout.pockets import Path, Pocket, Stroke
from rillwright.layout.profiles import ring, stepped
from rillwright.solids import build
from rillwright.solids.build import plate_solid
from rillwright.solids.cavity import of_block
from rillwright.solids.reach import clusters
from rillwright.solids.swap import stepped as joined

X, Y, THICK, CHAMFER = 120.0, 60.0, 24.0, 1.0  # mm: half length, half width
CORNERS = ((X, -Y), (X, Y), (-X, Y), (-X, -Y))


def plate(*cuts: Feature | Pocket, up: bool = True, chamfer: float = CHAMFER) -> PlateLayout:
    outline = Outline(CORNERS[3], tuple(Line(c) for c in CORNERS), chamfer)
    features = tuple(c for c in cuts if isinstance(c, Feature))
    return PlateLayout("p", outline, THICK, "pmma-cast", up, 0.0, features,
                       pockets=tuple(c for c in cuts if isinstance(c, Pocket)))  # fmt: skip


def down(name: str, x: float, y: float, radius: float = 3.0, depth: float = 12.0, tip: str = "drill") -> Feature:
    return Feature(name, "drilling", (x, y, 0.0), (0.0, 0.0, -1.0), stepped([(radius, depth)], tip), "seal", ("seal",))


def up_from_below(name: str, x: float, y: float, radius: float, depth: float) -> Feature:
    return Feature(name, "port", (x, y, -THICK), (0.0, 0.0, 1.0), stepped([(radius, depth)]), "outer", ("outer",))


def inward(name: str, x: float, depth: float, radius: float = 3.0, z: float = -12.0) -> Feature:
    return Feature(name, "port", (x, Y, z), (0.0, -1.0, 0.0), stepped([(radius, depth)], "drill"), "back", ("back",))


def groove(name: str, x: float, y: float, radius: float, face: str = "seal", width: float = 2.6) -> Pocket:
    return Pocket(name, "groove", face, Stroke(circle((x, y), radius), width), 1.5, (face,))  # type: ignore[arg-type]


def tube(name: str, x: float, y: float) -> Feature:
    return Feature(name, "tube-channel", (x, y, 0.0), (0, 0, -1.0), ring(20.0, 26.0, 6.0), "seal", ("seal",))


def same(p: PlateLayout, valid: bool = True) -> None:
    solid, reference = plate_solid(p), plate_solid(p, swap=False)
    assert solid.Volume() == pytest.approx(reference.Volume(), rel=1e-9)
    assert solid.Area() == pytest.approx(reference.Area(), rel=1e-9)
    if valid:
        assert solid.isValid()
    assert len(solid.Solids()) == len(solid.Shells()) == 1


def groups(p: PlateLayout) -> set[str]:
    return {" ".join(c.name for c in k.cuts) for k in clusters(p, [*joined(p), *p.pockets])[0]}


@pytest.mark.parametrize("up", [True, False])
def test_corners_of_drillings_out_of_an_edge_are_cut_once(up: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Three equal corners under and beside rings: one block is cut for all three."""
    blocks = []
    monkeypatch.setattr(build, "of_block", lambda *a: blocks.append(a[0]) or of_block(*a))
    corners = [c for i, x in enumerate((-70.0, 0.0, 70.0)) for c in (down(f"r{i}", x, 0.0), inward(f"f{i}", x, Y))]
    p = plate(*corners, *(tube(f"t{i}", x, 0.0) for i, x in enumerate((-70.0, 0.0, 70.0))), up=up)
    assert groups(p) == {"r0 f0", "r1 f1", "r2 f2", "t0", "t1", "t2"}
    same(p)
    assert len(blocks) == 1


@pytest.mark.parametrize("up", [True, False])
def test_what_lies_within_rings_within_rings(up: bool) -> None:
    inner = (groove("g1", 0, 0, 40), groove("g2", 0, 0, 25), groove("g3", 0, 0, 12), groove("o", 60, 0, 15, "outer"))
    holes = (down("a", 0, 0), down("b", 18, 0), down("c", 32, 0), down("d", 80, 30), up_from_below("e", 60, 0, 6.0, 9.0))
    same(plate(*inner, *holes, up=up))


@pytest.mark.parametrize("up", [True, False])
def test_mouths_that_the_plates_own_boolean_made_go_to_their_island(up: bool) -> None:
    """The run leaves through the chamfer, so it and what it meets are cut from the plate; the groove round it is not."""
    run = inward("f", 0, 45.0, 3.0, -4.6)
    p = plate(groove("g", 0, 20, 30), run, down("r", 0, 18, 4.0, 8.0), down("a", 10, 10), up=up, chamfer=2.0)
    assert groups(p) == {"g", "a"}
    same(p)


@pytest.mark.parametrize(("z", "alone"), [(-12.0, True), (-CHAMFER - 3.0, False), (-THICK + CHAMFER + 3.005, False)])
def test_a_bore_near_the_broken_edge_is_cut_from_the_plate(z: float, alone: bool) -> None:
    p = plate(inward("f", 20, 15.0, 3.0, z))
    assert groups(p) == ({"f"} if alone else set())
    same(p)


def test_two_sides_at_a_right_angle_and_a_corner() -> None:
    left = Feature("l", "port", (-X, 0.0, -12.0), (1.0, 0.0, 0.0), stepped([(3.0, 60.0)]), "left", ("left",))
    p = plate(left, inward("f", -70, 62.0))
    assert groups(p) == {"l f"}
    same(p)
    near = replace(left, origin=(-X, Y - 3.5, -12.0), profile=stepped([(3.0, 15.0)]))  # its wall ends beside the corner
    assert groups(plate(near)) == set()
    same(plate(near))


def test_a_floor_radius_as_deep_as_the_pocket_keeps_its_tool() -> None:
    run = Path((-30, 0), (Line((30, 0)),))
    same(plate(Pocket("c", "channel", "seal", Stroke(run, 8), 2.0, ("seal",), "a", 2.0)))


def test_a_cut_that_takes_nothing_changes_nothing() -> None:
    above = replace(down("n", 0, 0), profile=((0.0, -3.0), (2.0, -3.0), (2.0, 0.0), (0.0, 0.0)))
    assert groups(plate(above)) == set()
    same(plate(above))
    same(plate(above, groove("g", 0, 0, 20), down("h", 0, 0, 3.0, THICK + 1, "flat")))  # its end would part the face


places = st.tuples(st.floats(-100, 100), st.floats(-45, 45)).map(lambda p: (round(p[0], 1), round(p[1], 1)))


@given(st.lists(places, min_size=1, max_size=3), st.lists(st.floats(-100, 100), max_size=2), places,
       st.floats(8, 40), st.booleans())  # fmt: skip
@settings(max_examples=12, deadline=None)
def test_wherever_cuts_lie_the_solid_is_the_booleans(
    holes: list[tuple[float, float]], runs: list[float], at: tuple[float, float], radius: float, up: bool
) -> None:
    room = min(radius, Y - 5 - abs(at[1]), X - 5 - abs(at[0]))
    cuts: list[Feature | Pocket] = [down(f"h{i}", x, y, 3.1, 9.0, "flat") for i, (x, y) in enumerate(holes)]
    cuts += [inward(f"f{i}", round(x, 1), 40.0, 2.7, -11.3) for i, x in enumerate(runs)]
    if room > 3:
        cuts.append(groove("g", *at, room))
    for i, (x, y) in enumerate(holes):  # mouths that touch in a point leave no sound solid by either way
        for u, v in holes[:i]:
            if abs(math.dist((x, y), (u, v)) - 6.2) < 0.05:
                return
    same(plate(*cuts, up=up), valid=False)
