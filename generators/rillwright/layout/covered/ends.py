"""Where channels begin and end: ports through covers, ports of the body with the drilling into the channel, passages.

Lengths in mm, frame of the plate that each feature is cut from.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ...spec.covered import Channel, Passage
from ...spec.plate import Plate, Port
from ...standards import threads
from .. import profiles
from ..features import Feature, Outline
from ..outline import Impossible, Loc
from ..passages import RUN_BACK, Faces, port_feature
from ..routing.problem import Terminal
from .decks import LEVELS, SURFACE, Deck, deck_of

INTO = 1.0  # mm that a drilling goes into a channel; our choice
WEB = 2.0  # mm between a port's bore and the floor of the channel behind it, where the sheet has room; our choice
NARROWER = 1.0  # mm that a drilling into a channel is narrower than its flat floor; our choice
CLEAR = 0.2  # mm that a drill's point stays below the face of the channel it breaks into; our choice
LEAST_THREAD = 0.5  # of the standard's full thread that a port into a channel must keep; our choice, no source


@dataclass(frozen=True, slots=True)
class End:
    """One end of a channel: where it is in plan, and what is cut for it."""

    terminal: Terminal
    features: tuple[Feature, ...] = ()  # in the body, besides those that were placed before
    meets: str = ""  # the feature of the body that the channel runs into


@dataclass(frozen=True, slots=True)
class Beside:
    """What a drilling from an edge to a channel has to leave, mm."""

    bore: float  # between the port's bore and the channel's end: the groove
    edge: float  # between the plate's edge and the channel's end: groove and screw
    above: float  # between the drilling and the face: the groove's depth and the wall under it


def as_body_port(port: Port, plate: Plate) -> Port:
    """A port of the body. One on the face behind a channel that it joins has a bore only as deep as leaves a web there."""
    channel = next((c for c in plate.channels if port.name in c.joins), None)
    if port.depth is not None or channel is None or port.on not in ("seal", "outer"):
        return port
    room = plate.stock.thickness - channel.depth
    if port.bore is not None:
        radius, most, wanted = port.bore / 2, port.bore, port.bore / 2
    else:
        standard = threads.port(port.thread)
        radius, most, wanted = threads.pipe(port.thread).tap_drill / 2, standard.hole_depth, standard.full_thread
    drilled = _drilled_to(channel, room, radius)
    if port.tip == "drill" and drilled >= wanted:
        return port.model_copy(update={"depth": min(most, drilled)})
    return port.model_copy(update={"depth": min(most, max(room - WEB, 0.5)), "tip": "flat"})


def _drilled_to(channel: Channel, room: float, radius: float) -> float:
    """How deep a bore may be whose drill leaves a cone: from the cone, where the narrower drilling goes on from it, a web
    stays to the channel's floor; 0 where the drill's point would come out of the channel's face."""
    flank = math.tan(math.radians(profiles.TIP_ANGLE / 2))
    beside = radius - drop_into(channel, radius) / 2
    short = WEB + max(0.0, beside) / flank
    if radius / flank - short > channel.depth - CLEAR:
        return 0.0
    return math.floor(10 * (room - short) + 1e-9) / 10


def check_ports(plate: Plate, found: list[Deck], loc: Loc) -> list[Impossible]:
    """Ports that stand on a face under a cover, or on a cover that is not there."""
    out = []
    for i, p in enumerate(plate.ports):
        here = (*loc, "ports", i, "on")
        if p.on in ("seal", "outer") and deck_of(found, p.on) is not None:
            out.append(Impossible(here, f"the {p.on} face lies under a cover", f"write on: {SURFACE[p.on]}"))
        for face in LEVELS:
            if p.on == SURFACE[face] and deck_of(found, face) is None:
                out.append(Impossible(here, f"there is no cover on the {face} face", f"add covers.{face}, or name a face"))
    return out


def cover_ports(plate: Plate, deck: Deck, shape: Outline, loc: Loc) -> dict[str, Feature]:
    """Ports through one cover, in the cover's own frame. Raises Impossible."""
    spec = plate.model_copy(update={"stock": deck.cover.stock})
    faces = Faces(spec, shape)
    out = {}
    for i, p in enumerate(plate.ports):
        if p.on == SURFACE[deck.face]:
            as_outer = p.model_copy(update={"on": "outer", "depth": "through"})
            out[p.name] = port_feature(as_outer, faces, (*loc, "ports", i))
    return out


def passage_feature(p: Passage, floors: tuple[float, float], thickness: float) -> Feature:
    """A bore from the channel in the seal face to that in the outer face; `floors` are their depths."""
    start, end = floors[0] - INTO, thickness - floors[1] + INTO
    body = profiles.stepped([(p.diameter / 2, end)], "flat", start)
    return Feature(
        p.name, "drilling", (*p.at, 0.0), (0.0, 0.0, -1.0), body, "seal", (), loop=p.loop,
        call_out=f"Ø{p.diameter:g} through to the channels of both faces",
        facts={"length": end, "diameter": p.diameter, "start": start},
    )  # fmt: skip


