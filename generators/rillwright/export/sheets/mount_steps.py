"""What is done with parts that are bolted to plates: when they are put on, and how a loop is proved without them."""

from __future__ import annotations

from collections.abc import Iterator

from ...layout.footprint import Footprint
from ...layout.job_layout import JobLayout


def mount_steps(layout: JobLayout) -> Iterator[str]:
    """A line for each mounted part: its rings, its place, its screws."""
    rings = {(r.plate, r.seal.removesuffix(".cord")) for r in layout.rings}
    for f in (f for f in layout.footprints if not f.passages):  # a block is a plate's own
        sealed = [port for port in _ports(f, layout) if (f.plate, port) in rings or (f.on, port) in rings]
        lay = f"rings into the grooves of {', '.join(sealed)}; " if sealed else ""
        yield f"{f.name} ({f.interface}) onto {f.on}, {_face(f)}: {lay}{_screws(f)}."


def blanking_steps(loop: str, layout: JobLayout) -> tuple[str, ...]:
    """How a loop is closed where mounted parts belong to it, before they are there; empty where none do."""
    own = [(f, [p for pair in f.joined for p, of in pair if of == loop]) for f in layout.footprints]
    told = [f"{f.name} on {f.on} ({', '.join(ports)})" for f, ports in own if ports]
    if not told:
        return ()
    return (
        f"Prove the plate before it carries parts: a blanking plate in place of {'; '.join(told)}. Flat, clean, over the "
        "same rings, by the same screws at the same torque, and stiff enough not to bow under the test pressure.",
        "A place that stays empty keeps its blanking plate; where coolant has to go on through it, the plate has to join "
        "its two ports as the part does.",
    )  # common practice, no source


def _ports(f: Footprint, layout: JobLayout) -> list[str]:
    """Ports of the plate that the part lies on: those it joins, and those that carry its name."""
    named = [p.name for plate in layout.plates if plate.name in (f.plate, f.on) for p in plate.features
             if p.role == "port" and not p.thread and p.name.startswith(f"{f.name}-")]  # fmt: skip
    return list(dict.fromkeys([*(p for pair in f.joined for p, _ in pair), *named]))


def _face(f: Footprint) -> str:
    return "outer face" if f.face.endswith("cover") else f"{f.face} face"


def _screws(f: Footprint) -> str:
    told = [f"{len(s.holes)} {s.head} {s.thread}" + (f" × {s.length:g}" if s.length is not None else "") for s in f.screws]
    if not told:
        return "its screws hand-tight, then crosswise"
    way = "crosswise" if sum(len(s.holes) for s in f.screws) > 2 else "in turn"
    return f"{', '.join(told)}, hand-tight, then {way} in two rounds"
