"""Channels with a floor radius whose strokes run into each other, cut from a plate."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from rillwright.checks.solid.bodies import Body, body_cases
from rillwright.checks.solid.mesh_faults import first_fault, mesh_fault
from rillwright.checks.solid.pocket_volumes import pocket_volume
from rillwright.checks.solid.stl import StlMesh
from rillwright.layout.features import Arc, Line, Outline, PlateLayout
from rillwright.layout.pockets import Path, Pocket, Stroke
from rillwright.layout.swept import tree_volume, trees
from rillwright.solids.build import GeometryError, plate_solid
from rillwright.solids.meshing import mesh
from rillwright.solids.pieces import in_pieces
from rillwright.solids.trees import valid

SIDE, THICK = 400.0, 20.0
H = SIDE / 2
SQUARE = Outline((-H, -H), (Line((H, -H)), Line((H, H)), Line((-H, H)), Line((-H, -H))))


def plate(pockets: list[Pocket]) -> PlateLayout:
    return PlateLayout("board", SQUARE, THICK, "pom-c", True, 0.0, (), pockets=tuple(pockets))


def leg(number: int, start: tuple[float, float], way: float, long: float, bend: float, width: float, r: float) -> Pocket:
    """A straight leg, and for a bend (rad) an arc of 12 mm and another straight leg."""
    end = (start[0] + long * math.cos(way), start[1] + long * math.sin(way))
    pieces: list[Line | Arc] = [Line(end)]
    if bend:
        s = math.copysign(12.0, bend)
        centre = (end[0] - s * math.sin(way), end[1] + s * math.cos(way))
        middle, end = ((centre[0] + s * math.sin(a), centre[1] - s * math.cos(a)) for a in (way + bend / 2, way + bend))
        last = (end[0] + 9 * math.cos(way + bend), end[1] + 9 * math.sin(way + bend))
        pieces += [Arc(middle, end), Line(last)]
    return Pocket(f"run.{number}", "channel", "seal", Stroke(Path(start, tuple(pieces)), width), 10.0, ("seal",), "lamp", r)


def tree(width: float, r: float, legs: list[tuple[float, float, float]]) -> list[Pocket]:
    """Each leg starts where the one before ended, the first and third at the middle."""
    out: list[Pocket] = []
    for i, (way, long, bend) in enumerate(legs):
        shape = out[-1].shape if out and i != 2 else None
        start = shape.path.pieces[-1].end if isinstance(shape, Stroke) else (0.0, 0.0)
        out.append(leg(i + 1, start, way, long, bend, width, r))
    return out


def taken(pockets: list[Pocket]) -> float:
    made = plate_solid(plate(pockets))
    assert len(made.Solids()) == 1
    assert valid(made)
    assert mesh(made).volume == pytest.approx(made.Volume(), rel=1e-5)  # raises where it is open
    return SIDE * SIDE * THICK - float(made.Volume())


def _overlaid(legs: list[tuple[float, float, float]]) -> bool:
    """Whether a leg lies on another all along, which no line of the file or of the router does."""
    ways = [way for way, _, _ in legs]
    apart = [ways[1] - (ways[0] + legs[0][2] + math.pi), *(w - ways[0] for w in ways[2:])]
    return any(abs(math.remainder(a, 2 * math.pi)) < 0.15 for a in apart)


@settings(max_examples=8, deadline=None)
@given(
    st.sampled_from([5.0, 6.0, 8.0, 10.0, 12.0]), st.sampled_from([0.5, 1.0, 1.5, 2.0]),
    st.lists(st.tuples(st.floats(-3.1, 3.1), st.floats(20, 45), st.sampled_from([0.0, 0.0, 0.7, -1.2])),
             min_size=2, max_size=3),
)  # fmt: skip
def test_any_tree_leaves_one_sound_plate(width: float, r: float, legs: list[tuple[float, float, float]]) -> None:
    assume(not _overlaid(legs))
    pockets = tree(width, r, legs)
    (whole,) = trees(pockets)
    assert taken(pockets) == pytest.approx(tree_volume(whole), rel=1e-5)


@pytest.mark.parametrize("r", [0.5, 1.0, 2.0])
def test_sections_and_closed_form_agree(r: float) -> None:
    one = leg(1, (3.0, 4.0), 0.4, 40.0, 1.1, 10.0, r)
    assert tree_volume([one]) == pytest.approx(pocket_volume(one, THICK), rel=2e-6)
    assert taken([one]) == pytest.approx(pocket_volume(one, THICK), rel=2e-6)


def test_legs_that_run_on_straight_are_one_stroke() -> None:
    """Two legs in line take what one leg as long as both takes."""
    there = (30 * math.cos(0.3), 30 * math.sin(0.3))
    two = [leg(1, (0.0, 0.0), 0.3, 30.0, 0.0, 8.0, 1.5), leg(2, there, 0.3, 25.0, 0.0, 8.0, 1.5)]
    assert taken(two) == pytest.approx(pocket_volume(leg(1, (0.0, 0.0), 0.3, 55.0, 0.0, 8.0, 1.5), THICK), rel=2e-6)


# junctions that were seen to leave an open mesh, two pieces and a wrong union: two ends of the first leg, radius
SEEN = [(154.2, 55.0, 139.7895240529156, 81.47834947932674, 0.5), (154.2, 40.0, 136.05016727691876, 76.51380302421738, 1.0),
        (154.2, 20.0, 131.37229868976956, 71.23148236962236, 1.5)]  # fmt: skip


@pytest.mark.parametrize(("x", "y", "u", "v", "r"), SEEN)
def test_junctions_that_once_fell_apart(x: float, y: float, u: float, v: float, r: float) -> None:
    ends = [((x, y), (u, v)), ((u, v), (0.0, 85.0)), ((u, v), (145.0, 90.0)), ((0.0, 85.0), (-150.0, 90.0))]
    legs = [Pocket(f"run.{i}", "channel", "seal", Stroke(Path(a, (Line(b),)), 10.0), 10.0, ("seal",), "lamp", r)
            for i, (a, b) in enumerate(ends)]  # fmt: skip
    assert taken(legs) == pytest.approx(tree_volume(legs), rel=1e-5)


def test_a_square_corner_that_once_had_no_mesh() -> None:
    """The round end of one leg touches the quarter pipe of the other along a line: the kernel made a sliver of that."""
    a, b, c = (0.0, 0.0), (30.10531149372744, 0.0), (1.1975487820380808e-15, 19.55745579659149)
    d, e = (30.105311493727445, -44.203351439050294), (33.993122557359584, -54.92357548581768)
    f = (43.84894783523916, -60.65951364546517)
    lines = [(a, (Line(c),)), (a, (Line(b),)), (b, (Line(d), Arc(e, f), Line((59.761364703114516, -63.54124751859468))))]
    width = 6.813059442008315
    legs = [Pocket(f"run.{i}", "channel", "seal", Stroke(Path(start, pieces), width), 10.0, ("seal",), "lamp", 1.0)
            for i, (start, pieces) in enumerate(lines)]  # fmt: skip
    assert taken(legs) == pytest.approx(tree_volume(legs), rel=1e-5)


def test_another_depth_or_radius_is_another_tree() -> None:
    a, b = tree(8.0, 1.0, [(0.0, 30.0, 0.0), (1.0, 30.0, 0.0)])
    assert len(trees([a, b])) == 1
    assert len(trees([a, replace(b, depth=9.0)])) == len(trees([a, replace(b, floor_radius=0.5)])) == 2


def test_pieces_are_told_with_place_size_and_cut() -> None:
    ring = Stroke(Path((30.0, 0.0), (Arc((0.0, 30.0), (-30.0, 0.0)), Arc((0.0, -30.0), (30.0, 0.0))), True), 6.0)
    through = Pocket("moat", "slot", "seal", ring, THICK, ("seal", "outer"))
    with pytest.raises(GeometryError, match=r"'board'.* 2 pieces.*54\.00 x 54\.00 x 20\.00 mm.*x -?0\.00, y -?0\.00.*moat"):
        plate_solid(plate([through]), swap=False)
    assert "nothing is left" in in_pieces([], [through], plate([through]))


def test_a_hole_in_a_mesh_has_its_place_channel_and_remedy() -> None:
    pockets = tree(8.0, 1.0, [(0.0, 30.0, 0.0), (1.0, 30.0, 0.0)])
    made = mesh(plate_solid(plate(pockets)))
    whole = StlMesh(made.vertices, made.triangles.astype(np.int64))
    assert first_fault(whole) is None
    middles = whole.triangles.mean(axis=1)
    gone = int(np.linalg.norm(middles - (15.0, -4.0, -5.0), axis=1).argmin())
    (at,), names, cure = mesh_fault(plate(pockets), StlMesh(whole.vertices, np.delete(whole.faces, gone, axis=0)))
    assert math.dist(at, middles[gone]) < 40
    assert names[0] == "run.1"
    assert cure == "give run another floor_radius than 1 mm, or 0"


@pytest.mark.parametrize("lost", [0.0, 5.0])
def test_a_tree_alone_in_a_plate_has_its_volume_checked(lost: float) -> None:
    pockets = tree(8.0, 1.0, [(0.0, 30.0, 0.0), (1.0, 30.0, 0.0)])
    solid = plate_solid(plate([replace(p, depth=p.depth - lost) for p in pockets]))
    made = mesh(solid)
    read = StlMesh(made.vertices, made.triangles.astype(np.int64))
    (case,) = body_cases(Body(plate(pockets), solid, read, 0, float(solid.Volume())))["volume.features"]
    assert (case.margin > 0) == (lost == 0)
    assert lost or case.measured < 0.05


def test_legs_that_lie_on_one_another_are_no_plate_without_channels() -> None:
    """Seen once: hardly a millionth of a degree apart, and the kernel's union of them took nothing away."""
    legs = tree(5.0, 0.5, [(9.187892601929244e-07, 21.0, 0.0), (0.0, 20.0, 0.0), (0.0, 20.0, 0.0)])
    with pytest.raises(GeometryError, match="lie on one another"):
        taken(legs)
