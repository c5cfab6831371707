"""Plates that are milled and covered, once what else is cut into them is placed. What they need is loaded only for them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from ..spec.covered import Opening
from ..spec.job import Job
from ..spec.plate import Plate
from .collect import Collector
from .face_seals import with_grooves
from .features import PlateLayout
from .outline import Loc
from .placing import placed_plate

if TYPE_CHECKING:
    from .covered.build import Covered


def covered_plates(job: Job, bodies: Sequence[PlateLayout], collect: Collector) -> list[Covered]:
    """Body and covers of each plate that has channels or covers; nothing for one that cannot be made."""
    made = [_covered(job, b.name, job.plates[b.name], b, collect) for b in bodies]
    return [_sealed_covers(job, c, collect) for c in made if c is not None]


def _covered(job: Job, name: str, plate: Plate, body: PlateLayout, collect: Collector) -> Covered | None:
    loc: Loc = ("plates", name)
    wanted = (plate.covers.seal, plate.covers.outer, plate.channels, plate.passages, plate.keep_out)
    if not any(wanted) or collect.problems:
        return None
    return collect.run(loc, partial(_made, job, name, plate, body))


def _made(job: Job, name: str, plate: Plate, body: PlateLayout) -> Covered:
    """Body and covers. Raises Impossible; of a channel without a way with what was tried to let it through."""
    from .covered.build import covered
    from .covered.channels import NoWay
    from .covered.cures import tried_whole

    loc: Loc = ("plates", name)

    def again(changed: Job) -> Covered:
        new, collect = changed.plates[name], Collector()
        placed = placed_plate(changed, name, new, (body.seal_up, body.height), collect)
        collect.require_none()
        assert placed is not None
        return covered(changed, name, *_with_openings(new, placed), loc, explained=False)

    try:
        return covered(job, name, *_with_openings(plate, body), loc)
    except NoWay as e:
        raise tried_whole(job, name, e, again) from e


def _with_openings(plate: Plate, body: PlateLayout) -> tuple[Plate, PlateLayout]:
    """Plate and body with round and rectangular windows through it as areas that are kept out of and cut out.

    Their corners are then known to the channels as true arcs, round which a way bends once each, not as chords.
    """
    plain = [w for w in plate.windows if w.depth is None and w.polygon is None]
    keep = [Opening(name=w.name, at=w.at, length=w.length, width=w.width, diameter=w.diameter,
                    corner_radius=0 if w.diameter else w.corner_radius) for w in plain]  # fmt: skip
    names = {w.name for w in plain}
    rest = tuple(p for p in body.pockets if p.name not in names)
    return plate.model_copy(update={"keep_out": [*plate.keep_out, *keep]}), replace(body, pockets=rest)


def _sealed_covers(job: Job, c: Covered, collect: Collector) -> Covered:
    """The grooves in the covers of a body, round plain bores that go through them."""
    name = c.plates[0].name
    loc: Loc = ("plates", name)
    made = [collect.run(loc, partial(with_grooves, job.plates[name], p, loc)) or p for p in c.plates[1:]]
    return replace(c, plates=(c.plates[0], *made))
