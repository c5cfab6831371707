"""Whether the edges of an outline can be broken all round: the chamfer's inner line must keep every piece."""

from __future__ import annotations

import math
from itertools import pairwise

from .features import Arc, Line, Outline
from .outline import Impossible, Loc, Point, arc_centre

CLEAR = 1e-6  # mm that must be left of a piece


def require_edge_break(o: Outline, thickness: float, loc: Loc) -> None:
    """Raises Impossible for a chamfer (mm) that eats up a side, a round corner or the plate's edge face."""
    if o.chamfer <= 0:
        return
    most, what = thickness / 2, "half of the plate's thickness"
    for room, name in _rooms(o):
        if room < most:
            most, what = room, name
    if o.chamfer > most - CLEAR:
        raise Impossible(loc, f"an edge chamfer of {o.chamfer:g} mm is too large for {what}, {most:.3g} mm",
                         "give a smaller chamfer, or 0 and break the edges by hand")  # fmt: skip
    if hollow_at_arcs(o) and (at := _apart(o)) is not None:
        raise Impossible(loc, f"an edge chamfer of {o.chamfer:g} mm is too large for the hollow corner at {at[0]:.3g}, "
                         f"{at[1]:.3g}: the lines beside its two sides never meet",
                         "give a smaller chamfer, or round that corner by an arc")  # fmt: skip


def _apart(o: Outline) -> Point | None:
    """A corner that points into the plate, the chamfer's inner lines on either side of which do not cross."""
    from . import paths
    from .parallels import meetings

    own = paths.pieces(o)
    for i, turn in enumerate(turns(o)):
        a, b = own[i - 1].parallel(o.chamfer), own[i].parallel(o.chamfer)
        if turn < -1e-6 and a is not None and b is not None and not meetings(a, b):
            return own[i].start
    return None


def hollow_at_arcs(o: Outline) -> bool:
    """Whether the outline has a corner that points into the plate and has an arc on either side."""
    arcs = [isinstance(p, Arc) for p in o.pieces]
    return any(t < -1e-6 and (arcs[i - 1] or arcs[i]) for i, t in enumerate(turns(o)))


def turns(o: Outline) -> list[float]:
    """By how much the outline turns to the left where each of its pieces begins, rad."""
    starts = [o.start, *(p.end for p in o.pieces[:-1])]
    headings = [_headings(a, p) for a, p in zip(starts, o.pieces, strict=True)]
    return [_turn(out, into) for (_, out), (into, _) in pairwise([headings[-1], *headings])]


def _rooms(o: Outline) -> list[tuple[float, str]]:
    """For each piece the chamfer that would leave nothing of it, mm, and its name."""
    starts = [o.start, *(p.end for p in o.pieces[:-1])]
    headings = [_headings(a, p) for a, p in zip(starts, o.pieces, strict=True)]
    turns = [_turn(out, into) for (_, out), (into, _) in pairwise([headings[-1], *headings, headings[0]])]
    rooms = []
    for i, (a, p) in enumerate(zip(starts, o.pieces, strict=True)):
        if isinstance(p, Arc):
            (cx, cy), r = arc_centre(a, p.middle, p.end)
            if _turn(math.atan2(a[1] - cy, a[0] - cx), headings[i][0]) > 0:  # counter-clockwise: it bulges outwards
                rooms.append((r, f"the round corner at {p.middle[0]:.3g}, {p.middle[1]:.3g}, whose radius is"))
            continue
        # at a corner of this turn the parallel line ends tan(turn / 2) times the distance sooner
        lost = math.tan(turns[i] / 2) + math.tan(turns[i + 1] / 2)
        if lost > 1e-9:
            x, y = (a[0] + p.end[0]) / 2, (a[1] + p.end[1]) / 2
            rooms.append((math.dist(a, p.end) / lost, f"the side at {x:.3g}, {y:.3g}, which bears"))
    return rooms


def _headings(a: Point, p: Line | Arc) -> tuple[float, float]:
    """Direction at the beginning and at the end of a piece, rad."""
    if not isinstance(p, Arc):
        t = math.atan2(p.end[1] - a[1], p.end[0] - a[0])
        return t, t
    (cx, cy), _ = arc_centre(a, p.middle, p.end)
    u, m, v = (math.atan2(q[1] - cy, q[0] - cx) for q in (a, p.middle, p.end))
    quarter = math.pi / 2 if (m - u) % math.tau < (v - u) % math.tau else -math.pi / 2
    return u + quarter, v + quarter


def _turn(out: float, into: float) -> float:
    """From one direction to the next, −π to π, positive to the left; a full turn back is kept off the tangent's pole."""
    turn = (into - out + math.pi) % math.tau - math.pi
    return max(-math.pi + 1e-6, min(math.pi - 1e-6, turn))
