"""Is the finished plate one sound body, in the solid and in the exported mesh, and has it the volume it should have?"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import combinations
from typing import Any

import numpy as np
import numpy.typing as npt
from cadquery import Vector

from ...layout import profiles
from ...layout.features import Cut, Feature, PlateLayout, Profile, Vec3
from ...layout.operations import slope
from ...layout.pockets import Pocket
from ...layout.swept import tree_volume, trees
from ...solids.build import blank, location, revolved
from ...solids.pockets import pocket_tool
from ...solids.trees import tree_tool
from ..report import UNEXPECTED, Case, Cases
from .blank import blank_volume
from .clusters import clusters, reach, within
from .mesh_faults import SMALLEST, mesh_fault
from .pocket_volumes import pocket_volume
from .stl import StlMesh

MESH_VOLUME = 0.2  # % between mesh and solid; our choice: chords of 0.02 mm on bores of 5 mm lose less
SEAM_TURN = 29.0  # degrees
_FINE = 1e-6  # of the volume: the kernel's quick integral was seen to stray by 3e-6 where bores of other sizes cross
Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Body:
    """A finished plate with its mesh as read back from the exported file."""

    plate: PlateLayout
    solid: Any
    mesh: StlMesh
    unexplained: int  # faces that belong to no feature and not to the outside
    volume: float  # of the solid, mm³


def body_cases(b: Body) -> Cases:
    """Soundness and volume of one plate."""
    return {
        "mesh.sound": [_mesh_case(b)], "solid.sound": [_solid_case(b)], "solid.explained": [_explained(b)],
        "volume.mesh": [_mesh_volume(b)], "volume.features": [_feature_volume(b)],
    }  # fmt: skip


def _mesh_case(b: Body) -> Case:
    m = b.mesh
    closed, oriented = m.closed()
    faults = {
        "not closed": int(not closed), "not oriented": int(not oriented),
        "inside out": int(m.volume <= 0), "more than one body": m.bodies - 1,
        "degenerate faces": int((m.areas < SMALLEST).sum()),
    }  # fmt: skip
    what = "the exported mesh is " + ", ".join(k for k, v in faults.items() if v)
    if not any(faults.values()):
        return Case(b.plate.name, (), 0, 0, what, "", at_most=True)
    at, names, cure = mesh_fault(b.plate, m)
    return Case(b.plate.name, names, sum(faults.values()), 0, what, cure, at, at_most=True)


def _solid_case(b: Body) -> Case:
    shells = len(b.solid.Shells())
    faults = int(b.volume <= 0) + (shells - 1)
    what = f"the solid has {shells} shells: a hollow that reaches no face" if shells > 1 else "the solid is not valid"
    return Case(b.plate.name, (), faults, 0, what, "look for a drilling that ends inside and meets nothing", at_most=True)


def _explained(b: Body) -> Case:
    what = "faces of the solid that no feature explains"
    return Case(b.plate.name, (), b.unexplained, 0, what, UNEXPECTED, at_most=True)


def _mesh_volume(b: Body) -> Case:
    share = 100 * abs(b.mesh.volume / b.volume - 1)
    return Case(b.plate.name, (), share, MESH_VOLUME, "the mesh strays from the solid", "give a smaller output.deflection",
                at_most=True)  # fmt: skip


def _feature_volume(b: Body) -> Case:
    """Blank less the features: closed form for those that stand alone, the kernel's union for those that meet.

    The kernel's union was seen to count the crossing of two bores of one diameter twice (1 plate in 25). So where the
    figures differ the union is taken once more from the crossings of the tools, two and three at a time.
    """
    found = clusters(b.plate)
    alone = sum(_closed_form(c[0], b.plate) for c in found if len(c) == 1)
    rest = blank_volume(b.plate.outline, b.plate.thickness) - alone
    limit = max(1.0, 1e-6 * rest)
    meeting = [c for c in found if len(c) > 1]
    rest -= sum(_off(c, b.plate) for c in meeting)
    expected, volume = rest - sum(_union(c, b.plate) for c in meeting), b.volume
    if abs(expected - volume) > limit:
        volume = float(b.solid.Volume(_FINE))
    if abs(expected - volume) > limit:
        again = rest - sum(_by_crossings(_tools(c, b.plate)) for c in meeting)
        expected = min(expected, again, key=lambda v: abs(v - volume))
    what = f"the solid holds {volume:.2f} mm³, the closed forms give {expected:.2f} mm³"
    return Case(b.plate.name, (), abs(expected - volume), limit, what,
                "look for a feature that leaves the plate or was not cut", at_most=True)  # fmt: skip


def _closed_form(c: Cut, plate: PlateLayout) -> float:
    if isinstance(c, Feature):
        return profiles.volume_inside(c.profile, reach(c, plate))
    known = pocket_volume(c, plate.thickness) if within(c, plate.outline) else None
    return float(_tools([c], plate)[0].Volume()) if known is None else known


def _tools(cluster: list[Cut], plate: PlateLayout) -> list[Any]:
    """The tools of a cluster, each only as far as it lies in the plate."""
    plate = replace(plate, seal_up=True)
    joined = _joined(cluster, plate)
    out = [tree_tool(t, plate, 0.0) for t in joined]
    united = {p.name for t in joined for p in t}
    for i, f in enumerate(cluster):
        if f.name in united:
            continue
        if isinstance(f, Pocket):
            out.append(_pocket(f, plate))
            continue
        tilted = _tilted(f, plate)
        solid = _turned(f.profile if tilted else profiles.clipped(f.profile, reach(f, plate)), i)
        solid = solid.moved(location(f.origin, f.axis))
        # the face cuts a tilted tool aslant, which no clipping along its axis can say
        out.append(solid.intersect(blank(plate.outline, plate.thickness, 1.0)) if tilted else solid)
    return out


def _joined(cluster: list[Cut], plate: PlateLayout) -> list[tuple[Pocket, ...]]:
    """Strokes with a floor radius that run into each other: their union by the kernel was seen to be 13 mm³ off."""
    found = trees([c for c in cluster if isinstance(c, Pocket)])
    return [t for t in found if len(t) > 1 and all(within(p, plate.outline) for p in t)]


def _off(cluster: list[Cut], plate: PlateLayout) -> float:
    """By how much such strokes take more by their sections, layer by layer, than their tools hold, mm³."""
    level = replace(plate, seal_up=True)
    return sum(tree_volume(t) - float(tree_tool(t, level, 0.0).Volume()) for t in _joined(cluster, plate))


def _pocket(c: Pocket, plate: PlateLayout) -> Any:
    if within(c, plate.outline):
        return pocket_tool(c, plate, 0.0)
    return pocket_tool(c, plate).intersect(blank(replace(plate.outline, chamfer=0.0), plate.thickness, 1.0))


Standing = tuple[tuple[Profile, Vec3, Vec3], ...]  # of each tool: profile, origin against the first one's, axis


def _union(cluster: list[Cut], plate: PlateLayout) -> float:
    """Volume that the tools of a cluster take together, mm³. Clusters that differ in their place only are united once."""
    upright = [f for f in cluster if isinstance(f, Feature) and not _tilted(f, plate)]
    if len(upright) < len(cluster):
        return _united(_tools(cluster, plate))
    x, y, z = upright[0].origin
    return _union_of(tuple(
        (profiles.clipped(f.profile, reach(f, plate)),
         (round(f.origin[0] - x, 9), round(f.origin[1] - y, 9), round(f.origin[2] - z, 9)), f.axis)
        for f in upright
    ))  # fmt: skip


@lru_cache(maxsize=256)
def _union_of(standing: Standing) -> float:
    return _united([_turned(profile, i).moved(location(at, axis)) for i, (profile, at, axis) in enumerate(standing)])


def _united(tools: list[Any]) -> float:
    return float((tools[0].fuse(*tools[1:]) if len(tools) > 1 else tools[0]).Volume())


def _turned(profile: Profile, i: int) -> Any:
    """A tool turned about its own axis: where the seams of two bores coincide the kernel was seen to lose a crossing."""
    return revolved(profile).rotate(Vector(), Vector(0, 0, 1), SEAM_TURN * i)


def _tilted(f: Feature, plate: PlateLayout) -> bool:
    return f.face in f.mouths and slope(f, plate) > 0.01


def _by_crossings(tools: list[Any]) -> float:
    """Volume of a union by inclusion and exclusion up to three tools at a place, mm³."""
    pairs = {(i, j): s for i, j in combinations(range(len(tools)), 2) if (s := _common(tools[i], tools[j])) is not None}
    total = sum(t.Volume() for t in tools) - sum(s.Volume() for s in pairs.values())
    for (i, j), s in pairs.items():
        for k in range(j + 1, len(tools)):
            if (i, k) in pairs and (j, k) in pairs and (three := _common(s, tools[k])) is not None:
                total += three.Volume()
    return float(total)


def _common(a: Any, b: Any) -> Any:
    """What two tools share, None for nothing; asked both ways round, since the kernel was seen to miss it one way."""
    for shared in (a.intersect(b), b.intersect(a)):
        if shared.Solids():
            return shared
    return None
