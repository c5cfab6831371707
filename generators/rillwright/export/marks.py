"""Marks that show in the assembly where the ends of each cord meet: a sleeve round the cord, in the GLB only."""

from __future__ import annotations

from collections.abc import Iterator

from ..layout.features import Hardware
from ..layout.hardware import rod
from ..layout.job_layout import JobLayout
from ..layout.joints import Joint

COLOUR = (0.96, 0.95, 0.90, 1.0)  # shows on black cord
LONG = 1.5  # mm along the cord: a joint is a cut, the mark has to be seen
PROUD = 0.25  # mm that the sleeve stands out of the cord


def joint_marks(layout: JobLayout) -> Iterator[Hardware]:
    """One sleeve for each joint whose cord is a part of the assembly, in its frame."""
    cords = {h.name: h for h in layout.hardware if h.kind == "cord"}
    for joint in layout.joints:
        if joint.hardware in cords:
            yield _mark(joint, cords[joint.hardware])


def _mark(joint: Joint, cord: Hardware) -> Hardware:
    if cord.profile:
        depths = [z for _, z in cord.profile]
        radii = [r for r, _ in cord.profile]
        high = cord.origin[2] + cord.axis[2] * (min(depths) + max(depths)) / 2
        half = max(max(radii) - min(radii), max(depths) - min(depths)) / 2
    else:
        high, half = cord.origin[2], cord.section / 2
    (x, y), (a, b) = joint.at, joint.tangent
    start = (x - a * LONG / 2, y - b * LONG / 2, high)
    note = f"joint beside {joint.beside}"
    return Hardware(joint.name, "cord", start, (a, b, 0.0), rod(half + PROUD, LONG, 0.0), None, cord.material, note)
