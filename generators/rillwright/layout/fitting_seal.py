"""The rings with which fittings and plugs seal on the faces round their threads. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Iterator

from ..physics import seals
from ..spec.fitting import FittingSeal
from ..spec.job import Job
from ..spec.plate import Plate
from ..spec.reservoir import CordStock
from .features import PlateLayout
from .gland import OPENING, Bed, Gland, Kind, face_gland

GROOVE_OFF = (0.05, 0.05)  # ± of a fitting's own groove, turned; our choice, no source
FITTING = "stainless-a2-70"  # what warmth does to a groove of 2 mm hardly hangs on the metal; our choice


def fitting_glands(job: Job, plates: list[PlateLayout]) -> Iterator[Gland]:
    """The gland of each port and plug whose ring the job gives."""
    for p in plates:
        plate = job.plates.get(p.name)
        for name, kind, ring in () if plate is None else _rings(plate):
            loop = next((f.loop or "" for f in p.features if f.name == name), "")
            yield _gland(job, p.name, loop, name, kind, ring)


def _rings(plate: Plate) -> Iterator[tuple[str, Kind, FittingSeal]]:
    for port in plate.ports:
        if port.seal is not None:
            yield port.name, "port", port.seal
    for d in plate.drillings:
        if d.plug_seal is not None:
            yield f"{d.name}.plug", "plug", d.plug_seal


def _gland(job: Job, plate: str, loop: str, feature: str, kind: Kind, ring: FittingSeal) -> Gland:
    g, d = ring.groove, ring.section
    inner = g.inside_diameter / 2
    line = seals.ring_line(inner, inner + g.width, d, "outer")  # pressure from inside pushes it there
    bed = Bed(g.depth, g.width, line, inner, True, 0.0, GROOVE_OFF, GROOVE_OFF, OPENING, FITTING)
    cord = CordStock(diameter=d, material=ring.material, hardness=ring.hardness)
    free = math.pi * (ring.inside_diameter + d)
    return face_gland(
        f"{plate}.{feature}.seal", kind, plate, loop, (feature,), bed, cord, job, ring_length=free, moulded=True
    )  # fmt: skip
