"""The coolant of each loop as a solid of its own: the spaces that the finished parts leave, as the checks recover them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from ...checks.solid.closing import closing_parts, opened
from ...checks.solid.voids import Void, recovered
from ...layout.job_layout import JobLayout
from ...layout.nets import Assembly, assemblies
from ...solids.meshing import Mesh, MeshError, mesh

DEFLECTION, ANGLE = 0.15, 0.4  # mm, rad: only looked at


@dataclass(frozen=True, slots=True, eq=False)
class Coolant:
    """One connected space that coolant fills, with the loops whose terminals stand in it (more than one: a fault)."""

    name: str
    loops: tuple[str, ...]
    plates: tuple[str, ...]
    home: str  # a plate of its assembly
    millilitres: float
    mesh: Mesh  # in the frame of the assembly, mm


def coolants(layout: JobLayout, solids: Mapping[str, Any], deflection: float) -> list[Coolant]:
    """Every closed wet space of a job. What reaches the outside is no closed space and is left out."""
    found: list[Coolant] = []
    for placed in assemblies(layout):
        if not placed.loops:
            continue
        assembly = opened(placed)  # as the checks do: faces that merely touch seal nothing
        spaces = recovered(assembly, solids, closing_parts(assembly, deflection))
        for void in spaces.voids:
            if void.terminals and not void.outside:
                found += _coolant(assembly, void, {c.name for c in found})
    return found


def _coolant(assembly: Assembly, void: Void, taken: set[str]) -> Iterator[Coolant]:
    inside = [t for t in assembly.terminals if t.name in void.terminals]
    loops = tuple(dict.fromkeys(t.loop for t in inside))
    plates = tuple(dict.fromkeys(t.plate for t in inside if t.plate))
    try:
        shape = mesh(void.shape, DEFLECTION, ANGLE)
    except MeshError:  # a picture less is no reason to keep the rest of the report back
        return
    name = f"coolant {' + '.join(loops)}"
    same = sum(t == name or t.startswith(f"{name} (") for t in taken)
    yield Coolant(
        f"{name} ({same + 1})" if same else name, loops, plates, assembly.plates[0].name, void.volume / 1000, shape
    )
