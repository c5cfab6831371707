"""Ports, drillings and plugs of one plate."""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from ..spec.plate import Drilling, Plate, Port
from ..standards import threads
from . import geometry, profiles
from .features import Feature, Outline, Vec3
from .outline import Edge, Impossible, Loc, edges, encloses

SPOTFACE = 1.0  # mm where the standard allows it; common practice, no source
SQUARE = 1e-3  # tangent of the angle up to which a plug's spotface counts as square to its face
RUN_BACK = 1.0  # how far a drilling that goes on from a port starts inside the port's bore, mm


class Faces:
    """Where a place on a named face or edge of one plate is, and which way is into the material."""

    def __init__(self, plate: Plate, outline: Outline) -> None:
        self.thickness = plate.stock.thickness
        self.outline = outline
        self.edges: dict[str, Edge] = edges(plate.outline, outline)

    def place(self, face: str, at: tuple[float, float], loc: Loc) -> tuple[Vec3, Vec3]:
        """Origin and inward axis (mm, unit); raises Impossible for an edge the plate has not or a place off it."""
        if face in ("seal", "outer") and not encloses(self.outline, at):
            raise Impossible(loc, f"x {at[0]:g}, y {at[1]:g} lies off the plate", "move it, or make the plate larger")
        if face == "seal":
            return (at[0], at[1], 0.0), (0.0, 0.0, -1.0)
        if face == "outer":
            return (at[0], at[1], -self.thickness), (0.0, 0.0, 1.0)
        edge = self.edges.get(face)
        if edge is None:
            raise Impossible(loc, f"this plate has no straight edge {face!r}", f"give {self.names()}")
        p, z = edge.place(at[0]), at[1]
        if not -self.thickness < z < 0:
            raise Impossible(
                loc, f"z = {z:g} lies outside the plate", "z is measured from the seal face out of the material: "
                f"give a value between {-self.thickness:g} and 0",
            )  # fmt: skip
        if not edge.holds(p):
            raise Impossible(
                loc, f"{at[0]:g} lies off the straight part of edge {face!r}",
                f"the edge runs from ({edge.start[0]:g}, {edge.start[1]:g}) to ({edge.end[0]:g}, {edge.end[1]:g})",
            )  # fmt: skip
        n = edge.inward
        return (p[0], p[1], z), (n[0], n[1], 0.0)

    def names(self) -> str:
        return ", ".join(["seal", "outer", *self.edges])

    def opposite(self, face: str) -> str:
        return {"seal": "outer", "outer": "seal"}[face]


def full_thread(thread: str, spotface: float, bore: float, lead: float) -> float:
    """Where the full thread ends, mm from the face: as long below the spotface as the standard has it, or as the bore
    lets a tap cut that needs `lead` pitches below it. A bore too short even for one turn is given one, for the rule
    of port threads to tell."""
    pipe = threads.pipe(thread)
    room = bore - lead * pipe.pitch
    return round(min(spotface + threads.port(thread).full_thread, max(room, min(bore, spotface + pipe.pitch))), 2)


def plug_depth(thread: str) -> float:
    """Bore of a plug's hole, mm from the face: spotface, the standard's full thread and the tap's lead, in half mm."""
    hole = threads.port(thread)
    deep = min(SPOTFACE, hole.spotface_depth_max) + hole.full_thread + threads.TAP_LEAD * threads.pipe(thread).pitch
    return math.ceil(2 * deep) / 2