def end_at(feature: Feature, channel: Channel, faces: Faces, beside: Beside, loc: Loc) -> End:
    """The end of a channel at a feature of the body.

    Raises Impossible where the two cannot meet.
    """
    if feature.role == "drilling":
        return _at_drilling(feature)
    level = abs(feature.axis[2]) < 1e-9
    return (_run(feature, channel, faces.thickness, beside, loc) if level
            else _drop(feature, channel, faces.thickness, loc))  # fmt: skip


def _at_drilling(d: Feature) -> End:
    upright = abs(d.axis[2]) > 1 - 1e-9
    at = d.origin[:2] if upright else d.at(d.facts["length"])[:2]
    level = None if upright and not d.mouths else 0
    return End(Terminal(d.name, (at[0], at[1]), d.facts["diameter"] / 2, level), (), d.name)


def bore_into(channel: Channel) -> float:
    """Diameter of a drilling into a channel's floor: narrower than its flat, in half millimetres."""
    flat = channel.width - max(NARROWER, 2 * channel.floor_radius)
    return max(1.0, math.floor(2 * flat) / 2)


def drop_into(channel: Channel, radius: float) -> float:
    """Diameter of the drilling that goes on into a channel from a bore of this radius."""
    return min(bore_into(channel), 2 * radius - 1)


def _drop(port: Feature, channel: Channel, thickness: float, loc: Loc) -> End:
    """A port on the far face: from its bore a drilling goes on through the channel's floor."""
    floor = thickness - channel.depth  # from the port's face
    full = threads.port(port.thread).full_thread if port.thread else 0.0
    if port.facts["full_thread"] < LEAST_THREAD * full:
        raise Impossible(
            loc, f"only {max(floor, 0):.1f} mm stand behind channel {channel.name!r}, too little for the thread of "
            f"{port.name!r}", "take a thicker body, a shallower channel, or put the port on the cover",
        )  # fmt: skip
    d = drop_into(channel, port.facts["bore_radius"])
    start, end = port.facts["bore_depth"] - RUN_BACK, floor + min(INTO, channel.depth / 2)
    made = _goes_on(port, "drop", d, start, end, 2 * port.facts["bore_radius"] - 1)
    radius = port.facts["bore_radius"]
    return End(Terminal(port.name, (port.origin[0], port.origin[1]), radius, _other(port.face)), (made,), made.name)


def _other(face: str) -> int:
    """Level of the face opposite to a port's."""
    return 0 if face == "outer" else 1


def _run(port: Feature, channel: Channel, thickness: float, beside: Beside, loc: Loc) -> End:
    """A port in an edge: a drilling goes on straight to where the channel ends, far enough in for groove and screw."""
    outer = channel.face == "outer"
    z = thickness + port.origin[2] if outer else -port.origin[2]  # below the channel's face
    widest = min(2 * port.facts["bore_radius"] - 1, max(1.0, math.floor(4 * (z - beside.above)) / 2))
    d = min(bore_into(channel), widest)
    overlap = min(channel.depth, z + d / 2) - (z - d / 2)
    if overlap < d / 2:
        raise Impossible(
            (*loc, "at"), f"{port.name!r} lies {z:g} mm deep, and its drilling of {d:g} mm passes under channel "
            f"{channel.name!r}, which is {channel.depth:g} mm deep", _nearer(port, channel, z),
        )  # fmt: skip
    cone = max(0.0, port.facts["bore_radius"] - d / 2) / math.tan(math.radians(profiles.TIP_ANGLE / 2))
    end = max(port.facts["bore_depth"] + max(beside.bore, cone + WEB), beside.edge) + channel.width / 2
    made = _goes_on(port, "run", d, port.facts["bore_depth"] - RUN_BACK, end, widest)
    x, y, _ = port.at(end)
    return End(Terminal(port.name, (x, y), d / 2, int(outer)), (made,), made.name)


def _nearer(port: Feature, channel: Channel, z: float) -> str:
    """What brings a port in an edge and its channel together: the port itself needs its radius below the face."""
    deeper = f"make the channel {z:g} mm deep"
    if channel.depth > port.radius:
        return f"bring it within {channel.depth:g} mm of that face, or {deeper}"
    return f"{deeper}, or take a smaller thread and bring it within {channel.depth:g} mm of that face"


def _goes_on(port: Feature, what: str, d: float, start: float, end: float, widest: float) -> Feature:
    """A drilling from the end of a port's bore. The cone under it lies in the channel, where nothing is left to cut."""
    return Feature(
        f"{port.name}.{what}", "drilling", port.origin, port.axis, profiles.stepped([(d / 2, end)], "flat", start),
        port.face, (), loop=port.loop, joins=(port.name,), call_out=f"Ø{d:g} × {end:.2f}",
        facts={"length": end, "diameter": d, "start": max(start, 0.0), "widest": widest},
    )  # fmt: skip
