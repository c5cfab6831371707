"""What a machine does to make one feature: pockets, bores, threads, and the tool for each. Lengths in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from ..spec.machine import Cutter, Machine
from .features import Cut, Feature, Line, PlateLayout, Vec3
from .geometry import dot, unit
from .pockets import Pocket
from .strokes import narrowest

Kind = Literal["pocket", "spotface", "counterbore", "drill", "countersink", "thread"]
ACCURATE = 0.06  # ± mm: a feature that may be off by less needs accuracy; seats and channel floors ask for 0.05
_NORMALS: dict[str, Vec3] = {
    "seal": (0.0, 0.0, -1.0), "outer": (0.0, 0.0, 1.0), "left": (1.0, 0.0, 0.0), "right": (-1.0, 0.0, 0.0),
    "front": (0.0, 1.0, 0.0), "back": (0.0, -1.0, 0.0),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Operation:
    """One cut. `width` is what a tool has to fit into: a slot's width, or a round pocket's or bore's diameter."""

    feature: str
    kind: Kind
    face: str
    width: float
    depth: float  # from the face, tip of a drill not included
    accurate: bool = False
    tool: float | None = None  # diameter; None: no tool of the list makes it, or any (thread, countersink)
    start: float = 0.0  # depth at which this cut begins
    perpendicular: bool = True  # to the face


def milled(width: float, depth: float, cutters: list[Cutter]) -> Cutter | None:
    """The largest cutter that fits into the width and reaches the depth, None if there is none."""
    fit = [c for c in cutters if c.diameter <= width + 1e-9 and c.reach >= depth - 1e-9]
    return max(fit, key=lambda c: c.diameter, default=None)


def drilled(diameter: float, depth: float, machine: Machine) -> bool:
    """Whether a drill of this diameter is there and long enough."""
    sizes = machine.drills.diameters
    return depth <= machine.drills.reach + 1e-9 and (sizes == "any" or any(abs(d - diameter) < 1e-6 for d in sizes))


def operations(f: Cut, plate: PlateLayout, machine: Machine) -> list[Operation]:
    """Every cut that makes a feature or pocket, each with its tool if the machine's lists have one."""
    if isinstance(f, Pocket):
        return [_tooled(Operation(f.name, "pocket", f.face, narrowest(f.shape), f.depth, f.tolerance <= ACCURATE), machine)]
    return [_tooled(o, machine) for o in _MAKERS.get(f.role, _other)(f, plate)]


def _tooled(o: Operation, machine: Machine) -> Operation:
    if o.kind in ("thread", "countersink"):
        return o
    tool: float | None = None
    if o.kind == "drill" and drilled(o.width, o.depth, machine):
        tool = o.width
    elif o.kind != "drill" or o.perpendicular:  # a bore may be milled where a cutter reaches its floor
        cutter = milled(o.width, o.depth, machine.cutters)
        tool = None if cutter is None else cutter.diameter
    return Operation(o.feature, o.kind, o.face, o.width, o.depth, o.accurate, tool, o.start, o.perpendicular)


def _ring(f: Feature, _plate: PlateLayout) -> list[Operation]:
    width = f.facts["outer_radius"] - f.facts["inner_radius"]
    fine = f.tolerance <= ACCURATE
    made = [Operation(f.name, "pocket", f.face, width, f.facts["depth"], fine)]
    if "step_floor" in f.facts:
        step = f.facts["step_outer_radius"] - f.facts["step_inner_radius"]
        made.append(Operation(f.name, "pocket", f.face, step, f.facts["step_floor"], fine, start=f.facts["depth"]))
    return made


def _groove(f: Feature, _plate: PlateLayout) -> list[Operation]:
    """The groove in a strut's seat: the seat is cut before."""
    facts = f.facts
    width, seat = facts["outer_radius"] - facts["inner_radius"], facts["depth"] - facts["groove_depth"]
    return [Operation(f.name, "pocket", f.face, width, facts["depth"], f.tolerance <= ACCURATE, start=seat)]


