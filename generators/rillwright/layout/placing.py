"""One plate as placed features and pockets, before its covers are put on. Lengths in mm."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from ..spec.job import Job
from ..spec.plate import Plate, Port
from ..spec.reservoir import Reservoir
from .collect import Collector, LayoutError
from .edge_break import require_edge_break
from .face_seals import grooves
from .features import Cut, Feature, Outline, PlateLayout
from .holes import hole_features
from .load_spans import spans
from .outline import Impossible, Loc, outline, require_on_plate
from .passages import Faces, drilling_features, port_feature
from .pockets import Pocket
from .reservoir import reservoir_features


def placed_plate(
    job: Job, name: str, plate: Plate, role: tuple[bool, float], collect: Collector
) -> PlateLayout | None:
    """A plate with all that is cut into it; None where its outline is impossible. `role`: as `roles` gives it."""
    loc: Loc = ("plates", name)
    shape = collect.run((*loc, "outline"), partial(outline, plate.outline))
    if shape is None:
        return None
    collect.run((*loc, "outline", "chamfer"), partial(require_edge_break, shape, plate.stock.thickness, ()))
    made = [*_reservoirs(job, name, plate, shape, collect), *_passages(plate, Faces(plate, shape), loc, collect)]
    left_out = _add_holes(plate, shape, made, loc, collect)
    rings = collect.run(loc, partial(grooves, plate, made, loc)) or []
    cuts = [*rings, *_shapes(plate, shape, made, loc, collect)]
    holes = tuple(c for c in cuts if isinstance(c, Feature))
    pockets = tuple(c for c in cuts if isinstance(c, Pocket))
    return PlateLayout(
        name, shape, plate.stock.thickness, plate.stock.material, role[0], role[1], (*made, *holes), tuple(left_out),
        pockets, spans=spans(plate),
    )  # fmt: skip


def bare_plate(job: Job, name: str) -> PlateLayout:
    """One plate without what its galleries bring, and without holes that give way. Raises LayoutError."""
    plate, collect = job.plates[name], Collector()
    known = {p.name for p in plate.ports} | {d.name for d in plate.drillings}
    plain = plate.model_copy(update={
        "drillings": [d for d in plate.drillings if not isinstance(d.to, str) or d.to in known],
        "holes": [h for h in plate.holes if h.avoid is None], "galleries": [],
    })  # fmt: skip
    placed = placed_plate(job, name, plain, (True, 0.0), collect)
    if placed is None or collect.problems:
        raise LayoutError(collect.problems)
    return placed


def _reservoirs(job: Job, name: str, plate: Plate, shape: Outline, collect: Collector) -> list[Feature]:
    made: list[Feature] = []
    for i, r in enumerate(job.reservoirs):
        if name in r.between:
            made += collect.run(("reservoirs", i), partial(_reservoir, r, plate, shape)) or []
    return made


def _add_holes(
    plate: Plate, shape: Outline, made: list[Feature], loc: Loc, collect: Collector
) -> list[tuple[str, float, float]]:
    """Put the holes to what is `made`, one pattern after another; returns those that gave way, with their places."""
    left_out: list[tuple[str, float, float]] = []
    for i, h in enumerate(plate.holes):
        step = collect.run((*loc, "holes", i), partial(hole_features, h, plate, shape, list(made)))
        if step is not None:
            made += step[0]
            left_out += [(h.name, *p) for p in step[1]]
    return left_out


def _shapes(plate: Plate, shape: Outline, made: list[Feature], loc: Loc, collect: Collector) -> list[Cut]:
    """Windows, slots, slots for light, and the openings of a frame, which keep clear of everything else."""
    if not (plate.windows or plate.slots or plate.lights or plate.frame):
        return []
    from .shapes import frame_windows, require_one_piece, shape_cuts

    cuts = collect.run(loc, partial(shape_cuts, plate, shape, loc)) or []
    if plate.frame is not None and not collect.problems:
        cuts += collect.run(loc, partial(frame_windows, plate.frame, shape, [*made, *cuts], plate, loc)) or []
    if not collect.problems:
        collect.run(loc, partial(require_one_piece, shape, cuts, made, loc))
    return cuts


def _reservoir(r: Reservoir, plate: Plate, shape: Outline) -> list[Feature]:
    """Its features in one plate; raises Impossible where one of them would stand off the plate."""
    made = reservoir_features(r, plate)
    for f in made:
        require_on_plate(shape, f.origin[:2], f.name, ("at",))
    return made


def _as_body_port(port: Port, plate: Plate) -> Port:
    if not plate.channels:
        return port
    from .covered.ends import as_body_port  # with much that only covered plates need

    return as_body_port(port, plate)


def _passages(plate: Plate, faces: Faces, loc: Loc, collect: Collector) -> list[Feature]:
    """Ports, then drillings in an order in which each one's target is already placed."""
    known = {f.name: f for f in _ports(plate, faces, loc, collect)}
    lost = {p.name for p in plate.ports} - known.keys()  # already complained of; what starts in them is not at fault
    waiting = {i: d for i, d in enumerate(plate.drillings) if d.start not in lost}
    while ready := [i for i, d in waiting.items() if not isinstance(d.to, str) or d.to in known]:
        for i in ready:
            d, here = waiting.pop(i), (*loc, "drillings", i)
            known |= {f.name: f for f in collect.run(here, partial(drilling_features, d, known, faces, here)) or []}
    for i, d in waiting.items():
        if not collect.problems:
            what = f"{d.name!r} and {d.to!r} each wait for the other's place"
            collect.problems.append(Impossible((*loc, "drillings", i, "to"), what, "give one of them a depth"))
    return list(known.values())


def _ports(plate: Plate, faces: Faces, loc: Loc, collect: Collector) -> Iterator[Feature]:
    """Ports of the plate itself: one on a cover stands in a plate of its own."""
    for i, p in enumerate(plate.ports):
        here = (*loc, "ports", i)
        if p.on not in ("cover", "outer-cover"):
            port = collect.run(here, partial(port_feature, _as_body_port(p, plate), faces, here))
            if port is not None:
                yield port
