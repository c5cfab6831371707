"""A cord in a groove in each strut seat, round the screw's hole: for struts that stand inside the tube."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TYPE_CHECKING

from ..physics import seals
from ..spec.job import Job
from ..spec.reservoir import Reservoir
from ..standards import glands
from . import profiles
from .features import Feature, PlateLayout
from .gland import WIDTH, Bed, Gland, face_gland
from .joints import joint_of
from .outline import Impossible

if TYPE_CHECKING:
    from .joints import Ring

LAND = 0.5  # mm between groove and screw hole, and between groove and the rim of the strut's end; our choice, no source
STRUT_END = (0.0, 0.03)  # how far a strut's end may stand off its seat: faced square; our choice, no source
GROOVE_TOLERANCE = 0.05  # depth tolerance of the groove's floor, mm; our choice, a router holds it


def strut_gland(r: Reservoir, job: Job, plate: PlateLayout, rings: Iterable[Ring]) -> Gland | None:
    """The glands of one reservoir's struts in one plate, which are alike, or None without a seal.

    Coolant stands outside these rings and pushes them against the inner wall, and there the line lies.
    """
    grooves = [f for f in plate.features if f.role == "strut-groove" and f.name.startswith(f"{r.name}.")]
    if r.struts.seal is None or not grooves:
        return None
    f, cord, inside = grooves[0], r.struts.seal.cord, r.struts.seal.ring_inside
    inner, outer = f.facts["inner_radius"], f.facts["outer_radius"]
    off = (GROOVE_TOLERANCE, GROOVE_TOLERANCE)
    bed = Bed(
        f.facts["groove_depth"], outer - inner, seals.ring_line(inner, outer, cord.diameter, "inner"), inner, True,
        0.0, off, WIDTH, STRUT_END, plate.material,
    )  # fmt: skip
    names = [g.name.replace(".groove", ".cord") for g in grooves]
    mine = next((x for x in rings if x.seal == names[0] and x.plate == plate.name), None)
    return face_gland(
        names[0], "strut", plate.name, r.loop, (f.name,), bed, cord, job,
        ring_length=None if inside is None else math.pi * (inside + cord.diameter), moulded=inside is not None,
        joint=None if mine is None else joint_of(mine), alike=tuple(names[1:]),
        measured=r.measured.strut_cord, cord_key=f"measured.strut_cord of {r.name!r}",
    )  # fmt: skip


def groove(r: Reservoir) -> glands.FaceGroove | None:
    """The groove for the strut seal's cord, mm, or None for struts without a seal; raises Impossible."""
    if r.struts.seal is None:
        return None
    try:
        return glands.face_groove(r.struts.seal.cord.diameter)
    except ValueError as e:
        raise Impossible(("struts", "seal", "cord", "diameter"), str(e), "take a cord that has a groove") from e


def groove_feature(r: Reservoir, strut: str, at: tuple[float, float], hole: float, seat: float) -> Feature | None:
    """Ring groove in the seat of one strut, or None without a seal.

    `at` is the strut's place, `hole` the radius of the screw hole, `seat` the depth of the seat, mm. Raises Impossible
    where the strut's end does not cover the groove.
    """
    g = groove(r)
    if g is None:
        return None
    inner = hole + LAND
    outer = inner + g.width
    if outer + LAND > r.struts.diameter / 2 + 1e-9:
        what = f"a groove for {g.cord_diameter:g} mm cord round a hole of {2 * hole:g} mm reaches Ø{2 * outer:.2f}"
        do = f"take struts of {2 * (outer + LAND):.1f} mm or more, thinner cord, or a smaller thread"
        raise Impossible(("struts", "seal"), f"{what}, past the end of a strut of {r.struts.diameter:g} mm", do)
    return Feature(
        f"{strut}.groove", "strut-groove", (*at, 0.0), (0.0, 0.0, -1.0), profiles.ring(inner, outer, seat + g.depth),
        "seal", ("seal",), tolerance=GROOVE_TOLERANCE,
        call_out=f"ring groove Ø{2 * outer:.2f} / Ø{2 * inner:.2f} × {g.depth:g} under the seat",
        joins=(f"{strut}.seat", f"{strut}.screw"),
        facts={"inner_radius": inner, "outer_radius": outer, "depth": seat + g.depth, "groove_depth": g.depth,
               "cord_diameter": g.cord_diameter},
    )  # fmt: skip
