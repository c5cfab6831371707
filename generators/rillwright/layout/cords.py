"""Every ring of cord in a job, and how rings are cut from reels. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ..physics import seals
from ..spec.job import Job
from ..spec.reservoir import Reservoir
from .joints import Ring
from .outline import Impossible

if TYPE_CHECKING:
    from .features import PlateLayout
    from .seal import TubeSeal

TRIM = 2.0  # cut off each reel's raw end so that the first ring begins dead square; our choice, no source
EXACT_UP_TO = 12  # rings of one cord: beyond, an exact search may take long and gains little
HAIR = 1e-9  # mm


@dataclass(frozen=True, slots=True)
class Cut:
    """Where on which reel a ring is cut: reels count from 1 for each cord, places are from the reel's raw end."""

    ring: Ring
    reel: int
    start: float
    end: float
    left: float  # of that reel after its last cut


def rings(job: Job, plates: Iterable[PlateLayout], found: Iterable[TubeSeal]) -> tuple[Ring, ...]:
    """Every ring of the job, plate by plate: under both ends of each tube, then under the ends of struts with a seal."""
    by_name = {s.reservoir: s for s in found}
    out: list[Ring] = []
    for plate in plates:
        for r in job.reservoirs:
            if plate.name in r.between and r.name in by_name:
                s = by_name[r.name]
                length = seals.ring_cut_length(math.tau * s.line_radius)
                end = "upper" if plate.name == r.between[0] else "lower"
                out.append(Ring(f"{r.name}.cord", plate.name, r.channel.cord, length, s.joint, f"{s.joint_at}.screw",
                                _tangent(r.at, s.joint), f"{r.name}.cord-{end}"))  # fmt: skip
                out += _strut_rings(r, plate, end)
    return tuple(out)


def _tangent(middle: tuple[float, float], at: tuple[float, float]) -> tuple[float, float]:
    long = math.dist(middle, at)
    return (middle[1] - at[1]) / long, (at[0] - middle[0]) / long


def _strut_rings(r: Reservoir, plate: PlateLayout, end: str) -> list[Ring]:
    # Coolant stands outside these rings and pushes them inwards: they are cut to lie against the inner wall.
    out = []
    for f in plate.features:
        if f.role != "strut-groove" or not f.name.startswith(f"{r.name}.") or r.struts.seal is None:
            continue
        if r.struts.seal.ring_inside is not None:
            continue  # a moulded ring is bought, and has no joint
        strut, cord = f.name.removesuffix(".groove"), r.struts.seal.cord
        line = seals.ring_line(f.facts["inner_radius"], f.facts["outer_radius"], cord.diameter, "inner")
        joint = (f.origin[0] + line / math.tau, f.origin[1])
        out.append(Ring(f"{strut}.cord", plate.name, cord, seals.ring_cut_length(line), joint, f"{strut}.screw",
                        (0.0, 1.0), f"{strut}.cord-{end}"))  # fmt: skip
    return out


def cuts(every: Sequence[Ring], reel: float) -> list[Cut]:
    """Rings nested on as few reels as can be, cord by cord, the first ring of each reel after its trimmed end.

    reel: length of every reel, mm. Raises Impossible where a ring is longer than a reel.
    """
    out: list[Cut] = []
    for stock in dict.fromkeys(r.stock for r in every):
        mine = [r for r in every if r.stock == stock]
        longest = max(mine, key=lambda r: r.length)
        if longest.length + TRIM > reel + HAIR:
            raise Impossible(
                ("cord_reel",), f"{longest.seal} takes {longest.length:.1f} mm and a trimmed end of {TRIM:g} mm, "
                f"more than a reel of {reel:g} mm", "give the length of a longer reel: no ring has a second joint",
            )  # fmt: skip
        for number, row in enumerate(nested([r.length for r in mine], reel - TRIM), 1):
            left = reel - TRIM - sum(mine[i].length for i in row)
            at = TRIM
            for i in row:
                out.append(Cut(mine[i], number, at, at + mine[i].length, left))
                at += mine[i].length
    return out


def nested(lengths: Sequence[float], reel: float) -> list[list[int]]:
    """Which pieces come from which reel, as rows of places in `lengths`: the fewest reels for up to 12 pieces.

    First-fit decreasing; where that takes more reels than the sum asks for, and the pieces are few, every way is
    tried. More pieces may take a reel more than the fewest: at most 11/9 of them and 6/9 of a reel (Dósa 2007).

    lengths, reel: mm. Raises ValueError for a piece longer than a reel.
    """
    if any(not 0 < x <= reel + HAIR for x in lengths):
        raise ValueError(f"every piece must be longer than 0 and at most {reel:g} mm")
    order = sorted(range(len(lengths)), key=lambda i: -lengths[i])
    best = _first_fit(order, lengths, reel)
    if len(lengths) > EXACT_UP_TO:
        return best
    for wanted in range(math.ceil(sum(lengths) / reel - HAIR), len(best)):
        rows: list[list[int]] = [[] for _ in range(wanted)]
        if _placed(order, lengths, rows, [reel] * wanted):
            return rows
    return best


def _first_fit(order: Sequence[int], lengths: Sequence[float], reel: float) -> list[list[int]]:
    rows: list[list[int]] = []
    room: list[float] = []
    for i in order:
        k = next((k for k, free in enumerate(room) if lengths[i] <= free + HAIR), len(rows))
        if k == len(rows):
            rows.append([])
            room.append(reel)
        rows[k].append(i)
        room[k] -= lengths[i]
    return rows


def _placed(order: Sequence[int], lengths: Sequence[float], rows: list[list[int]], room: list[float]) -> bool:
    """Whether all pieces go into these reels; fills `rows` if so. Reels with the same room left are tried once."""
    if not order:
        return True
    i, tried = order[0], set()
    for k, free in enumerate(room):
        if lengths[i] > free + HAIR or free in tried:
            continue
        tried.add(free)
        rows[k].append(i)
        room[k] = free - lengths[i]
        if _placed(order[1:], lengths, rows, room):
            return True
        rows[k].pop()
        room[k] = free
    return False
