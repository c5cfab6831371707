"""Where screws may stand along grooves: candidates every millimetre, and the stretches of groove that have none."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from .. import paths
from ..features import Outline
from ..pockets import Path, Point2
from .obstacles import Obstacle, shape_region

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Flags = NDArray[np.bool_]
    Ints = NDArray[np.int64]

STEP = 1.0  # mm, across the groove, and at most along it
EDGE = "the plate's edge"
GROOVE = "a groove"


@dataclass(frozen=True, slots=True)
class Room:
    """What a screw has to keep: distance of its centre from a groove's middle line (least, most), its own radius with
    its land, what stands in its way, and the plate's edge; mm."""

    reach: tuple[float, float]
    keep_out: float
    obstacles: tuple[Obstacle, ...] = ()
    outline: Outline | None = None
    edge: float = 0.0  # from the keep-out circle to the plate's edge


@dataclass(frozen=True, slots=True)
class Track:
    """A groove's middle line with its samples: distance along it, points, unit normals away from what it encloses."""

    line: Any  # shapely
    inside: Any  # shapely
    length: float
    s: Floats
    points: Floats
    outward: Floats


def track(path: Path, step: float = STEP) -> Track:
    """Samples of a closed path, `step` mm apart at most."""
    import numpy as np
    import shapely

    way = path if paths.area(path) > 0 else paths.reversed_path(path)
    line, inside = paths.line_string(way), paths.polygon(way)
    shapely.prepare([line, inside])
    s, p, t = (np.array(v, dtype=np.float64) for v in zip(*paths.along(way, step), strict=True))
    return Track(line, inside, paths.length(way), s, p, np.stack([t[:, 1], -t[:, 0]], axis=1))


def blockers(points: Floats, tracks: Sequence[Track], room: Room) -> dict[str, Flags]:
    """For each thing that may stand in the way, which of the points (n, 2) it forbids."""
    import numpy as np
    import shapely

    at = shapely.points(points)
    out: dict[str, Flags] = {}
    for t in tracks:
        bad = shapely.dwithin(t.line, at, room.reach[0] - 2e-3) | shapely.contains(t.inside, at)
        out[GROOVE] = out.get(GROOVE, np.zeros(len(points), dtype=bool)) | bad
    for name, shape, clearance in room.obstacles:
        need = clearance + room.keep_out - 1e-6
        if isinstance(shape, tuple):
            (x, y), r = shape
            bad = np.hypot(points[:, 0] - x, points[:, 1] - y) < r + need
        else:
            region = shape_region(shape)
            shapely.prepare(region)
            bad = shapely.dwithin(region, at, need)
        out[name] = out.get(name, np.zeros(len(points), dtype=bool)) | bad
    if room.outline is not None:
        plate = paths.polygon(room.outline)
        rim = plate.exterior
        shapely.prepare([plate, rim])
        out[EDGE] = ~shapely.contains(plate, at) | shapely.dwithin(rim, at, room.keep_out + room.edge - 1e-6)
    return out


def free_of(points: Floats, at: Any, tracks: Sequence[Track], room: Room) -> Ints:
    """Numbers of the points (n, 2), `at` for shapely, that nothing forbids: as `blockers`, but of each thing only those
    are asked that are still free and lie in its box."""
    import numpy as np
    import shapely

    left = np.arange(len(points))
    for _, shape, clearance in room.obstacles:
        need = clearance + room.keep_out - 1e-6
        if isinstance(shape, tuple):
            (x, y), r = shape
            left = left[np.hypot(points[left, 0] - x, points[left, 1] - y) >= r + need]
        else:
            left = _without(left, points, at, shape_region(shape), need)
    for t in tracks:
        left = _without(left, points, at, t.line, room.reach[0] - 2e-3)
        near = left[_in_box(t.inside, points[left], 0.0)]
        left = np.setdiff1d(left, near[shapely.contains(t.inside, at[near])], assume_unique=True)
    if room.outline is not None:
        plate = shape_region(room.outline)
        shapely.prepare(plate)
        left = left[shapely.contains(plate, at[left])]
        left = left[~shapely.dwithin(_prepared(plate.exterior), at[left], room.keep_out + room.edge - 1e-6)]
    return left


def _without(left: Ints, points: Floats, at: Any, thing: Any, far: float) -> Ints:
    """Those that are not within `far` of a thing."""
    import numpy as np

    near = left[_in_box(thing, points[left], far)]
    return left if len(near) == 0 else np.setdiff1d(left, near[_within(thing, at[near], far)], assume_unique=True)


