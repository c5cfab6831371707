"""What one reservoir cuts into a plate: tube channel, strut seats, screw holes."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..spec.plate import Plate
from ..spec.reservoir import Reservoir, StrutScrew
from ..standards import materials, screws, threads
from . import profiles
from .features import Feature, Vec3
from .outline import Impossible
from .stack import stepped
from .strut_seal import groove_feature

SEAT_WALL = 6.0  # between strut seat and tube channel where no pitch circle is given; common practice, no source
SEAL_TOLERANCE = 0.05  # depth tolerance of channel floors and seats, mm; our choice, a router holds it


@dataclass(frozen=True, slots=True)
class ScrewChoice:
    """A screw that holds a strut in one plate, mm."""

    thread: str
    head: str
    length: float
    counterbore: float
    grip: float  # from the top of the head to the strut's end
    engagement: float
    wanted: float
    thread_depth: float


def channel_radii(r: Reservoir) -> tuple[float, float]:
    """Inner and outer radius of the tube channel, mm."""
    outside = r.tube.outside_diameter / 2
    return outside - r.tube.wall - r.channel.clearance_inside, outside + r.channel.clearance_outside


def strut_places(r: Reservoir) -> list[tuple[float, float]]:
    """Plan places of the struts, mm."""
    inner, outer = channel_radii(r)
    seat = r.struts.diameter / 2 + r.struts.clearance
    if r.struts.pitch_circle is not None:
        radius = r.struts.pitch_circle / 2
    elif r.struts.place == "outside":
        radius = outer + SEAT_WALL + seat
    else:
        radius = inner - SEAT_WALL - seat
        if radius < 0:
            raise Impossible(
                ("struts", "place"), f"no room for struts of {r.struts.diameter:g} mm inside the tube",
                "stand them outside, or take thinner struts or a wider tube",
            )  # fmt: skip
    start = math.radians(r.struts.start_angle)
    turns = [start + math.tau * i / r.struts.count for i in range(r.struts.count)]
    return [(r.at[0] + radius * math.cos(t), r.at[1] + radius * math.sin(t)) for t in turns]


def strut_screw(r: Reservoir, plate: Plate) -> ScrewChoice:
    """The strut's screw in one plate: chosen from the standard lengths, or the given one with what it reaches."""
    s, spec = r.struts, r.struts.screw
    d = threads.metric(s.thread).diameter
    wanted = threads.engagement_factor(materials.material(s.material).family) * d
    solid = plate.stock.thickness - (r.channel.depth - s.seat_offset) - spec.below_face
    lengths = screws.lengths(spec.head, s.thread)
    length = _given_length(spec, s.thread, lengths)
    bore = 0.0 if spec.counterbore == "auto" else spec.counterbore
    if length is None:
        length = next((x for x in lengths if x >= wanted + solid - bore - 1e-9), lengths[-1])
    if spec.counterbore == "auto":
        bore = max(0.0, math.ceil(2 * (wanted + solid - length) - 1e-9) / 2)
    grip = solid - bore
    return ScrewChoice(s.thread, spec.head, length, bore, grip, length - grip, wanted, s.thread_depth)


def _given_length(spec: StrutScrew, thread: str, lengths: tuple[float, ...]) -> float | None:
    given = spec.length
    if given is None or given in lengths:
        return given
    near = min(lengths, key=lambda x: abs(x - given))
    raise Impossible(
        ("struts", "screw", "length"), f"{spec.head} {thread} is not made {given:g} mm long",
        f"give one of {', '.join(f'{x:g}' for x in lengths)}; the nearest is {near:g}",
    )  # fmt: skip


def reservoir_features(r: Reservoir, plate: Plate) -> list[Feature]:
    """Every feature of one reservoir in one of its plates."""
    inner, outer = channel_radii(r)
    _require_room(r, plate, inner)
    _require_step(r, inner, outer)
    x, y = r.at
    found = [_channel(r, (x, y, 0.0), inner, outer)]
    for i, at in enumerate(strut_places(r), 1):
        found += _strut(r, plate, f"{r.name}.strut-{i}", at)
    return found


def _channel(r: Reservoir, origin: Vec3, inner: float, outer: float) -> Feature:
    """The ring-shaped pocket for the tube's end, with the groove in its floor if the job asks for one."""
    deep, step = r.channel.depth, stepped(r)
    call = f"ring pocket Ø{2 * outer:.2f} / Ø{2 * inner:.2f} × {deep:g}"
    facts = {"inner_radius": inner, "outer_radius": outer, "depth": deep, "wall": r.channel.wall}
    profile = profiles.ring(inner, outer, deep)
    if step is not None:
        floor = deep + step.depth
        profile = profiles.stepped_ring(inner, outer, deep, step.inner, step.outer, floor)
        call += f", in its floor ring groove Ø{2 * step.outer:.2f} / Ø{2 * step.inner:.2f}, floor at {floor:g}"
        facts |= {"step_inner_radius": step.inner, "step_outer_radius": step.outer, "step_floor": floor}
    return Feature(
        f"{r.name}.tube-channel", "tube-channel", origin, (0.0, 0.0, -1.0), profile, "seal", ("seal",), loop=r.loop,
        tolerance=SEAL_TOLERANCE, call_out=call, facts=facts,
    )  # fmt: skip


