"""What makes a cut, in the shop's words. Lengths in mm."""

from __future__ import annotations

from dataclasses import dataclass

from ...layout.features import Feature
from ...layout.operations import Operation
from ...layout.pockets import Area, Pocket
from ...spec.machine import Machine
from .tags import round_one, short


@dataclass(frozen=True, slots=True)
class Step:
    """Operations that are done alike one after the other."""

    operation: Operation
    tags: tuple[str, ...]
    item: Feature | Pocket


def width_words(s: Step) -> str:
    """Width of a slot or Ø of a bore; of an area what its inside corners let in."""
    inside = isinstance(s.item, Pocket) and isinstance(s.item.shape, Area) and not round_one(s.item.shape)
    return f"corner Ø{short(s.operation.width)}" if inside else f"{s.operation.width:.2f}"


def tool_words(s: Step, machine: Machine, left: int = 0) -> str:
    """What makes a cut, in the shop's words; `left`: tabs left in each opening that is cut round."""
    o = s.operation
    if o.kind == "thread":
        return f"tap or thread mill {s.item.thread}" if isinstance(s.item, Feature) else "-"
    if o.kind == "countersink":
        return "countersink 90°"
    if o.tool is None:
        return "NONE IN THE LIST FITS"
    if o.kind == "drill" and abs(o.tool - o.width) < 1e-6:
        return f"drill Ø{o.tool:g}" + ("" if o.perpendicular else ", spot first: slanted") + _floor_words(s.item)
    own = next((c for c in machine.cutters if c.diameter == o.tool), None)
    radius = s.item.floor_radius if isinstance(s.item, Pocket) else 0.0
    ground = f" with corner radius {short(radius)}" if radius else ""
    round_it = f"; go round, leave {left} tabs" if left else ""
    return f"end mill Ø{o.tool:g}{ground}" + (f", reach {own.reach:g}" if own is not None else "") + round_it


def _floor_words(item: Feature | Pocket) -> str:
    """What a drill alone does not make: the flat floor of a port's bore, where its cone would go too far."""
    if isinstance(item, Pocket) or item.role != "port" or len(item.mouths) == 2:
        return ""
    return ", floor flat: end mill" if item.profile[-1][1] - item.profile[-2][1] < 1e-9 else ""


def reach_words(o: Operation, machine: Machine) -> str:
    """How far a tool has to reach, mm; a drill's to the end of its full diameter."""
    return f"{min(o.depth, machine.drills.reach):.1f}" if o.kind in ("drill", "pocket", "counterbore", "spotface") else "-"
