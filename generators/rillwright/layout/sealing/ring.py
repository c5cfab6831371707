"""A closed groove round what one loop wets: lands kept, plan corners never tighter than asked, lines and true arcs only.

The least line is taken: what is wet grows by its land and half the groove, its hollows are filled until an arc of the
inside radius fits into them. Any other line with these lands and corners lies further out, so what stands in the way of
this one stands in the way of all.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import compress
from typing import Any

from .. import paths
from ..contour import contour
from ..curves import Bone, point_bone
from ..features import Outline
from ..outline import Impossible, Loc
from ..paths import Bow, Straight
from ..pockets import Path, Pocket, Point2, Stroke
from .obstacles import Circle, Obstacle, distance_between, shape_region

Wet = Pocket | Circle


class InTheWay(Impossible):
    """A line or screw has no room: `who` stands in its way at `at`, where `room` of the `wanted` mm is there. `loc`: the
    key below the cover that is at fault, where it is a certain one."""

    def __init__(self, who: str, at: Point2, room: float, wanted: float, what: str, do: str, loc: Loc = ()) -> None:
        super().__init__(loc, what, do)
        self.who, self.at, self.room, self.wanted = who, at, room, wanted


@dataclass(frozen=True, slots=True)
class Ring:
    """The middle line of a closed groove, counter-clockwise, and what it encloses."""

    path: Path
    inside: tuple[str, ...]  # names of the wet pockets
    length: float  # mm, along the middle line
    smallest_radius: float  # mm, of the groove's inner wall in plan: middle line less half the width
    bridges: tuple[tuple[Point2, Point2], ...] = ()  # where wet areas that do not touch are held in one ring


@dataclass(frozen=True, slots=True)
class Lands:
    """What a groove in plan has to keep, mm: cord Ø, width, lands to what is wet and to all else, inside radius."""

    cord: float
    width: float
    land_inner: float
    land_outer: float
    corner: float

    @property
    def off(self) -> float:
        """Middle line to what is wet, at least."""
        return self.land_inner + self.width / 2


def ring(
    wet: Sequence[Wet], outline: Outline, cord: float, groove_width: float, land_inner: float, land_outer: float,
    corner: float, obstacles: Sequence[Obstacle] = (), hollows: float | None = None,
) -> Ring:  # fmt: skip
    """The groove round the wet areas of one loop: `wet` are pockets and circles ((x, y), radius), all lengths in mm.

    `corner` is the least inside radius of the groove in plan (its nearer wall), `hollows` the radius that is preferred
    where the line turns outwards and there is room, 6 cord diameters by default. Obstacles keep their clearance to the
    groove's wall, and may not be enclosed. Raises InTheWay.
    """
    lands = Lands(cord, groove_width, land_inner, land_outer, corner)
    bones, region, bridges = _grown(wet, lands, obstacles)
    last: Impossible | None = None
    for inside in _radii(corner, 6 * cord if hollows is None else hollows, cord):
        try:
            line = _line(bones, region, inside + groove_width / 2)
        except Impossible as e:  # parts that all but touch a corner: another radius moves it
            last = last or e
            continue
        trouble = _trouble(line, wet, outline, lands, obstacles)
        if trouble is None:
            return Ring(line, tuple(w.name for w in wet if isinstance(w, Pocket)), paths.length(line),
                        paths.smallest_radius(line) - groove_width / 2, bridges)  # fmt: skip
        last = trouble
        if inside <= corner:
            break
    assert last is not None
    raise last


def around_plate(outline: Outline, inset: float, groove_width: float = 0.0, corner: float = 0.0) -> Ring:
    """A groove all round a plate, its middle line `inset` mm from the edge, its inside radius `corner` at least, mm."""
    radius = (corner + groove_width / 2) if corner else 0.0
    bones = [Bone(p, 0.0) for p in paths.pieces(outline)]
    region = paths.polygon(outline).buffer(-(inset + radius), quad_segs=64)
    if region.is_empty or region.geom_type != "Polygon":
        at, room = outline.start, 0.0
        raise InTheWay("the plate's edge", at, room, inset + radius,
                       f"a groove {inset:g} mm from the edge with corners of {corner:g} mm does not fit the plate",
                       "bring it nearer to the edge, or take a thinner cord")  # fmt: skip
    line = contour(region, bones, inset + radius, radius, inside=True)
    return Ring(line, (), paths.length(line), paths.smallest_radius(line) - groove_width / 2)


def _radii(least: float, best: float, cord: float) -> Iterator[float]:
    """Inside radii to try, the best first, in steps of a cord's diameter; the least a hair wider too."""
    r = best
    while r > least + 1e-9:
        yield r
        r -= cord
    yield from (least, least + 0.03, least + 0.07)


def wet_bones(wet: Sequence[Wet], off: float, least: float) -> Iterator[Bone]:
    """The bones of what is wet: middle line to line `off`, no round end of the line tighter than `least`, mm."""
    for w in wet:
        if not isinstance(w, Pocket):
            yield point_bone(w[0], max(w[1] + off, least))
        elif isinstance(w.shape, Stroke):
            yield from (Bone(p, max(w.shape.width / 2 + off, least)) for p in paths.pieces(w.shape.path))
        else:
            sharp = min((p.radius for p in paths.pieces(w.shape.outside) if isinstance(p, Bow)), default=0.0)
            round_ = not paths.corners(w.shape.outside)
            yield from (Bone(p, max(off, least - sharp * round_)) for p in paths.pieces(w.shape.outside))


