"""What closes the wet space of an assembly, as solids of revolution in numbers. Lengths in mm.

Only parts that seal stand here: tubes, cords, plugs, struts with a cord of their own, and a lid in every port mouth.
A screw's thread and head, and a strut on its bare seat, are metal that merely touches: they seal nothing and are left
out. A part that is taken away can join voids but never part them, so that no opening is hidden by leaving one out.
"""

from __future__ import annotations

from dataclasses import replace

from ...layout.features import Feature, Hardware, PlateLayout, Profile
from ...layout.hardware import in_assembly
from ...layout.nets import Assembly

OVERLAP = 1e-3  # how far a part that seals goes into the face it seals on, so that faces do not merely coincide
SEAT_GAP = 0.01  # bare contacts are drawn open by this much: only what a cord bridges is closed
BARE = 0.05  # how far threads and strut walls stand off their bores, at the least
JOINT = 0.002  # a screwed cover is drawn off its body by this much: only a cord closes the joint; a bond does by OVERLAP
LID_RIM = 0.3  # how far a lid reaches over the rim of its bore, where the fitting's ring lies


def closing_parts(assembly: Assembly, deflection: float) -> list[Hardware]:
    """Parts that seal, in the assembly frame; `deflection` (mm) is that of the mesh that has to show the same gaps."""
    off = max(BARE, 2.5 * deflection)
    cords = {h.name for h in assembly.hardware if h.kind == "cord"}
    parts = []
    for h in assembly.hardware:
        if h.kind == "tube":
            parts.append(h)
        elif h.kind == "cord":
            parts.append(replace(h, profile=squared(h.profile)))
        elif h.kind == "plug":
            parts.append(replace(h, profile=_plug(h.profile, off)))
        elif h.kind == "strut" and {f"{h.name}.cord-lower", f"{h.name}.cord-upper"} & cords:
            parts.append(replace(h, profile=_strut(h.profile, off)))
    return [*parts, *(_lid(p, f) for p in assembly.plates for f in p.features if f.role == "port")]


def opened(a: Assembly) -> Assembly:
    """The assembly with its covers as they count: screwed ones a hair off the body, bonded ones a hair into it."""
    def moved(p: PlateLayout) -> PlateLayout:
        off = 0.0 if not p.cover_of else -OVERLAP if p.bonded else JOINT
        return replace(p, height=p.height - p.side * off)

    return replace(a, plates=tuple(moved(p) for p in a.plates))


def land(profile: Profile) -> float:
    """Width of the flat a squeezed cord lies on, mm; 0 for a cord that is not squeezed."""
    low = min(z for _, z in profile)
    flat = [r for r, z in profile if z < low + 1e-9]
    return max(flat) - min(flat)


def squared(profile: Profile) -> Profile:
    """A cord's section as a rectangle of the same height and area: the kernel is ten times as fast with it.

    A squeezed cord goes into the faces it lies between, by more than a bare contact is drawn open; a loose one keeps
    its height, and so its distance from the face it does not reach.
    """
    ends = [*profile[1:], profile[0]]
    area = abs(sum(r0 * z1 - r1 * z0 for (r0, z0), (r1, z1) in zip(profile, ends, strict=True))) / 2
    low, high = min(z for _, z in profile), max(z for _, z in profile)
    middle = (min(r for r, _ in profile) + max(r for r, _ in profile)) / 2
    half = area / (high - low) / 2
    more = SEAT_GAP + OVERLAP if land(profile) > 1e-6 else 0.0
    return ((middle - half, low - more), (middle + half, low - more), (middle + half, high + more),
            (middle - half, high + more))  # fmt: skip


def _strut(profile: Profile, off: float) -> Profile:
    """A strut thinner by `off` and shorter by a bare contact at each end."""
    low, high, radius = min(z for _, z in profile), max(z for _, z in profile), max(r for r, _ in profile)
    return tuple(
        (r - off if r == radius else r, min(max(z, low + SEAT_GAP), high - SEAT_GAP)) for r, z in profile
    )


def _plug(profile: Profile, off: float) -> Profile:
    """A plug seals with the ring under its flange; its thread stands off the bore."""
    ends = sorted({z for _, z in profile})
    under = ends[1]  # head, under the flange, end of the thread
    flange = max(r for r, _ in profile)
    return tuple((r - off if 0 < r < flange else r, z + OVERLAP if z == under else z) for r, z in profile)


def _lid(plate: PlateLayout, f: Feature) -> Hardware:
    """A fitting: a disc on the spotface. What stands under it, the whole bore, counts as coolant."""
    face, radius = f.facts["spotface_depth"], f.facts["bore_radius"] + LID_RIM
    profile = ((0.0, face - 1), (radius, face - 1), (radius, face + OVERLAP), (0.0, face + OVERLAP))
    axis = (f.axis[0], f.axis[1], plate.side * f.axis[2])
    return Hardware(f"{plate.name}.{f.name}", "plug", in_assembly(plate, f.origin), axis, profile, f.loop, "", "lid")
