"""A net's own stretches, kept apart by the wall that stands between channels of one loop. Lengths mm.

A shortest tree seldom comes near itself: its stretches would join. Where way points or a narrow place bring two of them
together that meet in no knot, one is pulled again round the other.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np
import shapely

from .flat import path_line
from .forks import Knots, Strand
from .limits import COARSE, Keep, round_turns
from .taut import CLOSE, Loom

LINKED = 2.0  # times what they keep apart: two that are joined by a shorter stretch part at its ends, as at one knot


def apart(loom: Loom, name: str) -> bool:
    """Pulls stretches of a net away from each other; whether all keep their distance then."""
    k = loom.nets[name]
    limit = k.net.width + loom.p.wall_same
    for s, t in _near(k, limit):
        if not any(_spread(loom, k, a, b, limit) for a, b in ((s, t), (t, s))):
            return False
    return not _near(k, limit)


def _near(k: Knots, limit: float) -> list[tuple[Strand, Strand]]:
    """Stretches of one level that meet in no knot and are nearer than the limit."""
    short = [{s.a, s.b} for s in k.strands if path_line(s.path).length < LINKED * limit]
    out = []
    for s, t in combinations(k.strands, 2):
        ends = {s.a, s.b}, {t.a, t.b}
        linked = ends[0] & ends[1] or any(v & ends[0] and v & ends[1] for v in short)
        if s.level == t.level and not linked and path_line(s.path).distance(path_line(t.path)) < limit - 2 * CLOSE:
            out.append((s, t))
    return out


def _spread(loom: Loom, k: Knots, s: Strand, t: Strand, limit: float) -> bool:
    """Pulls one stretch tight in the room that another of its net leaves it; whether that went."""
    keeps = [*loom.keeps(k.net, s.level),
             Keep(t.b, path_line(t.path), limit, tuple(round_turns(t.path, limit)), path_line(t.path, COARSE))]  # fmt: skip
    turns = np.array([turn for m in keeps for turn in m.turns])
    was, s.tight = s.tight, None
    for safe in (False, True):
        room = loom.room(k, s.level, keeps, safe)
        if shapely.covers(room.region, shapely.points(s.line[[0, -1]])).all() and loom.pull_one(s, room, turns, keeps):
            return True
    s.tight = was
    return False
