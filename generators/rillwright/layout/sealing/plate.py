"""The grooves of a whole face: one or more round each loop, apart from one another. Lengths mm."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from .. import paths
from ..features import Outline
from ..pockets import Pocket
from .obstacles import Obstacle, distance_between, shape_region
from .ring import InTheWay, Lands, Ring, Wet, ring


@dataclass(slots=True)
class _Group:
    """Wet areas of one loop that go into one ring."""

    loop: str
    wet: list[Wet]
    ring: Ring | None = None

    @property
    def name(self) -> str:
        return f"the groove of loop {self.loop!r}"


def rings(
    wets: Mapping[str, Sequence[Wet]], outline: Outline, lands: Lands, obstacles: Sequence[Obstacle] = (),
    hollows: float | None = None, joined: bool = False,
) -> dict[str, list[Ring]]:  # fmt: skip
    """Grooves by loop. Areas of one loop that lie too near for a groove each, or all of them when `joined`, go into one.

    First the least line of each is laid, which proves where two loops are too near; then each takes wider hollows as
    far as the others leave room. Raises InTheWay.
    """
    groups = [g for loop, wet in wets.items() for g in _groups(loop, wet, lands, joined)]
    for g in groups:
        g.ring = _laid(g, outline, lands, [*obstacles, *_strangers(g, groups, lands)], lands.corner)
    groups = _merged(groups, outline, lands, obstacles)
    for g in groups:
        if (other := _near(g, groups, lands)) is not None:
            raise _too_near(g, other, lands)
    if (hollows or 6 * lands.cord) > lands.corner:
        for g in groups:
            others = [(o.name, o.ring.path, lands.width / 2 + lands.land_outer) for o in groups if o is not g and o.ring]
            g.ring = _laid(g, outline, lands, [*obstacles, *others], hollows)
    return {loop: [g.ring for g in groups if g.loop == loop and g.ring is not None] for loop in wets}


def _laid(g: _Group, outline: Outline, lands: Lands, obstacles: Sequence[Obstacle], hollows: float | None) -> Ring:
    return ring(g.wet, outline, lands.cord, lands.width, lands.land_inner, lands.land_outer, lands.corner, obstacles,
                hollows)  # fmt: skip


def _groups(loop: str, wet: Sequence[Wet], lands: Lands, joined: bool) -> list[_Group]:
    """Wet areas nearer than two grooves with their lands belong together."""
    import shapely

    if joined or len(wet) < 2:
        return [_Group(loop, list(wet))] if wet else []
    half = lands.land_inner + lands.width + lands.land_outer / 2
    grown = shapely.union_all([shape_region(w).buffer(half) for w in wet])
    islands = list(getattr(grown, "geoms", [grown]))
    return [_Group(loop, [w for w in wet if shape_region(w).intersects(i)]) for i in islands]


def _merged(groups: list[_Group], outline: Outline, lands: Lands, obstacles: Sequence[Obstacle]) -> list[_Group]:
    """Groups of one loop whose rings would still run into each other, made one."""
    while True:
        pair = next(((g, o) for g in groups if (o := _near(g, groups, lands, own=True)) is not None), None)
        if pair is None:
            return groups
        one = _Group(pair[0].loop, [*pair[0].wet, *pair[1].wet])
        groups = [g for g in groups if g is not pair[0] and g is not pair[1]] + [one]
        one.ring = _laid(one, outline, lands, [*obstacles, *_strangers(one, groups, lands)], lands.corner)


def _strangers(g: _Group, groups: Sequence[_Group], lands: Lands) -> list[Obstacle]:
    """What other loops wet, with room for their own grooves between."""
    apart = lands.land_outer + lands.width + lands.land_inner
    return [(_named(w, o.loop), w, apart) for o in groups if o.loop != g.loop for w in o.wet]


def _named(w: Wet, loop: str) -> str:
    return w.name if isinstance(w, Pocket) else f"a port of loop {loop}"


def _line(g: _Group) -> Any:
    assert g.ring is not None
    return paths.polygon(g.ring.path)


def _near(g: _Group, groups: Sequence[_Group], lands: Lands, own: bool = False) -> _Group | None:
    """A group whose ring comes too near to this one's, or lies in it; with `own` among those of the same loop."""
    apart = lands.width + lands.land_outer - 1e-3
    for o in groups:
        if o is not g and (not own or o.loop == g.loop) and _line(g).distance(_line(o)) < apart:
            return o
    return None


def _too_near(g: _Group, o: _Group, lands: Lands) -> InTheWay:
    import shapely

    wets = [shapely.union_all([shape_region(w) for w in x.wet]) for x in (g, o)]
    room, at, _ = distance_between(*wets)
    wanted = 2 * lands.land_inner + 2 * lands.width + lands.land_outer
    what = (f"the grooves of loops {g.loop!r} and {o.loop!r} do not fit between their channels at x {at[0]:.1f}, "
            f"y {at[1]:.1f}: {room:.2f} mm there, {wanted:g} needed with corners of {lands.corner:g} mm")  # fmt: skip
    return InTheWay(o.name, at, room, wanted, what, "move the loops apart, or take a thinner cord")
