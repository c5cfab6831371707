"""Corners and lands of the grooves in a covered face, the screws along them, and the flat of a bonded one. Lengths mm."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from ...layout import paths
from ...layout.features import Feature
from ...layout.pockets import Pocket, Stroke
from ..finding import Outcome
from ..report import Case, outcome
from .cover_face import CoverFace, Shape, gap, named, near_pairs, on
from .cover_seal import grooves

CORNER = 3.0  # × cord diameter, the source stands with the rule
METHOD = "distances of lines and arcs in plan"
SAMPLE = 0.25  # mm along a groove
ROUNDING = 3  # digits of a mm that a screw's place along a groove is known to


def corners(faces: Sequence[CoverFace]) -> Outcome:
    """Smallest inside radius of each groove in plan, as a multiple of its cord's diameter."""
    cases = []
    for face, p in grooves(faces):
        assert isinstance(p.shape, Stroke)
        cord = p.facts["cord"]
        radius = max(0.0, paths.smallest_radius(p.shape.path) - p.shape.width / 2)
        sharp = paths.corners(p.shape.path)
        what = "the groove has a sharp corner" if sharp else f"the groove bends by {radius:.2f} mm inside radius"
        cases.append(Case(face.body.name, (p.name,), round(min(radius, 1e6), 5) / cord, CORNER, what,
                          f"bend it by {CORNER * cord:g} mm or more, or take a thinner cord",
                          on(face, *sharp[:1]), named(p.loop)))  # fmt: skip
    return outcome("cover.groove-corner", cases, "arcs of the groove's line")


def lands(faces: Sequence[CoverFace]) -> Outcome:
    """Flat between each groove and channels, holes, edges and other grooves, mm."""
    return outcome("cover.land", [c for f in faces if f.bond is None for c in _lands(f)], METHOD)


def _lands(face: CoverFace) -> Iterator[Case]:
    all_ = face.shapes
    done: set[frozenset[int]] = set()
    for groove in (s for s in all_ if s.kind == "groove"):
        for kind in ("channel", "hole", "edge", "groove"):
            others = [s for s in all_ if s.kind == kind and s is not groove]
            for a, b in near_pairs([groove], others, face.land):
                if (pair := frozenset((id(a), id(b)))) not in done:
                    done.add(pair)
                    yield _land(face, a, b, face.land)


def _land(face: CoverFace, a: Shape, b: Shape, limit: float) -> Case:
    width, p, q = gap(a, b)
    names = (a.name,) if b.kind == "edge" else (a.name, b.name)
    return Case(face.body.name, names, width, limit, f"the land between {a.name} and {b.name} is narrow",
                f"move them {limit - width:.2f} mm apart", on(face, p, q), named(a.loop))  # fmt: skip


def bonds(faces: Sequence[CoverFace]) -> Outcome:
    """Bonded flat between each loop's channels and other loops, dry holes and edges, mm."""
    return outcome("cover.bond", [c for f in faces if f.bond is not None for c in _bonds(f, f.bond)], METHOD)


def _bonds(face: CoverFace, bond: float) -> Iterator[Case]:
    all_ = face.shapes
    done: set[frozenset[int]] = set()
    for s in (s for s in all_ if s.kind == "channel"):
        for a, b in near_pairs([s], [o for o in all_ if o.kind == "edge" or o.loop != s.loop], bond):
            if (pair := frozenset((id(a), id(b)))) not in done:
                done.add(pair)
                yield _land(face, a, b, bond)


def pitches(faces: Sequence[CoverFace]) -> Outcome:
    """Largest distance along each groove between neighbouring screws of its cover, mm."""
    cases = [_pitch(f, p) for f, p in grooves(faces) if f.cover is not None]
    return outcome("cover.screw-pitch", cases, "screws set off along the groove's line")


def _pitch(face: CoverFace, groove: Pocket) -> Case:
    assert face.cover is not None
    assert isinstance(groove.shape, Stroke)
    path = groove.shape.path
    screws = [f for f in face.cover.features if f.role == "screw"]
    total = paths.length(path)
    at = _stations(groove, screws, face.reach)
    gaps = [(b - a, a) for a, b in zip(at, [*at[1:], at[0] + total], strict=True)] if at else [(total, 0.0)]
    longest, start = max(gaps)
    ends = [paths.place(path, start)[0], paths.place(path, start + longest)[0]]
    what = f"the cord is held by no screw for {longest:.1f} mm, from x {ends[0][0]:.1f}, y {ends[0][1]:.1f}"
    do = "set a screw between, or take a stiffer cover"
    return Case(face.body.name, (groove.name,), round(longest, ROUNDING), face.pitch, what, do, on(face, *ends),
                named(groove.loop), at_most=True)  # fmt: skip


def _stations(groove: Pocket, screws: Sequence[Feature], reach: float) -> list[float]:
    """Places along a groove that screws stand beside, not further than `reach` mm, rising."""
    import numpy as np
    import shapely

    assert isinstance(groove.shape, Stroke)
    ends = shapely.get_coordinates(paths.line_string(groove.shape.path))
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(ends, axis=0).T))])
    s = np.linspace(0, run[-1], math.ceil(run[-1] / SAMPLE), endpoint=False)
    points = np.stack([np.interp(s, run, ends[:, 0]), np.interp(s, run, ends[:, 1])], axis=1)
    at = np.array([f.origin[:2] for f in screws]).reshape(-1, 1, 2)
    d = np.hypot(*np.moveaxis(points[None] - at, 2, 0))
    before, after = np.roll(d, 1, axis=1), np.roll(d, -1, axis=1)
    low = (d <= before) & (d < after) & (d <= reach + SAMPLE / 2)
    # between samples the square of the distance is a parabola: its lowest place
    a, b, c = (v[low] ** 2 for v in (before, d, after))
    shift = np.clip((a - c) / np.maximum(2 * (a - 2 * b + c), 1e-12), -0.5, 0.5) * run[-1] / len(s)
    return sorted(((s[np.nonzero(low)[1]] + shift) % run[-1]).tolist())