def threaded(
    thread: str, spotface: float | None, depth: float | None, tip: str, through: float | None = None
) -> dict[str, object]:
    """Profile, call-out and facts of a tapped port or plug hole, mm (DIN 3852-2 unless given).

    through: thickness of the plate where the bore goes through it: no tap needs room there.
    """
    hole, pipe = threads.port(thread), threads.pipe(thread)
    face = min(SPOTFACE, hole.spotface_depth_max) if spotface is None else spotface
    bore = hole.hole_depth if depth is None else depth
    steps = [(hole.spotface_diameter / 2, face), (pipe.tap_drill / 2, bore)]
    full = full_thread(thread, face, bore, threads.TAP_LEAD) if through is None else full_thread(thread, face, through, 0.0)
    spot = f", spotface Ø{hole.spotface_diameter:g} × {face:g}" if face else ""
    return {
        "thread": thread,
        "profile": profiles.stepped(steps if face else steps[1:], tip),
        "call_out": f"{thread}, full thread {full:g}, bore Ø{pipe.tap_drill:g} × {bore:g}{spot}",
        "facts": {
            "spotface_radius": hole.spotface_diameter / 2, "spotface_depth": face, "bore_radius": pipe.tap_drill / 2,
            "bore_depth": bore, "full_thread": full,
        },
    }  # fmt: skip


def port_feature(port: Port, faces: Faces, loc: Loc) -> Feature:
    """A port as one stepped hole."""
    origin, axis = faces.place(port.on, port.at, (*loc, "at"))
    if port.bore is not None:
        from .face_seals import plain_port

        return plain_port(port, origin, axis, faces.thickness, loc)
    mouths: tuple[str, ...] = (port.on,)
    depth, tip = port.depth, port.tip
    if depth == "through":
        if port.on not in ("seal", "outer"):
            raise Impossible(
                (*loc, "depth"), "an edge port cannot go through the plate", "give a depth, or leave it out"
            )
        depth, tip, mouths = faces.thickness + profiles.STAND_OUT, "flat", (port.on, faces.opposite(port.on))
    made = threaded(port.thread, port.spotface, depth, tip, faces.thickness if len(mouths) == 2 else None)
    if len(mouths) == 2:
        _end_in_plate(made, port.thread, faces.thickness)
    return Feature(port.name, "port", origin, axis, face=port.on, mouths=mouths, loop=port.loop, **made)  # type: ignore[arg-type]


def _end_in_plate(made: dict[str, Any], thread: str, thickness: float) -> None:
    """Thread and call-out of a port through the plate, whose bore stands out of the other face as a tool only."""
    full = made["facts"]["full_thread"] = min(made["facts"]["full_thread"], thickness)
    bore, spot = f"bore Ø{threads.pipe(thread).tap_drill:g}", made["call_out"].partition(", spotface")
    said = f"{thread} through, {bore}" if full >= thickness else f"{thread}, full thread {full:g}, {bore} through"
    made["call_out"] = f"{said}{spot[1]}{spot[2]}"


class Begin(NamedTuple):
    """Where a drilling starts: its place and the inward normal there, the face, how far in it begins, mm, its mouths."""

    origin: Vec3
    normal: Vec3
    face: str
    start: float
    mouths: tuple[str, ...]


def drilling_features(d: Drilling, known: dict[str, Feature], faces: Faces, loc: Loc) -> list[Feature]:
    """A drilling, and its plug's hole if it has one. `known` holds the features placed before it, by name."""
    port = known.get(d.start)
    origin, normal, face, start, mouths = _begin(d, port, faces, loc)
    axis, length, joins = _aim(d, origin, normal, known, loc)
    slant = _slant(axis, normal)
    _require_square(d, slant, loc)
    plugs = [] if d.plug is None else [_plug(d, d.plug, origin, axis, face)]
    if plugs:
        start, mouths, joins = plugs[0].facts["bore_depth"] - RUN_BACK, (), (*joins, plugs[0].name)
    elif port is None:
        start -= slant * d.diameter / 2  # the whole rim of an oblique tool stands out
    _require_longer(d, length, start, loc)
    through = face in ("seal", "outer") and abs(axis[2]) > 0.999 and length > faces.thickness
    drilling = Feature(
        d.name, "drilling", origin, axis, profiles.stepped([(d.diameter / 2, length)], d.tip, start), face,
        (*mouths, faces.opposite(face)) if through else mouths, loop=d.loop or (port.loop if port else None),
        joins=joins if port is None else (*joins, port.name), call_out=f"Ø{d.diameter:g} × {length:.2f}",
        facts={"length": length, "diameter": d.diameter, "start": max(start, 0.0)},
    )  # fmt: skip
    return [*plugs, drilling]


