"""What stands on the report's stage: every part with its kind, loop, place and way out when pulled apart.

Meshes are coarser than those of the exported files: they are only looked at. Lengths in mm, frame of the assembly.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from ...layout.features import Hardware, Profile, Vec3
from ...solids.build import location, revolved
from ...solids.meshing import Mesh, mesh
from ..bundle import Bundle
from ..job import KIND_COLOURS, MATERIAL_COLOURS
from ..placed import Rgba
from .apart import ways_out
from .coolant import Coolant
from .tints import tint_of

DEFLECTION, ANGLE = 0.1, 0.4  # mm, rad
LOOSE, WIDE = 0.15, 0.7  # of long cords, whose section nobody looks at closely
OTHER: Rgba = (0.8, 0.8, 0.8, 1.0)


@dataclass(frozen=True, slots=True, eq=False)
class Part:
    """One part. Equal `key`, equal mesh; `at` and `turn` (quaternion x, y, z, w) bring the mesh to its place."""

    name: str
    kind: str  # plate, coolant, or the kind of hardware
    key: Any
    mesh: Mesh
    colour: Rgba
    at: Vec3 = (0.0, 0.0, 0.0)
    turn: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 1.0)
    loop: str = ""
    material: str = ""
    note: str = ""
    apart: Vec3 = (0.0, 0.0, 0.0)  # how far it moves when all is pulled apart


def parts(bundle: Bundle, coolant: list[Coolant]) -> list[Part]:
    """Plates, bought parts and coolant, in this order."""
    out = ways_out(bundle.layout)
    return [*_plates(bundle, out), *_hardware(bundle, out), *_coolant(bundle, coolant, out)]


def _plates(bundle: Bundle, out: dict[str, Vec3]) -> Iterator[Part]:
    for p in bundle.layout.plates:
        coarse = mesh(bundle.solids[p.name], max(DEFLECTION, bundle.job.output.deflection), ANGLE)
        yield Part(
            p.name,
            "plate",
            ("plate", p.name),
            coarse,
            MATERIAL_COLOURS.get(p.material, OTHER),
            (0.0, 0.0, p.height),
            material=p.material,
            apart=out[p.name],
        )


def _hardware(bundle: Bundle, out: dict[str, Vec3]) -> Iterator[Part]:
    for h, solid in bundle.hardware:
        colour = KIND_COLOURS.get(h.kind, OTHER)
        told = {"loop": h.loop or "", "material": h.material, "note": h.note, "apart": out[h.name]}
        if h.profile and h.path is None:
            key, shape = (h.kind, h.profile), _revolved_mesh(h.profile)
            yield Part(h.name, h.kind, key, shape, colour, h.origin, quaternion(h), **told)  # type: ignore[arg-type]
        else:
            yield Part(h.name, h.kind, ("one", h.name), mesh(solid, LOOSE, WIDE), colour, **told)  # type: ignore[arg-type]


@lru_cache(maxsize=256)
def _revolved_mesh(profile: Profile) -> Mesh:
    return mesh(revolved(profile), DEFLECTION, ANGLE)


def quaternion(h: Hardware) -> tuple[float, float, float, float]:
    """The turn that `solids.build.location` gives a solid of revolution."""
    q = location(h.origin, h.axis).wrapped.Transformation().GetRotation()
    return q.X(), q.Y(), q.Z(), q.W()


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
