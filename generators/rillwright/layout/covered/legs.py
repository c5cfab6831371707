"""What the router answered, as pockets and bores of the body. Lengths in mm, frame of the body."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from ...spec.covered import Channel
from .. import paths
from ..features import Feature, Line
from ..pockets import Path, Pocket, Stroke
from ..profiles import STAND_OUT, stepped
from ..routing.problem import RoutedLeg, Routing, Via
from .channels import Netted
from .decks import LEVELS
from .ends import INTO


def cut(
    routing: Routing, mates: Mapping[str, tuple[str, ...]], nets: Sequence[Netted], thickness: float
) -> tuple[list[Pocket], list[Feature]]:
    """The legs of every channel as pockets, and its passages between the faces as bores.

    mates: for each channel those of its loop that it runs into.
    """
    count = {n: len(legs) for n, legs in routing.paths.items()}
    pockets: list[Pocket] = []
    features: list[Feature] = []
    for n in nets:
        c = n.channel
        mine, legs = _centred(n, [v for v in routing.vias if v.net == c.name], routing.paths[c.name])
        names = _names(c.name, len(legs))
        vias = [_via(v, c, i, thickness, _levels_at(v, legs))
                for i, v in enumerate(mine, 1)]  # fmt: skip
        features += vias
        meets = (*(e.meets for e in n.ends if e.meets), *(v.name for v in vias))
        meets += tuple(o for m in mates.get(c.name, ()) for o in _names(m, count[m]))
        for name, leg in zip(names, legs, strict=True):
            pockets.append(_pocket(name, c, leg, (*(o for o in names if o != name), *meets)))
    return pockets, features


def _names(channel: str, legs: int) -> list[str]:
    return [channel] if legs == 1 else [f"{channel}.{i}" for i in range(1, legs + 1)]


def _pocket(name: str, c: Channel, leg: RoutedLeg, joins: tuple[str, ...]) -> Pocket:
    face = LEVELS[leg.level]
    r = f", R{c.floor_radius:g} at the floor" if c.floor_radius else ""
    long = paths.length(leg.path)
    return Pocket(
        name, "channel", face, Stroke(leg.path, c.width), c.depth, (face,), c.loop, c.floor_radius, 0.1,
        f"channel {c.width:g} wide × {c.depth:g} deep{r}, {long:.1f} along its middle", joins,
        {"width": c.width, "depth": c.depth, "length": long},
    )  # fmt: skip


def _centred(n: Netted, vias: Sequence[Via], legs: Sequence[RoutedLeg]) -> tuple[list[Via], list[RoutedLeg]]:
    """Passages at an end of the channel put into its middle, and the legs that come to them led on to there."""
    moved, out = [], list(legs)
    for v in vias:
        end = next((e.terminal for e in n.ends if 1e-6 < math.dist(e.terminal.at, v.at) <= e.terminal.radius), None)
        if end is not None:
            out = [replace(leg, path=_led_on(leg.path, v.at, end.at)) for leg in out]
            v = replace(v, at=end.at)
        moved.append(v)
    return moved, out


def _led_on(path: Path, place: tuple[float, float], to: tuple[float, float]) -> Path:
    """A path that begins or ends at a place, from or to another."""
    if math.dist(path.pieces[-1].end, place) < 1e-6:
        return Path(path.start, (*path.pieces, Line(to)))
    if math.dist(path.start, place) < 1e-6:
        return Path(to, (Line(path.start), *path.pieces))
    return path


def _levels_at(v: Via, legs: Sequence[RoutedLeg]) -> set[int]:
    """Faces in which a channel lies at a passage; in the other it opens under a port of the cover."""
    return {leg.level for leg in legs if paths.distance(leg.path, v.at) < 1e-3}


def _via(v: Via, c: Channel, number: int, thickness: float, levels: set[int]) -> Feature:
    start, end, z, axis, face = c.depth - INTO, thickness - c.depth + INTO, 0.0, -1.0, "seal"
    mouths: tuple[str, ...] = ()
    if levels != {0, 1}:
        start, mouths = -STAND_OUT, ("outer",) if 0 in levels else ("seal",)
        z, axis, face = (-thickness, 1.0, "outer") if 0 in levels else (0.0, -1.0, "seal")
    words = "from the face to the channel" if mouths else "through to the channels of both faces"
    return Feature(
        f"{c.name}.passage-{number}", "drilling", (*v.at, z), (0.0, 0.0, axis),
        stepped([(v.diameter / 2, end)], "flat", start), face, mouths, loop=c.loop,
        call_out=f"Ø{v.diameter:g} {words}",
        facts={"length": end, "diameter": v.diameter, "start": max(start, 0.0)},
    )  # fmt: skip
