"""The section picture: everything cut by one plane, cut faces hatched."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from manifold3d import CrossSection, FillRule, Manifold, Mesh

from ..layout.job_layout import JobLayout
from .still_plane import cutting_place
from .still_scene import TINTS, Drawn, Floats, Ints, legend, together
from .still_vtk import INK, Sheet

Pieces = Mapping[str, Mapping[str | None, Drawn]]
HATCH = 3.0  # mm between hatch lines
SEAM = 1e-3  # mm: cut a hair beyond the plane, so that a seam in it is no trouble


def section(layout: JobLayout, parts: Mapping[str, Drawn], pieces: Pieces) -> Sheet:
    """Cut at one y, seen from the front: what lies before the plane is taken away."""
    y = cutting_place(layout)
    sheet = Sheet()
    loops = {h.name: h.loop for h in layout.hardware if h.kind == "tube"}
    alike: dict[tuple[float, ...], list[Drawn]] = {}
    edges = []
    for number, (name, part) in enumerate(parts.items()):
        behind = part.only((part.points[part.triangles][:, :, 1] > y - 1e-6).any(axis=1))
        opacity = 1.0 if part.colour[3] == 1 else 0.16
        for loop, piece in pieces.get(name, {loops.get(name): behind}).items():
            tint = TINTS[layout.loops[loop]] if loop else part.colour[:3]
            look = (*tint, 1.0 if name in pieces and loop is not None else opacity)
            if look[3] < 1:
                sheet.surface(_beyond(piece, y), tint, look[3])
            else:
                alike.setdefault(look, []).append(_beyond(piece, y))
        edges.append(part.edges[(part.edges[:, :, 1] > y - 1e-6).all(axis=1)])
        _cut_face(sheet, part, y, 45.0 if number % 2 == 0 else 135.0)
    for (red, green, blue, _), drawn in alike.items():
        sheet.surface(together(drawn), (red, green, blue))
    sheet.lines(np.concatenate(edges), (0.45, 0.49, 0.53), 1.0, 0.6)
    sheet.look((0.0, -1.0, 0.0), (0, 0, 1))
    sheet.caption(f"{layout.name}: section", f"cut at y = {y:.4g} mm, seen from the front", legend(layout))
    return sheet


def _beyond(part: Drawn, y: float) -> Drawn:
    """The triangles behind the plane; those it crosses have the near corners laid into it."""
    keep = (part.points[part.triangles][:, :, 1] > y + 1e-6).any(axis=1)
    kept = part.only(keep)
    points = kept.points.copy()
    points[:, 1] = np.maximum(points[:, 1], y)
    return Drawn(part.name, points, part.normals, kept.triangles, part.edges, part.colour)


def _cut_face(sheet: Sheet, part: Drawn, y: float, angle: float) -> None:
    if not part.points[:, 1].min() < y + SEAM < part.points[:, 1].max():
        return
    face = _sliced(part, y)
    if face.is_empty():
        return
    dark = sum(part.colour[:3]) < 0.6
    fill = part.colour[:3] if dark else tuple(0.55 * c + 0.42 for c in part.colour[:3])
    sheet.flat(*_triangulated(face, y), (fill[0], fill[1], fill[2]))
    for outline in face.to_polygons():
        ring = _placed(np.vstack([outline, outline[:1]]), y - 0.02)
        sheet.lines(np.stack([ring[:-1], ring[1:]], axis=1), INK, 1.8)
    if not dark:
        sheet.lines(_hatched(face, angle, y - 0.01), (0.35, 0.42, 0.48), 1.0, 0.8)


def _sliced(part: Drawn, y: float) -> CrossSection:
    """The part's section in the plane as (x, z)."""
    points, index = _distinct(part.points)
    turned = np.column_stack([points[:, 0], points[:, 2], -(points[:, 1] - y)])
    triangles = index.reshape(-1)[part.triangles]
    a, b, c = triangles.T
    whole = triangles[(a != b) & (b != c) & (c != a)]
    solid = Manifold(Mesh(turned.astype(np.float32), whole.astype(np.uint32)))
    return solid.slice(-SEAM)


def _distinct(points: Floats) -> tuple[Floats, Ints]:
    """Points (n, 3) of which no two are the same to 0.0001 mm, and which of them each one was."""
    steps = np.round(points * 1e4).astype(np.int64)
    steps -= steps.min(axis=0)
    x, y, z = (int(v) + 1 for v in steps.max(axis=0))
    if x * y * z > 2**62:
        _, first, index = np.unique(steps, axis=0, return_index=True, return_inverse=True)
    else:  # one number a point: ten times as fast
        numbers = (steps[:, 0] * y + steps[:, 1]) * z + steps[:, 2]
        _, first, index = np.unique(numbers, return_index=True, return_inverse=True)
    return points[first], index.reshape(-1)


def _triangulated(face: CrossSection, y: float) -> tuple[Floats, Ints]:
    thin = face.extrude(1.0).to_mesh()
    points = np.asarray(thin.vert_properties, np.float64)[:, :3]
    triangles = np.asarray(thin.tri_verts, np.int64)
    lid = (points[triangles][:, :, 2] > 0.5).all(axis=1)
    return _placed(points[:, :2], y), triangles[lid]


def _hatched(face: CrossSection, angle: float, y: float) -> Floats:
    """Pieces (k, 2, 3) of parallel lines inside the section."""
    low_x, low_z, high_x, high_z = face.bounds()
    middle = np.array([(low_x + high_x) / 2, (low_z + high_z) / 2])
    reach = float(np.hypot(high_x - low_x, high_z - low_z)) / 2
    turn = np.radians(angle)
    along, across = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
    half = 0.01
    offsets = np.arange(-reach, reach, HATCH)
    bars = [
        [middle + o * across + s * reach * along + t * half * across for s, t in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
        for o in offsets
    ]
    if not bars:
        return np.empty((0, 2, 3))
    cut = (CrossSection([np.array(b) for b in bars], FillRule.NonZero) ^ face).to_polygons()
    ends = []
    for polygon in cut:
        reach_along = polygon @ along
        ends.append([polygon[int(reach_along.argmin())], polygon[int(reach_along.argmax())]])
    return _placed(np.array(ends).reshape(-1, 2), y).reshape(-1, 2, 3)


def _placed(plan: Floats, y: float) -> Floats:
    """(x, z) in the plane as points of the assembly."""
    return np.column_stack([plan[:, 0], np.full(len(plan), y), plan[:, 1]])