def _within(thing: Any, at: Any, far: float) -> Flags:
    import numpy as np
    import shapely

    return np.asarray(shapely.dwithin(_prepared(thing), at, far))


def _prepared(thing: Any) -> Any:
    import shapely

    shapely.prepare(thing)
    return thing


def _in_box(thing: Any, points: Floats, far: float) -> Flags:
    """Which points lie in the box round a thing, `far` mm wider."""
    import numpy as np

    x0, y0, x1, y1 = thing.bounds
    x, y, r = points[:, 0], points[:, 1], far + 1e-6
    return np.asarray((x >= x0 - r) & (x <= x1 + r) & (y >= y0 - r) & (y <= y1 + r))


def offsets(reach: tuple[float, float]) -> list[float]:
    """Distances from the middle line to try, the nearest first, mm."""
    n = max(1, math.ceil((reach[1] - reach[0]) / STEP - 1e-9))
    return [reach[0] + (reach[1] - reach[0]) * k / n for k in range(n + 1)] if reach[1] > reach[0] else [reach[0]]


def grid(t: Track, reach: tuple[float, float]) -> Floats:
    """Places beside a groove: (samples, offsets, 2) mm."""
    import numpy as np

    k = np.array(offsets(reach))
    return np.asarray(t.points[:, None, :] + k[None, :, None] * t.outward[:, None, :])


@dataclass(frozen=True, slots=True)
class Candidates:
    """Places for screws, (n, 2) mm, and for each ring its nodes: distance along the ring, and which candidate it is."""

    at: Floats
    s: list[Floats]  # per ring, rising
    who: list[NDArray[np.int64]]  # per ring
    rings: Floats  # how many stations on all rings each candidate has


def candidates(tracks: Sequence[Track], room: Room, given: Sequence[Point2]) -> Candidates:
    """The given screws first, then for each millimetre of each ring the free place that serves most grooves, of those
    the nearest."""
    import numpy as np
    import shapely

    kept = [np.array(given, dtype=np.float64).reshape(-1, 2)]
    for t in tracks:
        g = grid(t, room.reach)
        flat = g.reshape(-1, 2)
        at = shapely.points(flat)
        free = free_of(flat, at, tracks, room)
        score = np.full(len(flat), -1.0)
        score[free] = _serves(flat[free], at[free], tracks, room.reach[1]) - 0.01 * (free % g.shape[1])
        best = score.reshape(g.shape[:2]).argmax(axis=1)
        rows = np.unique(free // g.shape[1])
        kept.append(g[rows, best[rows]])
    at = np.concatenate(kept)
    nodes = [stations(at, t, room.reach[1]) for t in tracks]
    count = np.zeros(len(at))
    for _, who in nodes:
        np.add.at(count, who, 1)
    return Candidates(at, [s for s, _ in nodes], [w for _, w in nodes], count)


def _serves(points: Floats, at: Any, tracks: Sequence[Track], far: float) -> Floats:
    """How many of the grooves each point can hold down."""
    import numpy as np

    out = np.zeros(len(points))
    for t in tracks:
        near = np.nonzero(_in_box(t.line, points, far))[0]
        out[near] += _within(t.line, at[near], far + 1e-6)
    return out


def stations(at: Floats, t: Track, far: float) -> tuple[Floats, NDArray[np.int64]]:
    """Where the points press on a ring: each place that is nearest to the point among its neighbours, `far` mm off at
    most. Distance along the ring, rising, and index of the point."""
    import numpy as np
    import shapely

    near = np.nonzero(_in_box(t.line, at, far + 1e-3))[0]
    near = near[_within(t.line, shapely.points(at[near]), far + 1e-3)]
    x, y = at[near].T
    square = (x[:, None] - t.points[:, 0]) ** 2 + (y[:, None] - t.points[:, 1]) ** 2
    i, k = np.nonzero(square <= (far + 0.1 + 1e-6) ** 2)
    before, here, after = (_apart(at[near[i]], t.points[(k + step) % len(t.s)]) for step in (-1, 0, 1))
    best = (here <= before) & (here < after) & (here <= far + 0.1)
    i, k, a, b, c = i[best], k[best], before[best] ** 2, here[best] ** 2, after[best] ** 2
    bend = np.maximum(a - 2 * b + c, 1e-12)
    h = t.length / len(t.s)
    s = (t.s[k] + h * np.clip((a - c) / (2 * bend), -0.5, 0.5)) % t.length
    order = np.argsort(s, kind="stable")
    return s[order], near[i][order]


def _apart(a: Floats, b: Floats) -> Floats:
    import numpy as np

    return np.asarray(np.hypot(a[:, 0] - b[:, 0], a[:, 1] - b[:, 1]))
