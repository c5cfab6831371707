"""Where the ends of each cord meet. Places in mm in the frame of the plates seen from above, angles in degrees."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from .cords import Ring


@dataclass(frozen=True, slots=True)
class Joint:
    """The joint of one ring, put beside the screw where the clamp is strongest (common practice, no source)."""

    name: str  # left.upper.cord.joint
    seal: str
    plate: str
    at: tuple[float, float]
    angle: float  # from +x about the ring's middle, counter-clockwise, 0 to 360
    tangent: tuple[float, float]  # direction of the cord there, unit
    beside: str  # the screw
    hardware: str  # the cord that it marks


def joint_name(seal: str, plate: str) -> str:
    """left.cord in plate upper: left.upper.cord.joint."""
    owner, _, cord = seal.rpartition(".")
    return f"{owner}.{plate}.{cord}.joint" if owner else f"{plate}.{cord}.joint"


def joints(rings: Iterable[Ring]) -> tuple[Joint, ...]:
    """The joint of every ring that lies in a job."""
    return tuple(joint_of(r) for r in rings)


def joint_of(r: Ring) -> Joint:
    """Where one ring's ends meet."""
    x, y = r.tangent
    angle = math.degrees(math.atan2(-x, y)) % 360  # a quarter turn back from the direction of a ring laid counter-clockwise
    return Joint(
        joint_name(r.seal, r.plate), r.seal, r.plate, r.joint, angle, r.tangent, r.beside, r.hardware
    )  # fmt: skip
