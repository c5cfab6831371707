"""Channels whose line the file gives: its points, straight legs and arcs. Lengths in mm, frame of the body."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from ...spec.plate import ArcTo
from .. import paths
from ..features import Outline
from ..outline import Impossible, Loc, arc_centre, encloses
from ..routing.problem import RoutedLeg
from .channels import Netted, net_of
from .crossing import require_uncrossed
from .decks import LEVELS, Deck, faces_of

if TYPE_CHECKING:
    from ..routing.hand import Waypoint

SAME = 1e-6  # mm: two points that are one


def drawn(nets: Sequence[Netted], decks: Sequence[Deck], shape: Outline) -> dict[str, tuple[RoutedLeg, ...]]:
    """Legs of the channels whose line is given, on a plate of this outline. Raises Impossible."""
    from ..routing import given
    from ..routing.hand import NotDrawable

    out: dict[str, tuple[RoutedLeg, ...]] = {}
    for n in nets:
        if n.channel.route == "auto":
            continue
        at = {e.terminal.name: e.terminal.at for e in n.ends}
        points, number = _waypoints(n, at)
        try:
            out[n.channel.name] = given(net_of(n, decks), points, LEVELS.index(faces_of(n.channel)[0]))
        except NotDrawable as e:
            raise Impossible((*n.loc, "route", number[e.number]), e.what, e.do) from e
        missed = [t for t in at if not any(t in leg.ends for leg in out[n.channel.name])]
        if missed:
            what = f"the line of {n.channel.name!r} never comes to {', '.join(missed)}"
            raise Impossible((*n.loc, "route"), what, "lead it over them by name, or join them by a channel of their own")
        _require_on_plate(n, out[n.channel.name], shape)
    if out:
        require_uncrossed(nets, out)
    return out


def _waypoints(n: Netted, at: dict[str, tuple[float, float]]) -> tuple[list[Waypoint], list[int]]:
    """The line as the router draws it, and for each of its points which one of the file it is. Raises Impossible."""
    from ..routing.hand import Waypoint

    radius = n.channel.bend_radius if n.channel.bend_radius is not None else n.channel.width
    points: list[Waypoint] = []
    number: list[int] = []
    assert n.channel.route != "auto"
    for i, w in enumerate(n.channel.route):
        here = (*n.loc, "route", i)
        if isinstance(w, str) and w not in at:
            what = f"{w!r} is nothing that channel {n.channel.name!r} joins"
            raise Impossible(here, what, f"name one of {', '.join(at)}, or give a place [x, y]")
        inner = 0 < i < len(n.channel.route) - 1
        place = at[w] if isinstance(w, str) else w.to if isinstance(w, ArcTo) else w
        through = w.through if isinstance(w, ArcTo) else None
        if points and math.dist(points[-1].at, place) < SAME:
            if isinstance(w, str):
                continue  # the name of what the line has come to already
            raise Impossible(here, f"the point {place[0]:g}, {place[1]:g} comes twice in its line", "leave one of them out")
        if through is not None and points:
            _require_bow(points[-1].at, through, place, here)
        following = n.channel.route[i + 1] if inner else None
        round_ = inner and not isinstance(w, str) and through is None and not isinstance(following, ArcTo)
        points.append(Waypoint(place, radius if round_ else 0.0, through))
        number.append(i)
    return points, number


def _require_bow(a: tuple[float, float], through: tuple[float, float], b: tuple[float, float], loc: Loc) -> None:
    try:
        arc_centre(a, through, b)
    except Impossible as e:
        raise Impossible(loc, e.what, "give a place [x, y] instead of an arc") from e


def _require_on_plate(n: Netted, legs: Sequence[RoutedLeg], shape: Outline) -> None:
    """Raises Impossible for a line whose middle leaves the plate."""
    for leg in legs:
        for _, p, _ in paths.along(leg.path, 1.0):
            if not encloses(shape, p):
                what = f"the line of {n.channel.name!r} leaves the plate at x {p[0]:.1f}, y {p[1]:.1f}"
                raise Impossible((*n.loc, "route"), what, "lead it inside, or make the plate larger")
