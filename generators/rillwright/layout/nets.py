"""Intended nets: which port mouths, tube interiors, plugs, drillings and channels each loop joins. Lengths in mm.

Plates that a tube holds together, and a body with its covers, stand in one assembly; plates that nothing holds
together are proved apart. Inside one assembly a loop is one net: all that carries its name must be joined, and nothing
else.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

from . import paths
from .features import Feature, Hardware, PlateLayout, Vec3
from .hardware import in_assembly
from .job_layout import JobLayout
from .pockets import Pocket, Stroke

TerminalKind = Literal["port", "tube", "plug", "drilling", "channel"]
UNDER = 0.1  # mm under a lid or a plug's end; small against every bore, large against the kernel's 1e-7


@dataclass(frozen=True, slots=True)
class Terminal:
    """One place that a loop must reach. `at` is a point in its wet space, in the frame of the assembly."""

    name: str  # plate.feature, or reservoir.tube
    kind: TerminalKind
    loop: str
    plate: str  # empty for a tube
    at: Vec3


@dataclass(frozen=True, slots=True)
class Assembly:
    """Plates that tubes hold together, the hardware on them, and everything wet in them."""

    plates: tuple[PlateLayout, ...]
    hardware: tuple[Hardware, ...]
    terminals: tuple[Terminal, ...]
    bridges: tuple[tuple[str, ...], ...] = ()  # terminals that one passage of a part on a plate joins, outside the plates
    passages: tuple[tuple[str, ...], ...] = ()  # ports of a block that one passage inside it joins, and no others

    @property
    def loops(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(t.loop for t in self.terminals))

    @property
    def name(self) -> str:
        """Where findings place it: its plate when it has only one."""
        return self.plates[0].name if len(self.plates) == 1 else "assembly"

    def reached(self, names: tuple[str, ...]) -> set[str]:
        """Terminals that coolant comes to from these through parts that are bolted on, these with them."""
        return set(names).union(*(b for b in self.bridges if set(b) & set(names)))

    def net(self, loop: str) -> tuple[Terminal, ...]:
        """All that this loop joins."""
        return tuple(t for t in self.terminals if t.loop == loop)

    def mouths(self, loop: str) -> list[str]:
        """Ports of the loop to which tubing leads; in others coolant goes on inside a part that is bolted on."""
        inner = {p for group in self.bridges for p in group}
        return [t.name for t in self.net(loop) if t.kind == "port" and t.name not in inner]


def assemblies(layout: JobLayout) -> tuple[Assembly, ...]:
    """Every group of plates that belongs together, in the order of the file."""
    return tuple(_assembly(group, layout) for group in groups(list(layout.plates)))


def intended(layout: JobLayout) -> list[dict[str, Any]]:
    """The nets as a table: per assembly and loop, and per plate and loop: ports, tubes and plugs by name."""
    rows: list[dict[str, Any]] = []
    for a in assemblies(layout):
        for loop in a.loops:
            rows.append(_row(loop, None, a.net(loop)))
            for p in a.plates:
                own = [t for t in a.net(loop) if t.plate == p.name]
                tubes = [t for t in a.net(loop) if t.kind == "tube" and _holds(p, t)]
                if own or tubes:
                    rows.append(_row(loop, p.name, (*own, *tubes)))
    return rows


def _row(loop: str, plate: str | None, terminals: tuple[Terminal, ...]) -> dict[str, Any]:
    def names(kind: TerminalKind) -> list[str]:
        return [t.name for t in terminals if t.kind == kind]

    return {"loop": loop, "plate": plate, "ports": names("port"), "tubes": names("tube"), "plugs": names("plug")}


def _holds(plate: PlateLayout, tube: Terminal) -> bool:
    channel = f"{tube.name.removesuffix('.tube')}.tube-channel"
    return any(f.name == channel for f in plate.features)


def groups(plates: list[PlateLayout]) -> list[list[PlateLayout]]:
    """Plates joined by the tube channels they share, and bodies with their covers."""
    found: list[tuple[set[str], list[PlateLayout]]] = []
    for p in plates:
        tubes = {f.name for f in p.features if f.role == "tube-channel"} | {f"body {p.cover_of or p.name}"}
        met = [g for g in found if g[0] & tubes]
        found = [g for g in found if g not in met]
        found.append((tubes.union(*(g[0] for g in met)), [*(q for g in met for q in g[1]), p]))
    return [plates for _, plates in found]


def _assembly(plates: list[PlateLayout], layout: JobLayout) -> Assembly:
    names = {p.name for p in plates}
    reservoirs = {f.name.removesuffix(".tube-channel") for p in plates for f in p.features if f.role == "tube-channel"}
    owners = names | reservoirs
    hardware = tuple(h for h in layout.hardware if h.name.split(".")[0] in owners)
    tubes = [Terminal(h.name, "tube", h.loop or "", "", _middle(h)) for h in hardware if h.kind == "tube"]
    wet = [t for p in plates for t in _terminals(p)]
    bridges = tuple(tuple(f"{f.on}.{p}" for p, _ in group) for f in layout.footprints if f.plate in names
                    for group in f.joined)  # fmt: skip
    passages = tuple(tuple(f"{f.plate}.{p}" for p in group) for f in layout.footprints if f.plate in names
                     for group in f.passages)  # fmt: skip
    return Assembly(tuple(plates), hardware, (*wet, *tubes), bridges, passages)


def _middle(tube: Hardware) -> Vec3:
    half = max(z for _, z in tube.profile) / 2
    x, y, z = (o + half * a for o, a in zip(tube.origin, tube.axis, strict=True))
    return (x, y, z)


def _terminals(plate: PlateLayout) -> Iterator[Terminal]:
    for f in plate.features:
        witness = _witness(f)
        if witness is not None and f.loop is not None:
            at = in_assembly(plate, f.at(witness))
            yield Terminal(f"{plate.name}.{f.name}", f.role, f.loop, plate.name, at)  # type: ignore[arg-type]
    for c in plate.pockets:
        if c.role == "channel" and c.loop is not None:
            at = in_assembly(plate, _in_channel(c, plate))
            yield Terminal(f"{plate.name}.{c.name}", "channel", c.loop, plate.name, at)


def _in_channel(c: Pocket, plate: PlateLayout) -> Vec3:
    """Half way along a channel, half way down."""
    assert isinstance(c.shape, Stroke)
    (x, y), _ = paths.place(c.shape.path, paths.length(c.shape.path) / 2)
    return (x, y, -c.depth / 2 if c.face == "seal" else c.depth / 2 - plate.thickness)


def _witness(f: Feature) -> float | None:
    """Where on the axis of a feature coolant must stand, mm from its origin; None for a feature that is no terminal."""
    if f.role == "port":
        return f.facts["spotface_depth"] + UNDER
    if f.role == "plug":
        return f.facts["full_thread"] + UNDER
    if f.role == "drilling":
        start, end = f.facts["start"], min(f.facts["length"], f.depth)
        return math.fsum((start, end)) / 2
    return None
