"""Bought and cut parts in the assembly frame: tubes, struts, cords, screws, plugs. Lengths in mm."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ..standards import threads
from .features import Feature, Hardware, PlateLayout, Profile, Vec3
from .stack import TubeStack

if TYPE_CHECKING:
    from ..spec.reservoir import Reservoir


def in_assembly(plate: PlateLayout, p: Vec3) -> Vec3:
    """A point of the plate's frame in the assembly."""
    return (p[0], p[1], plate.height + plate.side * p[2])


def _axis(plate: PlateLayout, a: Vec3) -> Vec3:
    return (a[0], a[1], plate.side * a[2])


def rod(radius: float, long: float, bore: float = 0.0) -> Profile:
    """Cylinder, or tube with a bore, along the axis."""
    return ((bore, 0.0), (radius, 0.0), (radius, long), (bore, long))


def cord_section(middle: float, d: float, gap: float) -> Profile:
    """A cord of diameter d (mm) as it lies in a ring of radius `middle`, on a floor at 0.

    Its area kept, flattened to the gap; round, and loose on one side, where the gap is not smaller than the cord.
    """
    high = min(max(gap, 0.2 * d), d)
    if gap >= d:
        turns = [math.tau * i / 24 for i in range(24)]
        return tuple((middle + d / 2 * math.cos(t), d / 2 + d / 2 * math.sin(t)) for t in turns)
    flat = (math.pi * d * d / 4 - math.pi * high * high / 4) / high  # stadium: flat middle and two half rounds
    half = [math.pi * i / 12 - math.pi / 2 for i in range(13)]
    right = [(middle + flat / 2 + high / 2 * math.cos(t), high / 2 + high / 2 * math.sin(t)) for t in half]
    left = [(2 * middle - x, high - z) for x, z in right]
    return (*right, *left)


def reservoir_hardware(r: Reservoir, stack: TubeStack, upper: PlateLayout, lower: PlateLayout) -> list[Hardware]:
    """Tube, struts and cords of one reservoir."""
    x, y = r.at
    up: Vec3 = (0.0, 0.0, 1.0)
    floor = lower.height - stack.channel_depth
    tube = rod(r.tube.outside_diameter / 2, stack.tube_length, r.tube.outside_diameter / 2 - r.tube.wall)
    made = [Hardware(f"{r.name}.tube", "tube", (x, y, floor + stack.gap), up, tube, r.loop, r.tube.material)]
    middle = (r.tube.outside_diameter - r.tube.wall) / 2
    section = cord_section(middle, stack.cord_diameter, stack.gap)
    top = upper.height + stack.channel_depth
    for end, z, axis in (("lower", floor, up), ("upper", top, (0.0, 0.0, -1.0))):
        made.append(Hardware(f"{r.name}.cord-{end}", "cord", (x, y, z), axis, section, r.loop, r.channel.cord.material))
    for plate, end in ((lower, "lower"), (upper, "upper")):
        made += [_strut_cord(r, plate, f, end) for f in plate.features
                 if f.role == "strut-groove" and f.name.startswith(f"{r.name}.")]  # fmt: skip
    for f in lower.features:
        if f.role == "strut-seat" and f.name.startswith(f"{r.name}.strut-"):
            z = lower.height - stack.seat_depth
            hole = threads.metric(r.struts.thread).tap_drill / 2
            made.append(
                Hardware(f.name.removesuffix(".seat"), "strut", (f.origin[0], f.origin[1], z), up,
                         _strut_profile(r, stack, hole), None, r.struts.material)
            )  # fmt: skip
    return made


def _strut_cord(r: Reservoir, plate: PlateLayout, groove: Feature, end: str) -> Hardware:
    """The cord in a strut seat's groove, squeezed to the groove's depth by the strut's end."""
    assert r.struts.seal is not None
    facts = groove.facts
    middle = (facts["inner_radius"] + facts["outer_radius"]) / 2
    section = cord_section(middle, facts["cord_diameter"], facts["groove_depth"])
    floor = in_assembly(plate, (groove.origin[0], groove.origin[1], -facts["depth"]))
    name = f"{groove.name.removesuffix('.groove')}.cord-{end}"
    return Hardware(name, "cord", floor, (0.0, 0.0, plate.side), section, r.loop, r.struts.seal.cord.material)


def _strut_profile(r: Reservoir, stack: TubeStack, hole: float) -> Profile:
    radius, long, deep = r.struts.diameter / 2, stack.strut_length, r.struts.thread_depth
    if 2 * deep >= long - 1:
        return rod(radius, long, hole)
    return ((hole, 0.0), (radius, 0.0), (radius, long), (hole, long), (hole, long - deep), (0.0, long - deep),
            (0.0, deep), (hole, deep))  # fmt: skip


def plate_hardware(plate: PlateLayout) -> list[Hardware]:
    """Screws and plugs that go into one plate."""
    made = []
    for f in plate.features:
        if f.role == "strut-screw":
            made.append(_screw(plate, f))
        elif f.role == "plug":
            made.append(_plug(plate, f))
    return made


def _screw(plate: PlateLayout, f: Feature) -> Hardware:
    thread = f.thread
    d = threads.metric(thread).tap_drill / 2  # drawn at the tapped bore, so that it does not cut into the strut
    head, top = f.facts["mouth_radius"], f.facts["counterbore"] + f.facts["below"]
    long = f.facts["screw_length"]
    profile = ((0.0, top), (head, top), (d, top + head - d), (d, top + long), (0.0, top + long))
    name = f"{plate.name}.{f.name}"
    note = f"{f.head} {thread} × {long:g}"
    return Hardware(name, "screw", in_assembly(plate, f.origin), _axis(plate, f.axis), profile, None, "steel", note)


def _plug(plate: PlateLayout, f: Feature) -> Hardware:
    full = f.facts["full_thread"]
    shape = rod(f.facts["bore_radius"], full - f.facts["spotface_depth"])
    flange = f.facts["spotface_radius"] - 0.5
    profile = ((0.0, -3.0), (flange, -3.0), (flange, f.facts["spotface_depth"]),
               (shape[1][0], f.facts["spotface_depth"]), (shape[1][0], full), (0.0, full))  # fmt: skip
    name = f"{plate.name}.{f.name}"
    at, axis = in_assembly(plate, f.origin), _axis(plate, f.axis)
    return Hardware(name, "plug", at, axis, profile, f.loop, "brass", f.thread)

