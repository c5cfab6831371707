"""Tools of channels with a floor radius: all strokes that run into each other as one solid.

Cut one by one, such strokes have round ends on one axis and walls that their round ends touch along a line: the kernel
then finds a sliver more or less, and the plate is in two pieces, or its mesh open. So they are united first where that
is sure, as prisms, and the edge of the floor is rounded after. Where that does not give what it should, other ways are
tried. Each is held against the volume that the strokes take by their sections, and meshed, before it is taken.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from typing import Any

import cadquery as cq
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.ShapeUpgrade import ShapeUpgrade_UnifySameDomain

from ..layout.features import PlateLayout
from ..layout.pockets import Pocket
from ..layout.swept import tree_volume
from .boolean import GeometryError, fused, parted
from .meshing import MeshError, mesh
from .pockets import levels, pocket_tool, prism

VOLUME = 1e-5  # share by which the tool may differ from its sections; these are good to about 1e-6
FUZZY = (1e-5, 1e-4, 1e-3)  # mm: how far apart what touches may lie
SMALL = 1e-9  # mm²: a triangle smaller than this is none in a file of single precision
Way = Callable[[], Any]


def tree_tool(tree: Sequence[Pocket], plate: PlateLayout, stand_out: float) -> Any:
    """One valid solid that takes what all strokes of a tree (see `layout.swept.trees`) take. Raises GeometryError."""
    wanted, best = tree_volume([replace(p, depth=p.depth + stand_out) for p in tree]), None
    for way in _ways(tree, plate, stand_out):
        try:
            made = way()
        except Exception:
            continue  # the kernel refuses in many words; the next way is what helps
        if not _sound(made, wanted):
            continue
        best = made.Solids()[0]
        if _meshes(best):
            return best
    if best is None:
        names = ", ".join(p.name for p in tree)
        (x, y), r = tree[-1].start, tree[0].floor_radius
        raise GeometryError(f"no solid could be made of {names} with floor_radius {r:g} (they meet near x {x:.2f}, "
                            f"y {y:.2f}); give another floor_radius, or 0")  # fmt: skip
    return best


def _ways(tree: Sequence[Pocket], plate: PlateLayout, stand_out: float) -> Iterator[Way]:
    # Seen, not proved: of two strokes the union leaves bores that touch the floor's edge truer, of more the fillet does.
    first = [partial(_together, tree, plate, stand_out, 0.0), partial(_rounded, tree, plate, stand_out)]
    yield from first if len(tree) < 3 else reversed(first)
    yield partial(_one_by_one, tree, plate, stand_out)
    for fuzzy in FUZZY:
        yield partial(_together, tree, plate, stand_out, fuzzy)


def _rounded(tree: Sequence[Pocket], plate: PlateLayout, stand_out: float) -> Any:
    """The prisms united, the edge of the floor rounded, and the floor parted again along the strokes: each face belongs
    to one of them."""
    floor, top = levels(tree[0], plate, stand_out)
    parts = [prism(p.shape, floor, top) for p in tree]
    solid = _levelled(fused(parts)).Solids()[0] if len(parts) > 1 else parts[0]
    boxes = [(e, e.BoundingBox()) for e in solid.Edges()]
    r = tree[0].floor_radius
    solid = solid.fillet(r, [e for e, b in boxes if abs(b.zmin - floor) < 1e-6 and b.zlen < 1e-6])
    return parted(solid, [_floor(p.shape, r, floor, top) for p in tree]) if len(tree) > 1 else solid


def _levelled(solid: Any) -> Any:
    """Floor and top in one face each; walls stay as they are."""
    one = ShapeUpgrade_UnifySameDomain(solid.wrapped, True, True, True)
    for e in solid.Edges():
        if e.BoundingBox().zlen > 1e-3:
            one.KeepShape(e.wrapped)
    one.Build()
    return cq.Shape.cast(one.Shape())


def _floor(shape: Any, radius: float, floor: float, top: float) -> Any:
    """The flat floor of a stroke."""
    narrow = prism(replace(shape, width=shape.width - 2 * radius), floor, top)
    return next(f for f in narrow.Faces() if f.BoundingBox().zlen < 1e-6 and abs(f.Center().z - floor) < 1e-6)


def _together(tree: Sequence[Pocket], plate: PlateLayout, stand_out: float, fuzzy: float) -> Any:
    return fused([pocket_tool(p, plate, stand_out) for p in tree], fuzzy)


def _one_by_one(tree: Sequence[Pocket], plate: PlateLayout, stand_out: float) -> Any:
    """Each stroke to those before it."""
    whole = pocket_tool(tree[0], plate, stand_out)
    for p in tree[1:]:
        whole = fused([whole, pocket_tool(p, plate, stand_out)])
    return whole


def valid(shape: Any) -> bool:
    """The kernel's own test."""
    return bool(BRepCheck_Analyzer(shape.wrapped).IsValid())


def _sound(made: Any, wanted: float) -> bool:
    return len(made.Solids()) == 1 and abs(made.Volume() / wanted - 1) < VOLUME and valid(made)


def _meshes(solid: Any) -> bool:
    """Whether it has a closed mesh, without triangles that vanish in a file, of the same volume."""
    try:
        found = mesh(solid)
    except MeshError:
        return False
    import numpy as np

    a, b, c = (found.vertices[found.triangles[:, k]] for k in range(3))
    least = float(np.linalg.norm(np.cross(b - a, c - a), axis=1).min()) / 2
    return least > SMALL and abs(found.volume / solid.Volume() - 1) < 2e-3
