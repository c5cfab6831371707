"""All that was placed for one job, as numbers. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from .covered.build import Plan
    from .covered.hold import CoverHold
    from .covered.joint import CoverJoint
    from .features import Hardware, PlateLayout
    from .flow import CoolantAsked, FlowAsked
    from .footprint import Footprint
    from .gland import Gland
    from .joints import Joint, Ring
    from .machine import Stance
    from .runs import Run
    from .seal import TubeSeal
    from .stack import TubeStack
    from .stands import Stand


@dataclass(frozen=True, slots=True)
class JobLayout:
    """All plates and hardware of one job, in mm."""

    name: str
    plates: tuple[PlateLayout, ...]
    hardware: tuple[Hardware, ...]
    loops: dict[str, str]  # loop name -> tint
    stacks: tuple[TubeStack, ...] = ()
    seals: tuple[TubeSeal, ...] = ()
    rings: tuple[Ring, ...] = ()
    cord_reel: float | None = None  # length of a reel, mm
    glands: tuple[Gland, ...] = ()  # every seal but those of the tubes' ends
    joints: tuple[Joint, ...] = ()  # of every ring that is cut from cord
    plans: tuple[Plan, ...] = ()  # of the bodies with milled channels
    covers: tuple[CoverJoint, ...] = ()  # every covered face
    cover_holds: tuple[CoverHold, ...] = ()  # every cover that is screwed down
    flows: tuple[FlowAsked, ...] = ()  # one for each loop
    coolant: CoolantAsked | None = None
    stands: tuple[Stand, ...] = ()
    stances: dict[str, Stance] = field(default_factory=dict)  # of the assemblies that are placed, by plate and reservoir
    runs: tuple[Run, ...] = ()  # tubing between ports
    footprints: tuple[Footprint, ...] = ()  # of the parts that are bolted to plates

    def stance(self, name: str) -> Stance:
        """Where the assembly of a plate, or of a bought part (`left.tube`), stands in the machine."""
        from .machine import Stance

        return self.stances.get(name.split(".")[0], Stance())