def _require_step(r: Reservoir, inner: float, outer: float) -> None:
    """Raise Impossible where the groove in the channel's floor leaves no floor beside it."""
    step = stepped(r)
    if step is not None and not (inner < step.inner and step.outer < outer):
        what = f"a groove {step.width:g} mm wide leaves no floor in a channel {outer - inner:g} mm wide"
        do = "take thinner cord, a narrower groove, or leave it out: a plain floor serves then"
        raise Impossible(("channel", "groove"), what, do)


def _require_room(r: Reservoir, plate: Plate, inner: float) -> None:
    """Raise Impossible where a channel leaves no floor or no middle, or a strut would go into its screw's hole."""
    t, s, step = plate.stock.thickness, r.struts, stepped(r)
    floor = r.channel.depth + (step.depth if step else 0.0)
    if floor >= t:
        what = f"a tube channel {floor:g} mm deep goes through a plate of {t:g} mm"
        raise Impossible(("channel", "depth"), what, "give a shallower channel or a thicker sheet")
    if inner <= 0:
        what = f"with {r.channel.clearance_inside:g} mm of clearance a wall of {r.tube.wall:g} mm leaves no middle"
        raise Impossible(("tube", "wall"), what, "give a thinner wall, less clearance_inside or a wider tube")
    hole = screws.clearance_hole(s.thread, s.screw.fit)
    if s.diameter <= hole:
        what = f"a strut of {s.diameter:g} mm has no shoulder on the {hole:g} mm hole of its {s.thread} screw"
        raise Impossible(("struts", "diameter"), what, "take thicker struts or a smaller thread")


def _strut(r: Reservoir, plate: Plate, name: str, at: tuple[float, float]) -> list[Feature]:
    """The seat of one strut, the hole of its screw, and the groove under it if it is sealed."""
    seat_depth = r.channel.depth - r.struts.seat_offset
    choice = strut_screw(r, plate)
    _require_head_room(r, choice, plate.stock.thickness, seat_depth)
    groove = groove_feature(r, name, at, screws.clearance_hole(r.struts.thread, r.struts.screw.fit) / 2, seat_depth)
    made = [_seat(r, name, at, seat_depth), _screw(r, plate.stock.thickness, name, at, seat_depth, choice)]
    return made if groove is None else [*made, groove]


def _require_head_room(r: Reservoir, choice: ScrewChoice, thickness: float, seat_depth: float) -> None:
    """Raise Impossible where a screw's head lies so deep that nothing is left under it."""
    sunk, end = choice.counterbore + r.struts.screw.below_face, thickness - seat_depth
    if sunk >= end:
        raise Impossible(
            ("struts", "screw", "counterbore"),
            f"a head {sunk:g} mm below the face of {thickness:g} mm has nothing under it: "
            f"the strut's seat is {end:g} mm below that face",
            "take a longer screw and a shallower counterbore, or a thicker sheet",
        )


def _seat(r: Reservoir, name: str, at: tuple[float, float], depth: float) -> Feature:
    radius = r.struts.diameter / 2 + r.struts.clearance
    return Feature(
        f"{name}.seat", "strut-seat", (*at, 0.0), (0.0, 0.0, -1.0), profiles.stepped([(radius, depth)]),
        "seal", ("seal",), tolerance=SEAL_TOLERANCE, call_out=f"flat seat Ø{2 * radius:.2f} × {depth:g}",
        joins=(f"{name}.screw",), facts={"depth": depth, "radius": radius},
    )  # fmt: skip


def _screw(
    r: Reservoir, thickness: float, name: str, at: tuple[float, float], seat_depth: float, choice: ScrewChoice
) -> Feature:
    s = r.struts
    head, hole = screws.countersunk(s.thread, standard=s.screw.head), screws.clearance_hole(s.thread, s.screw.fit) / 2
    mouth, below, end = head.head_diameter_theoretical_max / 2, s.screw.below_face, thickness - seat_depth
    deep = f", counterbore Ø{2 * mouth + 0.5:.2f} × {choice.counterbore:g}" if choice.counterbore else ""
    return Feature(
        f"{name}.screw", "strut-screw", (*at, -thickness), (0.0, 0.0, 1.0),
        profiles.countersunk(mouth, hole, end, choice.counterbore, below), "outer", ("outer",),
        call_out=f"Ø{2 * hole:g} through to the seat, countersink 90° Ø{2 * mouth:.2f}{deep}",
        joins=(f"{name}.seat",), thread=s.thread, head=s.screw.head,
        facts={
            "hole_radius": hole, "mouth_radius": mouth, "counterbore": choice.counterbore, "below": below,
            "countersink_end": choice.counterbore + below + mouth - hole, "end": end,
            "sinks_smallest_head": mouth - head.head_diameter_actual_min / 2,
            "screw_length": choice.length, "engagement": choice.engagement, "wanted": choice.wanted,
            "thread_depth": choice.thread_depth,
        },
    )  # fmt: skip