def _grown(
    wet: Sequence[Wet], lands: Lands, obstacles: Sequence[Obstacle]
) -> tuple[list[Bone], Any, tuple[tuple[Point2, Point2], ...]]:
    """Bones of the line, the region that areas fill, and the bridges between wet areas that do not touch."""
    import shapely

    from .bridges import bridges

    least = lands.corner + lands.width / 2
    bones = list(wet_bones(wet, lands.off, least))
    links = bridges([shape_region(w) for w in wet], least + lands.width / 2, obstacles)
    bones += [Bone(Straight(a, b), least) for a, b in links]
    filled = [paths.polygon(w.shape.outside) for w in wet if isinstance(w, Pocket) and not isinstance(w.shape, Stroke)]
    return bones, shapely.union_all(filled), tuple(links)


def _line(bones: Sequence[Bone], filled: Any, radius: float) -> Path:
    import shapely

    parts = [_capsule(b, radius) for b in bones]
    whole = shapely.union_all([filled, *parts])
    if whole.geom_type != "Polygon":
        whole = max(whole.geoms, key=lambda g: g.area)
    return contour(shapely.Polygon(whole.exterior), bones, radius, radius)


def _capsule(b: Bone, more: float) -> Any:
    import shapely

    if b.piece.length < 1e-9:
        return shapely.Point(b.piece.start).buffer(b.reach + more, quad_segs=64)
    return paths.line_string(paths.path([b.piece])).buffer(b.reach + more, quad_segs=64)


def _trouble(
    line: Path, wet: Sequence[Wet], outline: Outline, lands: Lands, obstacles: Sequence[Obstacle]
) -> InTheWay | None:
    """The obstacle that the line runs into furthest, or None."""
    import shapely

    inside = paths.polygon(line)
    shapely.prepare(inside)
    needed = [clearance + lands.width / 2 - 1e-3 for _, _, clearance in obstacles]
    near = shapely.dwithin(inside, [shape_region(shape) for _, shape, _ in obstacles], needed)
    found = [t for o in compress(obstacles, near) if (t := _met(line, inside, wet, lands, o)) is not None]
    if (edge := _edge(line, wet, outline, lands)) is not None:
        found.append(edge)
    return max(found, key=lambda t: t.wanted - t.room, default=None)


def _met(line: Path, inside: Any, wet: Sequence[Wet], lands: Lands, obstacle: Obstacle) -> InTheWay | None:
    import shapely

    name, shape, clearance = obstacle
    within = inside.distance(shape_region(shape))
    short = clearance + lands.width / 2 - within
    if short < 1e-3:
        return None
    wets = shapely.union_all([shape_region(w) for w in wet])
    room, a, _ = distance_between(wets, shape_region(shape))
    wanted = lands.land_inner + lands.width + clearance
    need = f"{lands.land_inner:g} land, {lands.width:g} groove and {clearance:g} to {name}"
    if within == 0 and room >= wanted - 1e-3 and not paths.line_string(line).intersects(shape_region(shape)):
        what = f"the groove would go round {name!r} too, at x {a[0]:.1f}, y {a[1]:.1f}: coolant would reach it"
        return InTheWay(name, a, room, wanted, what, "open the channel's bend beside it wider, or move it away")
    if room >= wanted - 1e-3:
        what = (f"{name!r} stands where a corner of {lands.corner:g} mm inside radius has to pass near "
                f"x {a[0]:.1f}, y {a[1]:.1f}")  # fmt: skip
        return InTheWay(name, a, wanted - short, wanted, what, f"move it {short:.1f} mm away, or take a thinner cord")
    what = (f"the groove has no room beside {name!r} at x {a[0]:.1f}, y {a[1]:.1f}: {room:.2f} mm between it and what "
            f"is wet, {wanted:g} needed ({need})")  # fmt: skip
    return InTheWay(name, a, room, wanted, what, f"move it {wanted - room:.1f} mm away, or take a thinner cord")


@lru_cache(16)
def _inner(outline: Outline, margin: float) -> Any:
    return shape_region(outline).buffer(-margin, quad_segs=64)


def _edge(line: Path, wet: Sequence[Wet], outline: Outline, lands: Lands) -> InTheWay | None:
    import shapely

    plate = shape_region(outline)
    inner = _inner(outline, lands.land_outer + lands.width / 2 - 1e-3)
    track = paths.line_string(line)
    if inner.covers(track):
        return None
    wets = shapely.union_all([shape_region(w) for w in wet])
    room, a, _ = distance_between(wets, plate.exterior)
    out = track.difference(inner)
    at: Point2 = tuple(shapely.get_coordinates(out.representative_point())[0].tolist())
    near = plate.exterior.distance(shapely.Point(at)) * (1 if plate.covers(shapely.Point(at)) else -1)
    wanted = lands.land_inner + lands.width + lands.land_outer
    if room >= wanted - 1e-3:
        need = lands.land_outer + lands.width / 2
        what = (f"the groove comes too near to the plate's edge at x {at[0]:.1f}, y {at[1]:.1f}: {near:.2f} mm from its "
                f"middle line, {need:g} needed")  # fmt: skip
        return InTheWay("the plate's edge", at, near, need, what, "make the plate larger, or take a thinner cord")
    what = (f"the groove has no room beside the plate's edge at x {a[0]:.1f}, y {a[1]:.1f}: {room:.2f} mm between it and "
            f"what is wet, {wanted:g} needed ({lands.land_inner:g} land, {lands.width:g} groove, "
            f"{lands.land_outer:g} land)")  # fmt: skip
    return InTheWay("the plate's edge", a, room, wanted, what,
                    f"move the channel {wanted - room:.1f} mm inwards, or make the plate larger")  # fmt: skip
