"""Whether the grooves of a covered face part each loop from all else: the face cut along them, piece by piece."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from ...layout import paths
from ...layout.pockets import Pocket, Stroke
from ..finding import Outcome
from ..report import Case, outcome
from .cover_face import CoverFace, Shape, named, on

SLIVER = 1e-3  # mm²: a smaller piece is the chords' own doing


def sealed(faces: Sequence[CoverFace]) -> Outcome:
    """Openings between each loop's piece of face and other loops, dry holes and edges; bonded faces are not asked."""
    cases = [c for f in faces if f.bond is None for c in _sealed(f)]
    return outcome("cover.sealed", cases, "face cut along its grooves")


def _sealed(face: CoverFace) -> Iterator[Case]:
    all_ = face.shapes
    wet = [s for s in all_ if s.kind == "channel"]
    for piece in _cut(all_):
        inside = [s for s in wet if s.region.intersects(piece)]
        if not inside:
            continue
        loops = sorted({s.loop or "" for s in inside})
        others = [s for s in inside if s.loop != loops[0]]
        dry = [s for s in all_ if s.kind == "hole" and s.region.intersects(piece)]
        edge = [s for s in all_ if s.kind == "edge" and s.line.distance(piece) < 1e-6]
        yield from _answers(face, inside, loops, others, dry, edge)


def _answers(
    face: CoverFace, inside: list[Shape], loops: list[str], others: list[Shape], dry: list[Shape], edge: list[Shape]
) -> Iterator[Case]:
    first = next(s for s in inside if s.loop == loops[0])
    who = ((others, f"no groove parts loop {loops[0]!r} from loop {', '.join(map(repr, loops[1:]))}",
            "lay a groove round each loop"),
           (dry, f"coolant of loop {loops[0]!r} reaches a dry hole", "lay the groove between them, or move the hole"),
           (edge, f"coolant of loop {loops[0]!r} reaches the plate's edge", "lay a closed groove round it"))  # fmt: skip
    bad = [(s, what, do) for some, what, do in who if some for s in some]
    if not bad:
        yield Case(face.body.name, (first.name,), 0, 0, "", "", (), tuple(loops), at_most=True)
    for s, what, do in bad:
        at = on(face, first.pieces[0].start, s.pieces[0].start)
        yield Case(face.body.name, (first.name, s.name), 1, 0, what, do, at, tuple(loops), at_most=True)


def _cut(all_: Sequence[Shape]) -> list[Any]:
    """Pieces of the face that both plates have, cut along the grooves."""
    import shapely

    plate = all_[-1].region
    for s in all_:
        if s.kind == "edge":
            plate = plate.intersection(s.region)
    face = plate.difference(shapely.union_all([s.region for s in all_ if s.kind == "groove"]))
    return [g for g in getattr(face, "geoms", [face]) if g.area > SLIVER]


def grooves(faces: Sequence[CoverFace]) -> list[tuple[CoverFace, Pocket]]:
    """The groove strokes of the faces, those of a cover's own seal face too."""
    return [
        (f, p)
        for f in faces
        for plate, side in ((f.body, f.side), (f.cover, "seal"))
        if plate is not None
        for p in plate.pockets
        if p.role == "groove" and p.face == side and isinstance(p.shape, Stroke)
    ]


def simple(faces: Sequence[CoverFace]) -> Outcome:
    """How much less a groove covers than its width times its length, per cent: it lies over itself, or is open."""
    cases = []
    for face, p in grooves(faces):
        assert isinstance(p.shape, Stroke)
        whole = paths.length(p.shape.path) * p.shape.width
        lost = 100 * abs(1 - paths.region(p).area / whole) if p.shape.path.closed else 100.0
        what = "the groove crosses or touches itself" if p.shape.path.closed else "the groove is not closed"
        cases.append(Case(face.body.name, (p.name,), max(0.0, lost - 0.1), 0, what, "lay it anew, with wider turns",
                          on(face, p.shape.path.start), named(p.loop), at_most=True))  # fmt: skip
    return outcome("cover.groove-simple", cases, "area against width times length")
