"""Rings of cord, and where the ends of each meet. Places in mm in the frame of the plates from above, angles in degrees."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ..spec.reservoir import CordStock


@dataclass(frozen=True, slots=True)
class Ring:
    """One ring: what it is cut from, how long, and where its ends meet (plan place, frame of the plates from above)."""

    seal: str
    plate: str
    cord: CordStock
    length: float
    joint: tuple[float, float]
    beside: str  # the screw that the joint lies beside
    tangent: tuple[float, float] = (0.0, 1.0)  # direction of the cord at the joint, the ring laid counter-clockwise
    hardware: str = ""  # the part in the assembly

    @property
    def stock(self) -> tuple[float, str, float]:
        """What tells one reel from another: diameter, material, hardness."""
        return self.cord.diameter, self.cord.material, self.cord.hardness


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
