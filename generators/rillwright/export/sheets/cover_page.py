"""How the screws of each cover are tightened: order as a picture, torque of each round, and the order as a table."""

from __future__ import annotations

from collections.abc import Iterator

from ...checks.plan.clamp_record import STEPS
from ...layout import paths
from ...layout.covered.hold import CoverHold
from ...layout.features import Feature, PlateLayout
from ...layout.job_layout import JobLayout
from ...layout.pockets import Stroke
from ...layout.tightening import outwards
from ..drawings.canvas import Canvas
from ..drawings.paper import Beside, Block, Column, Figure, Heading, Table, Text, Together

WIDE, HIGH = 168.0, 110.0  # mm of paper for a picture
LONGEST = 48  # rows of the table that stay on one page
SHORT = 12  # letters of a name of which three stand beside one another, with their numbers and places
JOINT = 0.9  # mm of paper, half of a joint's mark


def numbers(layout: JobLayout) -> dict[tuple[str, str], int]:
    """Number of each screw in the picture of its cover, by body and name."""
    return {(c.cover_of, f.name): n for c, fs in _screwed(layout) for n, f in enumerate(fs, 1)}


def cover_blocks(layout: JobLayout) -> Iterator[Block]:
    """Blocks for every cover that is screwed down."""
    holds = {h.cover: h for h in layout.cover_holds}
    for cover, ordered in _screwed(layout):
        yield from _blocks(layout, cover, ordered, holds.get(cover.name))


def _screwed(layout: JobLayout) -> Iterator[tuple[PlateLayout, list[Feature]]]:
    """Each cover that is screwed down, with its screws in the order of tightening."""
    screws = {h.name for h in layout.hardware if h.kind == "screw"}
    for cover in (p for p in layout.plates if p.cover_of and not p.bonded):
        own = [f for f in cover.features if f"{cover.cover_of}.{f.name}" in screws]
        if own:
            yield cover, [own[i] for i in outwards([f.origin[:2] for f in own])]


def _blocks(layout: JobLayout, cover: PlateLayout, ordered: list[Feature], hold: CoverHold | None) -> Iterator[Block]:
    rounds = "All by hand first. Then in the order of the numbers, round after round, and once more after a day."
    picture = Figure(_picture(layout, cover, ordered), "Seen from above. J: joint of a ring.")
    yield Together((Heading(f"Tightening {cover.name}"), Text(_torques(hold), strong=True), Text(rounds), picture))
    rows = [(str(n), f"{f.origin[0]:.1f}", f"{f.origin[1]:.1f}", f.name) for n, f in enumerate(ordered, 1)]
    columns = (Column("no.", "right", 7), Column("x", "right", 11), Column("y", "right", 11), Column("screw"))
    beside = 3 if max(len(f.name) for f in ordered) <= SHORT else 2
    for first in range(0, len(rows), beside * LONGEST):
        part = rows[first : first + beside * LONGEST]
        each = -(-len(part) // beside)
        tables: list[Block] = [Table(columns, tuple(part[i : i + each])) for i in range(0, len(part), each)]
        yield Together((_side_by_side(tables),))


def _torques(hold: CoverHold | None) -> str:
    if hold is None:
        return "No torque is known for these screws: a third, two thirds, then all of what their maker allows."
    steps = " → ".join(f"{share * hold.torque:.2f}" for share in STEPS)
    return f"{hold.number} screws {hold.thread}: {steps} N·m; {hold.weakest} bears no more."


def _side_by_side(parts: list[Block]) -> Block:
    if len(parts) == 1:
        return Beside((parts[0],), (), 1 / 2)
    return Beside((parts[0],), (_side_by_side(parts[1:]) if len(parts) > 2 else parts[1],), 1 / len(parts))


def _picture(layout: JobLayout, cover: PlateLayout, ordered: list[Feature]) -> Canvas:
    """The cover from above with the grooves under it and its screws in order."""
    points = [q for _, q, _ in paths.along(cover.outline, 2.0)]
    xs, ys = zip(*points, strict=True)
    k = min((WIDE - 4) / (max(xs) - min(xs)), (HIGH - 4) / (max(ys) - min(ys)))
    c = Canvas((max(xs) - min(xs)) * k + 4, (max(ys) - min(ys)) * k + 4)

    def at(p: tuple[float, float]) -> tuple[float, float]:
        return 2 + (p[0] - min(xs)) * k, 2 + (p[1] - min(ys)) * k

    c.polyline([at(p) for p in points], "visible", closed=True)
    face = next((j.face for j in layout.covers if j.cover == cover.name), "seal")
    body = next(p for p in layout.plates if p.name == cover.cover_of)
    for g in (g for g in body.pockets if g.role == "groove" and g.face == face and isinstance(g.shape, Stroke)):
        way = g.shape.path if isinstance(g.shape, Stroke) else g.shape.outside
        c.polyline([at(q) for _, q, _ in paths.along(way, 1.0)], "thin", closed=True)
    for r in (r for r in layout.rings if r.plate == cover.cover_of):
        x, y = at(r.joint)
        c.fill([(x - JOINT, y - JOINT), (x + JOINT, y - JOINT), (x + JOINT, y + JOINT), (x - JOINT, y + JOINT)])
        c.label((x + 2.0, y), "J", height=1.8, strong=True)
    for n, f in enumerate(ordered, 1):
        c.circle(at(f.origin[:2]), 2.1, "visible")
        x, y = at(f.origin[:2])
        c.label((x, y), str(n), height=1.8)
    return c
