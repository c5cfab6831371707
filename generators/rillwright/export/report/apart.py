"""Where each part goes when all is pulled apart: plates along z in their order, screws and plugs out of their holes."""

from __future__ import annotations

from ...layout.features import Hardware, JobLayout, PlateLayout, Vec3

STEP = 70.0  # mm between two plates that follow each other
OUT = 45.0  # mm that a screw or plug comes out of its hole
OFF = 18.0  # mm that a cord stands off the floor it lies on


def ways_out(layout: JobLayout) -> dict[str, Vec3]:
    """Way of every plate and bought part by name, mm, at the far end of the slider."""
    middle = {p.name: p.height - p.side * p.thickness / 2 for p in layout.plates}
    order = sorted(layout.plates, key=lambda p: middle[p.name])
    lift = {p.name: STEP * (i - (len(order) - 1) / 2) for i, p in enumerate(order)}
    found: dict[str, Vec3] = {p.name: (0.0, 0.0, lift[p.name]) for p in order}
    for h in layout.hardware:
        found[h.name] = _way(h, order, lift)
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
