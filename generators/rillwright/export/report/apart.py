"""Where each part goes when all is pulled apart: plates along z in their order, screws and plugs out of their holes."""

from __future__ import annotations

from ...layout.features import Hardware, PlateLayout, Vec3
from ...layout.job_layout import JobLayout
from ...layout.nets import assemblies

STEP = 70.0  # mm between two plates that follow each other
OUT = 45.0  # mm that a screw or plug comes out of its hole
OFF = 18.0  # mm that a cord stands off the floor it lies on


def ways_out(layout: JobLayout) -> dict[str, Vec3]:
    """Way of every plate and bought part by name, in its assembly's frame, mm, at the far end of the slider.

    One assembly opens about its middle; where there are several each keeps its lowest plate in place.
    """
    groups = assemblies(layout)
    found: dict[str, Vec3] = {h.name: (0.0, 0.0, 0.0) for h in layout.hardware}
    for a in groups:
        order = sorted(a.plates, key=lambda p: p.height - p.side * p.thickness / 2)
        start = (len(order) - 1) / 2 if len(groups) == 1 else 0.0
        lift = {p.name: STEP * (i - start) for i, p in enumerate(order)}
        found |= {p.name: (0.0, 0.0, lift[p.name]) for p in order}
        found |= {h.name: _way(h, order, lift) for h in a.hardware}
    return found


def _way(h: Hardware, order: list[PlateLayout], lift: dict[str, float]) -> Vec3:
    near = _nearest(h, order)
    base = lift[near.name] if near is not None else 0.0
    if h.kind in ("screw", "plug"):
        x, y, z = (-OUT * a for a in h.axis)
        return (x, y, base + z)
    if h.kind == "cord":
        return (0.0, 0.0, base + (near.side if near is not None else 1.0) * OFF)
    if h.kind in ("tube", "strut"):
        held = [lift[p.name] for p in order if _holds(p, h)]
        return (0.0, 0.0, sum(held) / len(held) if held else 0.0)
    return (0.0, 0.0, base)


def _holds(plate: PlateLayout, h: Hardware) -> bool:
    owner = h.name.split(".")[0]
    return owner == plate.name or any(f.name.startswith(f"{owner}.") for f in plate.features)


def _nearest(h: Hardware, order: list[PlateLayout]) -> PlateLayout | None:
    """The plate that the part starts in: a cover's screw in the cover, though it is named for the body."""

    def off(p: PlateLayout) -> tuple[float, bool]:
        low, high = sorted((p.height, p.height - p.side * p.thickness))
        z = h.origin[2]
        out = max(low - z, z - high, 0.0)
        return round(out, 3), not h.name.startswith(f"{p.name}.")

    return min(order, key=off, default=None)
