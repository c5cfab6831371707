"""What is alike shares a letter on the drawing, whatever it is called and wherever it is."""

from __future__ import annotations

import math

from rillwright.export.drawings.tags import diameter, groups, round_one
from rillwright.layout.features import Line, Outline, PlateLayout
from rillwright.layout.paths import Bow, Straight, path
from rillwright.layout.pockets import Area, Pocket

RIM = Outline((-100, -50), (Line((100, -50)), Line((100, 50)), Line((-100, 50)), Line((-100, -50))))


def _outline(pieces: list[Bow | Straight]) -> Outline:
    made = path(pieces, closed=True)
    return Outline(made.start, made.pieces)


def _round(x: float, y: float, r: float) -> Area:
    return Area(_outline([Bow((x, y), r, 0.0, math.pi), Bow((x, y), r, math.pi, math.pi)]))


def _square(x: float, y: float, a: float) -> Area:
    corners = [(x - a, y - a), (x + a, y - a), (x + a, y + a), (x - a, y + a)]
    return Area(_outline([Straight(p, q) for p, q in zip(corners, [*corners[1:], corners[0]], strict=True)]))


def test_windows_of_one_shape_share_a_letter_and_are_counted() -> None:
    areas = [_round(-60, 0, 8), _round(60, 10, 8), _square(0, 0, 5), _round(0, 30, 9), _square(30, -20, 5)]
    windows = tuple(Pocket(f"window-{i}", "window", "outer", a, 12.0, ("outer", "seal")) for i, a in enumerate(areas))
    found = groups(PlateLayout("lid", RIM, 12.0, "pmma-cast", True, 0.0, (), pockets=windows))
    assert [(g.tags, len(g.members)) for g in found] == [("A1 to A2", 2), ("B1 to B2", 2), ("C1", 1)]
    assert [diameter(g.first) for g in found] == ["16.00", "10 × 10", "18.00"]
    assert [m.at[:2] for m in found[0].members] == [(-60, 0), (60, 10)]


def test_a_round_area_is_told_from_others() -> None:
    assert round_one(_round(3, 4, 8)) == 8
    assert round_one(_square(3, 4, 8)) is None
    assert round_one(Area(_round(0, 0, 8).outside, (_round(0, 0, 2).outside,))) is None