def _begin(d: Drilling, port: Feature | None, faces: Faces, loc: Loc) -> Begin:
    if port is not None:
        if d.at is not None:
            raise Impossible((*loc, "at"), f"the place is that of port {d.start!r}", "leave at out")
        return Begin(port.origin, port.axis, port.face, port.facts["bore_depth"] - RUN_BACK, ())
    if d.at is None:
        raise Impossible(loc, "a drilling from a face needs its place", "give at")
    return Begin(*faces.place(d.start, d.at, (*loc, "at")), d.start, -profiles.STAND_OUT, (d.start,))


def _require_square(d: Drilling, slant: float, loc: Loc) -> None:
    if d.plug is not None and slant > SQUARE:
        raise Impossible(
            (*loc, "plug"), "a plug seals on a spotface square to the face, and this drilling enters it at an angle",
            "end it straight opposite its start, or start it without a plug from where its coolant comes",
        )  # fmt: skip


def _require_longer(d: Drilling, length: float, start: float, loc: Loc) -> None:
    if length <= start:
        raise Impossible(
            (*loc, "depth" if d.depth is not None else "to"),
            f"it would end {length:g} mm deep, inside the threaded bore it starts from ({start + RUN_BACK:g} mm)",
            "let it go deeper, or leave it out",
        )


def _slant(axis: Vec3, normal: Vec3) -> float:
    """Tangent of the angle between an axis and the inward normal of the face it enters."""
    along = geometry.dot(axis, normal)
    return geometry.length(geometry.add(axis, normal, -along)) / along


def _plug(d: Drilling, plug: str, origin: Vec3, axis: Vec3, face: str) -> Feature:
    made = threaded(plug, None, plug_depth(plug), "flat")
    return Feature(
        f"{d.name}.plug", "plug", origin, axis, face=face, mouths=(face,), loop=d.loop, joins=(d.name,), **made  # type: ignore[arg-type]
    )


def _aim(
    d: Drilling, origin: Vec3, axis: Vec3, known: dict[str, Feature], loc: Loc
) -> tuple[Vec3, float, tuple[str, ...]]:
    """Axis, length of the full diameter (mm) and what it joins."""
    if d.depth is not None:
        return axis, d.depth, ()
    if isinstance(d.to, str):
        target = known[d.to]
        seg = (target.origin, target.at(target.depth))
        s, miss = geometry.axis_parameter(origin, axis, seg)
        if abs(geometry.dot(axis, target.axis)) > 0.9999995:  # in one line: it ends where the other begins to be bored
            bottom = target.at(target.facts.get("bore_depth", target.facts.get("length", target.depth)))
            s = geometry.dot(geometry.sub(bottom, origin), axis) + RUN_BACK
        reach = target.facts.get("bore_radius", target.radius)  # a spotface is no passage
        if s <= 0 or miss > reach + d.diameter / 2:
            raise Impossible(
                (*loc, "to"), f"its axis passes {d.to!r} at {miss:.2f} mm and never meets it",
                f"move it, so that the axes cross (nearest {s:.1f} mm from the face)",
            )  # fmt: skip
        return axis, s, (d.to,)
    assert d.to is not None
    way = geometry.sub(d.to, origin)
    if geometry.length(way) < 1e-6 or geometry.dot(way, axis) <= 0:
        what = "the end does not lie inside the plate from where it starts"
        raise Impossible((*loc, "to"), what, "give a point further in")
    towards = geometry.unit(way)
    if geometry.dot(towards, axis) < 0.9999995 and d.start in known:
        raise Impossible((*loc, "to"), f"it would leave the axis of port {d.start!r}", "end it on the port's axis")
    return towards, geometry.length(way), ()
