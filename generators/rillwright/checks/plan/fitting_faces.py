"""The faces that fittings and plugs seal on, as plain numbers: what is known of each without its fitting. Lengths in mm."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from ...layout.features import Feature, PlateLayout
from ...layout.job_layout import JobLayout
from ...spec.job import Limits
from ...standards import glands, threads
from ..report import Case

FLATNESS = 0.05  # mm over a spotface; our choice, no source
ADVICE = "turn or mill it round, no marks across the seal, edges of the bore broken"  # seal suppliers' handbooks


def faces(layout: JobLayout) -> Iterator[tuple[PlateLayout, Feature, float]]:
    """Each port and plug with the width of the flat round its thread; without a spotface that of the standard's."""
    for p in layout.plates:
        for f in p.features:
            if f.role in ("port", "plug") and f.thread:
                yield p, f, f.facts["spotface_radius"] - threads.pipe(f.thread).major_diameter / 2


def face_records(layout: JobLayout) -> list[dict[str, Any]]:
    """One record a port or plug: its flat, what it has to be, and the ring that the job gives for it."""
    rings = {(g.plate, g.features[0]): g.seal for g in layout.glands if g.kind in ("port", "plug")}
    limits = glands.limits()
    return [
        {
            "face": f"{p.name}.{f.name}", "kind": f.role, "plate": p.name, "feature": f.name, "loop": f.loop,
            "thread": f.thread, "spotface": 2 * f.facts["spotface_radius"], "spotface_depth": f.facts["spotface_depth"],
            "thread_major": threads.pipe(f.thread).major_diameter, "land": round(land, 3), "flatness": FLATNESS,
            "finish": limits.finish_liquid, "finish_gas": limits.finish_gas, "advice": ADVICE,
            "seal": rings.get((p.name, f.name)),
        }
        for p, f, land in faces(layout)
    ]  # fmt: skip


def face_cases(layout: JobLayout, limits: Limits) -> Iterator[Case]:
    """The flat round each thread against the least land."""
    for p, f, land in faces(layout):
        yield Case(p.name, (f.name,), land, limits.land, "the flat that a fitting seals on is narrow",
                   "take the spotface of the standard", (f.origin,), (f.loop or "",))  # fmt: skip