def _seat(f: Feature, _plate: PlateLayout) -> list[Operation]:
    return [Operation(f.name, "pocket", f.face, 2 * f.facts["radius"], f.facts["depth"], f.tolerance <= ACCURATE)]


def _port(f: Feature, plate: PlateLayout) -> list[Operation]:
    facts, made = f.facts, []
    bore = min(facts["bore_depth"], plate.thickness) if len(f.mouths) == 2 else facts["bore_depth"]
    if facts["spotface_depth"] > 0:
        made.append(Operation(f.name, "spotface", f.face, 2 * facts["spotface_radius"], facts["spotface_depth"]))
    made.append(Operation(f.name, "drill", f.face, 2 * facts["bore_radius"], bore))
    if f.thread:
        made.append(Operation(f.name, "thread", f.face, 2 * facts["bore_radius"], min(facts["full_thread"], bore)))
    return made


def inward(plate: PlateLayout, face: str) -> Vec3:
    """Unit normal of a face, into the material. Raises KeyError for a face that the plate has not."""
    if face in _NORMALS:
        return _NORMALS[face]
    starts = [plate.outline.start, *(p.end for p in plate.outline.pieces)]
    sides = [(a, p.end) for a, p in zip(starts, plate.outline.pieces, strict=False) if isinstance(p, Line)]
    (ax, ay), (bx, by) = dict(enumerate(sides, 1))[int(face.removeprefix("edge-"))]
    return unit((ay - by, bx - ax, 0.0))


def slope(f: Feature, plate: PlateLayout) -> float:
    """Angle between a feature's axis and the normal of the face it is cut from, degrees."""
    return math.degrees(math.acos(min(1.0, max(-1.0, dot(f.axis, inward(plate, f.face))))))


def _drilling(f: Feature, plate: PlateLayout) -> list[Operation]:
    straight = slope(f, plate) < 0.01
    length, start = f.facts["length"], f.facts["start"]
    return [Operation(f.name, "drill", f.face, f.facts["diameter"], length, start=start, perpendicular=straight)]


def _strut_screw(f: Feature, plate: PlateLayout) -> list[Operation]:
    """The hole is drilled through from the seat, in one clamping with it; only the head is cut from outside."""
    facts, made = f.facts, []
    made.append(Operation(f.name, "drill", "seal", 2 * facts["hole_radius"], plate.thickness))
    if facts["counterbore"] > 0:
        made.append(Operation(f.name, "counterbore", "outer", 2 * facts["mouth_radius"] + 0.5, facts["counterbore"]))
    end = facts["countersink_end"]
    made.append(Operation(f.name, "countersink", "outer", 2 * facts["mouth_radius"], end, start=facts["counterbore"]))
    return made


def _hole(f: Feature, plate: PlateLayout) -> list[Operation]:
    facts, through = f.facts, len(f.mouths) == 2
    plain = through and "mouth_radius" not in facts and not (f.thread and f.role == "mounting")
    face = "seal" if plain and f.face == "outer" else f.face
    deep = plate.thickness if through else max(z for r, z in f.profile if r > 0)
    made = [Operation(f.name, "drill", face, 2 * facts["hole_radius"], deep)]
    if "countersink_end" in facts:
        made.append(Operation(f.name, "countersink", face, 2 * facts["mouth_radius"], facts["countersink_end"]))
    elif "counterbore" in facts:
        made.append(Operation(f.name, "counterbore", face, 2 * facts["mouth_radius"], facts["counterbore"]))
    if f.role == "mounting":
        made.append(Operation(f.name, "thread", face, 2 * facts["hole_radius"], facts.get("full_thread", deep)))
    return made


def _other(f: Feature, _plate: PlateLayout) -> list[Operation]:
    return [Operation(f.name, "pocket", f.face, 2 * f.radius, f.depth, f.tolerance <= ACCURATE)]


_MAKERS = {
    "tube-channel": _ring, "strut-seat": _seat, "strut-screw": _strut_screw, "strut-groove": _groove,
    "port": _port, "plug": _port, "drilling": _drilling, "screw": _hole, "mounting": _hole,
}  # fmt: skip
