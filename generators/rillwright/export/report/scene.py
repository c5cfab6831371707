"""What stands on the report's stage: every part with its kind, loop, place and way out when pulled apart.

Meshes are coarser than those of the exported files: they are only looked at. Lengths in mm, frame of the assembly.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np

from ...layout.features import Hardware, PlateLayout, Profile, Vec3
from ...layout.job_layout import JobLayout
from ...layout.machine import Stance
from ...layout.phantoms import phantoms
from ...solids.build import location, revolved
from ...solids.keep import packed_mesh, unpacked_mesh
from ...solids.meshing import Mesh, mesh
from ..bundle import Bundle
from ..job import KIND_COLOURS, MATERIAL_COLOURS
from ..phantoms import placed_phantoms
from ..placed import Rgba
from .apart import ways_out
from .coolant import Coolant
from .cord_mesh import cord_mesh
from .tints import tint_of

DEFLECTION, ANGLE = 0.1, 0.4  # mm, rad
LOOSE, WIDE = 0.15, 0.7  # of cords along open lines, whose section nobody looks at closely
OTHER: Rgba = (0.8, 0.8, 0.8, 1.0)
Quaternion = tuple[float, float, float, float]  # x, y, z, w


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """One part. Equal `key`, equal mesh; `at` and `turn` (quaternion x, y, z, w) bring the mesh to its place."""

    name: str
    kind: str  # plate, coolant, room, or the kind of hardware
    key: Any
    mesh: Mesh
    colour: Rgba
    at: Vec3 = (0.0, 0.0, 0.0)
    turn: Quaternion = (0.0, 0.0, 0.0, 1.0)
    loop: str = ""
    material: str = ""
    note: str = ""
    apart: Vec3 = (0.0, 0.0, 0.0)  # how far it moves when all is pulled apart


def parts(bundle: Bundle, coolant: list[Coolant]) -> list[Part]:
    """Plates, bought parts, coolant and rooms of mounted parts, in this order."""
    out = ways_out(bundle.layout)
    layout = bundle.layout
    placed = [_standing(p, layout.stance(p.name)) for p in (*_plates(bundle, out), *_hardware(bundle, out))]
    wet = [_standing(p, layout.stance(c.home)) for p, c in zip(_coolant(bundle, coolant, out), coolant, strict=True)]
    return [*placed, *wet, *_rooms(layout, out)]


def _standing(p: Part, stance: Stance) -> Part:
    """The part moved and turned with its assembly to where that stands in the machine."""
    if stance.still:
        return p
    return replace(p, at=stance.place(p.at), turn=_after(stance.quaternion, p.turn), apart=stance.turn(p.apart))


def _after(second: Quaternion, first: Quaternion) -> Quaternion:
    """Both turns as one (Hamilton's product)."""
    (x, y, z, w), (a, b, c, d) = second, first
    return (
        w * a + x * d + y * c - z * b,
        w * b - x * c + y * d + z * a,
        w * c + x * b - y * a + z * d,
        w * d - x * a - y * b - z * c,
    )


def _plates(bundle: Bundle, out: dict[str, Vec3]) -> Iterator[Part]:
    for p in bundle.layout.plates:
        yield Part(
            p.name,
            "plate",
            ("plate", p.name),
            plate_mesh(bundle, p),
            MATERIAL_COLOURS.get(p.material, OTHER),
            (0.0, 0.0, p.height),
            material=p.material,
            apart=out[p.name],
        )


def plate_mesh(bundle: Bundle, plate: PlateLayout) -> Mesh:
    """What the stage shows of a plate, in its part's frame; kept."""
    fine = max(DEFLECTION, bundle.job.output.deflection)

    def made() -> bytes:
        return packed_mesh(mesh(bundle.solids[plate.name], fine, ANGLE))

    return unpacked_mesh(bundle.kept.once(("shown", plate, fine), made))


def _hardware(bundle: Bundle, out: dict[str, Vec3]) -> Iterator[Part]:
    for h, solid in bundle.hardware:
        colour = KIND_COLOURS.get(h.kind, OTHER)
        told = {"loop": h.loop or "", "material": h.material, "note": h.note, "apart": out[h.name]}
        if h.profile and h.path is None:
            key, shape = (h.kind, h.profile), _revolved_mesh(h.profile)
            yield Part(h.name, h.kind, key, shape, colour, h.origin, quaternion(h), **told)  # type: ignore[arg-type]
        else:
            shape = cord_mesh(h) if h.path is not None and h.path.closed else mesh(solid, LOOSE, WIDE)
            yield Part(h.name, h.kind, ("one", h.name), shape, colour, **told)  # type: ignore[arg-type]


@lru_cache(maxsize=256)
def _revolved_mesh(profile: Profile) -> Mesh:
    return mesh(revolved(profile), DEFLECTION, ANGLE)


def quaternion(h: Hardware) -> Quaternion:
    """The turn that `solids.build.location` gives a solid of revolution."""
    q = location(h.origin, h.axis).wrapped.Transformation().GetRotation()
    return q.X(), q.Y(), q.Z(), q.W()


def _rooms(layout: JobLayout, out: dict[str, Vec3]) -> Iterator[Part]:
    """What mounted parts take up; each goes with the plate that it lies on."""
    for (placed, prism), room in zip(placed_phantoms(layout), phantoms(layout), strict=True):
        way = out[room.plate]
        part = Part(room.name, "room", ("room", room.name), prism, placed.colour, note=room.interface, apart=way)
        yield _standing(part, placed.stance)


def _coolant(bundle: Bundle, coolant: list[Coolant], out: dict[str, Vec3]) -> Iterator[Part]:
    for c in coolant:
        red, green, blue = tint_of(bundle.layout, c.loops[0] if c.loops else "")
        note = f"{c.millilitres:.1f} mL"
        held = [out[p] for p in c.plates]
        apart = tuple(np.mean(held, axis=0)) if held else (0.0, 0.0, 0.0)
        yield Part(
            c.name,
            "coolant",
            ("coolant", c.name),
            c.mesh,
            (red, green, blue, 1.0),
            loop=", ".join(c.loops),
            note=note,
            apart=apart,
        )
