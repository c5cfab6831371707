"""The line at a given distance round lines, arcs and areas, in true lines and arcs, its corners rounded by true arcs.

Shapely tells how the parts follow each other round the outside; lines, circles and the places where they meet are then
worked out from the parts themselves, so no chord is left in what comes out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from . import paths
from .curves import HAIR, Bone, Curve, between, curve_of, is_outer, meeting
from .outline import Impossible
from .paths import Bow, Piece, Straight
from .pockets import Path, Point2

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

STEP = 2.0  # mm between samples on a straight side
CERTIFIED = 0.01  # mm: how far the line may be from what shapely found


def contour(
    region: Any, bones: Sequence[Bone], distance: float, rounding: float, inside: bool = False, quarter: int = 64
) -> Path:
    """The closed line, counter-clockwise, that stays `distance` − `rounding` mm off the bones' sides and goes round the
    corners between them by arcs of radius `rounding`.

    `region` is the shapely polygon that the line at `distance` bounds (its exterior is followed, holes are not looked
    at); with `inside` it lies within the bones (an outline taken inwards), else round them. Raises Impossible where no
    true line is found within 0.01 mm of it.
    """
    samples = _samples(region.exterior)
    runs = _runs(samples, bones, distance)
    if len(runs) == 1:
        c = runs[0][0]
        return paths.circle(c.centre, c.radius - (1 if not inside else -1) * c.turn * rounding)
    curves, corners = _corners(runs, -1 if inside else 1)
    line = _rounded(curves, corners, rounding, inside)
    out = paths.path(paths.merged(line, closed=True), closed=True)
    off = max(_off_exact(line, corners, bones, distance, rounding), _off(out, region, rounding, inside, quarter)
              - _slack(curves, corners, distance, quarter))  # fmt: skip
    if off <= CERTIFIED:
        return out
    raise Impossible((), f"no true line and arcs within {CERTIFIED:g} mm ({off:.3f}) were found for a closed line",
                     "move one of the parts along it by half a millimetre")  # fmt: skip


def _off_exact(
    line: list[Piece], corners: list[Point2], bones: Sequence[Bone], distance: float, rounding: float
) -> float:
    """How far the corners and the middles of the sides between them are off their distances from the bones, mm, times
    a hundred: they are worked out to the last digits, so a tenth of a micrometre is a fault."""
    import numpy as np

    sides = [p.at(p.length / 2)[0] for p in line[:: 2 if rounding > 0 else 1] if p.length > paths.ON]
    off = [np.abs(_parts(np.array(q), bones)[2] - d).max() for q, d in ((corners, distance), (sides, distance - rounding))]
    return 1e2 * float(max(off))


def _slack(curves: list[Curve], corners: list[Point2], distance: float, quarter: int) -> float:
    """How far chords may move a corner, mm: far where the sides come together at a sharp angle."""
    sag = distance * (1 - math.cos(math.pi / 4 / quarter)) + 5e-4
    worst = 0.0
    for i, c in enumerate(curves):
        n, m = c.away(corners[i]), curves[(i + 1) % len(curves)].away(corners[i])
        worst = max(worst, sag / max(1e-3, abs(math.cos(math.acos(max(-1.0, min(1.0, n[0] * m[0] + n[1] * m[1]))) / 2))))
    return 2 * worst


def _samples(ring: Any) -> Floats:
    """Middles of pieces of at most STEP mm along a shapely ring, counter-clockwise; (n, 2) mm."""
    import numpy as np
    import shapely

    p = shapely.get_coordinates(ring if ring.is_ccw else ring.reverse())
    gap = np.hypot(*np.diff(p, axis=0).T)
    keep = gap > 1e-7
    a, b, n = p[:-1][keep], p[1:][keep], np.ceil(gap[keep] / STEP).astype(int)
    which = np.repeat(np.arange(len(n)), n)
    k = np.arange(len(which)) - np.repeat(np.cumsum(n) - n, n)
    share = ((k + 0.5) / n[which])[:, None]
    return np.asarray(a[which] * (1 - share) + b[which] * share, dtype=np.float64)


def _parts(samples: Floats, bones: Sequence[Bone]) -> tuple[NDArray[np.int64], NDArray[np.int64], Floats]:
    """For each sample the bone that it belongs to, the part (0 its start, 1 between, 2 its
    end), and the distance from its side, mm."""
    import numpy as np

    best = np.full(len(samples), np.inf)
    bone, part = np.zeros(len(samples), dtype=np.int64), np.zeros(len(samples), dtype=np.int64)
    x, y = samples.T
    for i, b in enumerate(bones):
        t = _share(b.piece, x, y)
        where = np.where(t <= 0, 0, np.where(t >= 1, 2, 1))
        (ax, ay), (ex, ey) = b.piece.start, b.piece.end
        if isinstance(b.piece, Bow):
            between = np.abs(np.hypot(x - b.piece.centre[0], y - b.piece.centre[1]) - b.piece.radius)
        else:
            c = np.clip(t, 0, 1)
            between = np.hypot(x - ax - c * (ex - ax), y - ay - c * (ey - ay))
        at_ends = np.where(where == 0, np.hypot(x - ax, y - ay), np.hypot(x - ex, y - ey))
        value = np.where(where == 1, between, at_ends) - b.reach
        better = value < best - 1e-9
        best = np.where(better, value, best)
        bone, part = np.where(better, i, bone), np.where(better, where, part)
    return bone, part, best


def _share(piece: Piece, x: Floats, y: Floats) -> Floats:
    """Where the foot of each point lies on a piece: 0 at its start, 1 at its end, beyond both outside 0 to 1."""
    import numpy as np

    if isinstance(piece, Bow):
        angle = np.arctan2(y - piece.centre[1], x - piece.centre[0])
        sign = 1.0 if piece.sweep > 0 else -1.0
        middle = piece.first + piece.sweep / 2
        turned = (sign * (angle - middle) + math.pi) % math.tau - math.pi
        return np.asarray(0.5 + turned / abs(piece.sweep), dtype=np.float64)
    dx, dy = piece.end[0] - piece.start[0], piece.end[1] - piece.start[1]
    n = dx * dx + dy * dy
    if n < 1e-18:
        return np.zeros_like(x)
    return np.asarray(((x - piece.start[0]) * dx + (y - piece.start[1]) * dy) / n, dtype=np.float64)


def _runs(samples: Floats, bones: Sequence[Bone], distance: float) -> list[tuple[Curve, Point2]]:
    """The curves in their order round the line, each with the sample where it was first met."""
    bone, part, _ = _parts(samples, bones)
    out: list[tuple[Curve, Point2]] = []
    last: tuple[int, int, bool] | None = None
    for p, i, k in zip(samples.tolist(), bone.tolist(), part.tolist(), strict=True):
        b, at = bones[i], (p[0], p[1])
        if (here := (i, k, is_outer(b, k, at))) == last:
            continue
        last, curve = here, curve_of(b, i, k, at, b.reach + distance)
        if not out or out[-1][0].key != curve.key:
            out.append((curve, at))
    while len(out) > 1 and out[0][0].key == out[-1][0].key:
        out[0] = out.pop()
    return out


def _corners(runs: list[tuple[Curve, Point2]], way: int) -> tuple[list[Curve], list[Point2]]:
    """The curves with round ends that samples missed, and the exact place where each meets the next one."""
    curves: list[Curve] = []
    corners: list[Point2] = []
    for i, (f, _) in enumerate(runs):
        g, near = runs[(i + 1) % len(runs)]
        for a, b in between(f, g, near, way):
            curves.append(a)
            corners.append(meeting(a, b, near))
    return curves, corners


def _rounded(curves: list[Curve], corners: list[Point2], rounding: float, inside: bool) -> list[Piece]:
    """Each curve `rounding` nearer to its bone, and an arc of that radius round each place where two meet."""
    way = -1 if inside else 1
    out: list[Piece] = []
    for i, c in enumerate(curves):
        v, w, after = corners[i - 1], corners[i], curves[(i + 1) % len(curves)]
        a, b = (_step(p, c.away(p), rounding) for p in (v, w))
        if c.turn == 0:
            out.append(Straight(a, b))
        else:
            out.append(_arc(c.centre, a, b, c.turn * way))
        if rounding > 0:
            out.append(_arc(w, b, _step(w, after.away(w), rounding), -way))
    return out


def _step(v: Point2, normal: Point2, back: float) -> Point2:
    return (v[0] - back * normal[0], v[1] - back * normal[1])


def _arc(centre: Point2, a: Point2, b: Point2, way: int) -> Bow:
    first, last = (math.atan2(p[1] - centre[1], p[0] - centre[0]) for p in (a, b))
    sweep = (way * (last - first)) % math.tau
    if sweep > math.tau - HAIR or sweep < HAIR:
        sweep = 0.0
    return Bow(centre, math.dist(centre, a), first, way * sweep)


def _off(line: Path, region: Any, rounding: float, inside: bool, quarter: int) -> float:
    """Largest distance between the line and what shapely makes of the region, looked at from both, mm."""
    import numpy as np
    import shapely

    sign = 1 if inside else -1
    want = region.buffer(sign * rounding, quad_segs=quarter).exterior if rounding > 0 else region.exterior
    got = paths.line_string(line)
    both = []
    for a, b in ((want, got), (got, want)):
        at = shapely.get_coordinates(shapely.segmentize(a, STEP))
        sides = shapely.get_coordinates(b)
        tree = shapely.STRtree(shapely.linestrings(np.stack([sides[:-1], sides[1:]], axis=1)))
        _, far = tree.query_nearest(shapely.points(at), return_distance=True, all_matches=False)
        both.append(float(far.max()))
    return max(both)
