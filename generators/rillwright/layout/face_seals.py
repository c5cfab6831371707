"""Plain bores with a cord or ring round them, between a plate's face and a part that lies on it. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from ..physics import seals
from ..spec.face_seal import FaceSeal
from ..spec.job import Job
from ..spec.plate import Plate, Port
from ..standards import glands
from ..standards._table import UnknownSize
from . import paths, profiles
from .features import Feature, Hardware, PlateLayout, Vec3
from .gland import Bed, Gland, face_gland, pocket_gland
from .hardware import cord_section, in_assembly
from .joints import Ring, joint_of
from .outline import Impossible, Loc
from .pockets import Path, Pocket, Stroke

LAND = 2.0  # mm between bore and groove, and beside the groove; common practice, no source
CORNER = 3.0  # cord diameters, inside radius of a groove: seal suppliers' handbooks
TOLERANCE = 0.05  # ± mm of a groove's depth: a router holds it; our choice, no source
PART = "aluminium-6082-t6"  # what a part with a groove of its own is taken to be of; hardly matters; our choice


@dataclass(frozen=True, slots=True)
class Sealed:
    """What lies round the bores of one plate."""

    hardware: tuple[Hardware, ...] = ()
    rings: tuple[Ring, ...] = ()
    glands: tuple[Gland, ...] = ()


def groove_size(s: FaceSeal, bore: float) -> tuple[float, float, float]:
    """Inside radius, width and depth of the groove, mm. Raises UnknownSize for a cord without a table row."""
    d = s.cord.diameter
    inner = s.inside / 2 if s.inside is not None else max(bore / 2 + LAND, CORNER * d)
    if s.depth is not None and s.width is not None:
        return inner, s.width, s.depth
    row = glands.face_groove(d)
    return inner, s.width or row.width, s.depth or row.depth


def plain_port(port: Port, origin: Vec3, axis: Vec3, thickness: float, loc: Loc) -> Feature:
    """A plain bore. Its flange, for what has to keep away from it, ends beyond the groove and its land."""
    assert port.bore is not None
    r = port.bore / 2
    depth = port.depth if isinstance(port.depth, float) else port.bore
    flange = r + LAND
    if port.face_seal is not None:
        inner, width, _ = _sized(port, loc)
        flange = inner + width + LAND
    mouths: tuple[str, ...] = (port.on,)
    if port.depth == "through":
        if port.on not in ("seal", "outer"):
            raise Impossible((*loc, "depth"), "an edge port cannot go through the plate", "give a depth")
        depth, mouths = thickness + profiles.STAND_OUT, ("seal", "outer") if port.on == "seal" else ("outer", "seal")
    return Feature(
        port.name, "port", origin, axis, profiles.stepped([(r, depth)], "flat" if len(mouths) == 2 else port.tip), port.on,
        mouths, loop=port.loop, call_out=f"Ø{2 * r:g} {'through' if len(mouths) == 2 else f'× {depth:g}'}",
        facts={"spotface_radius": flange, "spotface_depth": 0.0, "bore_radius": r, "bore_depth": depth, "full_thread": 0.0},
    )  # fmt: skip


def _sized(port: Port, loc: Loc) -> tuple[float, float, float]:
    assert port.bore is not None
    assert port.face_seal is not None
    try:
        inner, width, depth = groove_size(port.face_seal, port.bore)
    except UnknownSize as e:
        raise Impossible((*loc, "face_seal", "cord", "diameter"), str(e).split(";")[0], "give depth and width") from e
    if inner <= port.bore / 2:
        raise Impossible((*loc, "face_seal", "inside"), f"the groove begins inside the bore of {port.bore:g} mm",
                         f"give {port.bore + 2 * LAND:g} mm or more")  # fmt: skip
    return inner, width, depth


def grooves(plate: Plate, made: list[Feature], loc: Loc) -> list[Pocket]:
    """The grooves in the plate round its plain bores. Raises Impossible."""
    known = {f.name: f for f in made}
    out = []
    for i, p in enumerate(plate.ports):
        if p.face_seal is None or p.face_seal.groove == "part" or p.name not in known:
            continue
        f, here = known[p.name], (*loc, "ports", i)
        if f.face not in ("seal", "outer"):
            raise Impossible((*here, "on"), "a groove is cut in the seal or outer face, not in an edge",
                             "move the bore, or let the part carry the groove")  # fmt: skip
        inner, width, depth = _sized(p, here)
        ring = paths.circle((f.origin[0], f.origin[1]), inner + width / 2)
        d = p.face_seal.cord.diameter
        out.append(Pocket(
            f"{p.name}.groove", "groove", "seal" if f.face == "seal" else "outer",
            Stroke(Path(ring.start, ring.pieces, True), width), depth, (f.face,), None, 0.0, TOLERANCE,
            f"groove Ø{2 * inner:g} inside, {width:g} wide × {depth:g} deep, cord Ø{d:g}",
            facts={"width": width, "depth": depth, "land": LAND / 2, "cord": d},
        ))  # fmt: skip
    return out


def with_grooves(plate: Plate, cover: PlateLayout, loc: Loc) -> PlateLayout:
    """A cover with the grooves round the plain bores that go through it."""
    made = grooves(plate, list(cover.features), loc)
    return replace(cover, pockets=(*cover.pockets, *made)) if made else cover


def sealed(job: Job, plate: Plate, placed: PlateLayout) -> Sealed:
    """Cords, rings and glands round the plain bores of a plate."""
    found = list(_each(job, plate, placed))
    return Sealed(tuple(h for h, _, _ in found), tuple(r for _, r, _ in found if r is not None),
                  tuple(g for _, _, g in found))  # fmt: skip


def _each(job: Job, plate: Plate, placed: PlateLayout) -> Iterator[tuple[Hardware, Ring | None, Gland]]:
    features, pockets = {f.name: f for f in placed.features}, {p.name: p for p in placed.pockets}
    for p in plate.ports:
        if p.face_seal is not None and p.name in features:
            yield _one(job, p, placed, features[p.name], pockets.get(f"{p.name}.groove"))


def _one(job: Job, p: Port, placed: PlateLayout, f: Feature, pocket: Pocket | None) -> tuple[Hardware, Ring | None, Gland]:
    s = p.face_seal
    assert s is not None
    inner, width, depth = _sized(p, ())
    d, middle, name = s.cord.diameter, inner + width / 2, f"{placed.name}.{p.name}.cord"
    line = math.tau * middle
    floor, into = f.at(depth if pocket else 0.0), (f.axis[0], f.axis[1], placed.side * f.axis[2])
    out: Vec3 = (-into[0], -into[1], -into[2])
    part = Hardware(name, "cord", in_assembly(placed, floor), out, cord_section(middle, d, depth), p.loop, s.cord.material,
                    f"cord Ø{d:g}")  # fmt: skip
    cut = None
    if s.ring_inside is None:
        at = (f.origin[0] + middle, f.origin[1])
        cut = Ring(f"{p.name}.cord", placed.name, s.cord, seals.ring_cut_length(line), at, p.name, (0.0, 1.0), name)
    joint = None if cut is None else joint_of(cut)
    if pocket is not None and cut is not None:
        gland = pocket_gland(f"{p.name}.cord", pocket, placed, s.cord, job, joint=joint)
        return part, cut, replace(gland, loop=p.loop)
    free = None if s.ring_inside is None else math.pi * (s.ring_inside + d)
    material = placed.material if pocket else PART
    bed = Bed(depth, width, line, inner, True, 0.0, (TOLERANCE, TOLERANCE), material=material)
    names = (pocket.name,) if pocket else (p.name,)
    return part, cut, face_gland(
        f"{p.name}.cord", "cover" if pocket else "port", placed.name, p.loop, names, bed, s.cord, job, ring_length=free,
        moulded=cut is None, joint=joint,
    )  # fmt: skip
