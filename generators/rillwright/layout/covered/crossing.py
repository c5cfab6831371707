"""Lines of the file that cross, told before anything is built round them. Lengths in mm, frame of the body."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations
from typing import Any

from .. import paths
from ..outline import Impossible
from ..routing.problem import RoutedLeg
from .channels import Netted


def require_uncrossed(nets: Sequence[Netted], given: Mapping[str, tuple[RoutedLeg, ...]]) -> None:
    """Raises Impossible for a given line that crosses itself, and for channels of two loops that run into each other."""
    lines = {name: [(leg.level, paths.line_string(leg.path)) for leg in legs] for name, legs in given.items()}
    mine = [n for n in nets if n.channel.name in lines]
    for n in mine:
        for _, line in lines[n.channel.name]:
            _require_simple(n, line)
    for one, other in combinations(mine, 2):
        if one.channel.loop != other.channel.loop:
            _require_apart(one, other, lines)


def _require_simple(n: Netted, line: Any) -> None:
    import shapely

    if line.is_simple:
        return
    ends = [c for piece in shapely.get_parts(shapely.node(line)) for c in (piece.coords[0], piece.coords[-1])]
    at = next((c for c in ends if ends.count(c) > 3), None)  # three: it ends on itself, which can be cut
    if at is None:
        return
    raise Impossible(
        (*n.loc, "route"), f"the line of {n.channel.name!r} crosses itself at x {at[0]:.1f}, y {at[1]:.1f}",
        "lead it round, or cut what follows as a channel of its own",
    )  # fmt: skip


def _require_apart(one: Netted, other: Netted, lines: Mapping[str, Sequence[tuple[int, Any]]]) -> None:
    import shapely

    room = (one.channel.width + other.channel.width) / 2
    for level, a in lines[one.channel.name]:
        for its, b in lines[other.channel.name]:
            if level == its and a.distance(b) <= room:
                x, y = shapely.shortest_line(a, b).centroid.coords[0]
                what = (f"{other.channel.name!r} of loop {other.channel.loop} runs into {one.channel.name!r} of loop "
                        f"{one.channel.loop} at x {x:.1f}, y {y:.1f}")  # fmt: skip
                do = "lead one of them round, or in the other face between two passages"
                raise Impossible((*other.loc, "route"), what, do)
