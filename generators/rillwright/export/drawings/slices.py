"""Sections of a solid by a plane that the eye looks at square: the material that is cut, and what one sees behind it.

Only faces that the plane crosses take part in a boolean; of what lies behind, only what the cut material leaves to be seen.
"""

from __future__ import annotations

from typing import Any

import cadquery as cq
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common, BRepAlgoAPI_Section
from OCP.gp import gp_Dir, gp_Pln, gp_Pnt

from ...layout.geometry import dot
from .frames import Eye
from .outlines import wire
from .unseen import Face, compound, measured, showing, uncovered
from .views import Seen, lines

HAIR = 2e-3  # mm: so far behind its place is cut, so that a bore's flat end that lies in the plane is no trouble
CLOSED = 1e-6  # mm between ends of one line


def section(solid: Any, eye: Eye, at: float, size: float) -> Seen:
    """What one sees after all nearer than the plane is taken away; `at` is how far the plane lies towards the eye.

    `solid` is a cq.Shape in the part frame; `size` (mm) is more than any extent of it.
    """
    at -= HAIR
    every = [f for f in measured(solid.wrapped, eye) if f.far < at]
    crossed = [f for f in every if f.near > at]
    areas = _areas(_wires(crossed, eye, at), eye)
    caps = [_cap(outside, holes, eye) for outside, holes in areas]
    behind = showing([f for f in every if f.near <= at])
    through = showing(crossed)
    for f in through:
        f.near = at
    kept = uncovered([*caps, *behind, *through], eye)
    cut = [f for f in through if f in kept]
    rest = [f for f in kept if f not in cut]
    if cut:
        rest += list(measured(_behind(compound(cut), eye, at, size), eye))
    made = lines(compound(rest), eye, hidden=False)
    made.cut = [[wire(w, eye) for w in (outside, *holes)] for outside, holes in areas]
    return made


def _wires(crossed: list[Face], eye: Eye, at: float) -> list[Any]:
    """Closed lines (cq.Wire) in which the plane meets the solid's surface."""
    if not crossed:
        return []
    plane = gp_Pln(gp_Pnt(*(at * v for v in eye.towards)), gp_Dir(*eye.towards))
    operation = BRepAlgoAPI_Section(compound(crossed), plane, False)
    operation.Approximation(False)
    operation.Build()
    edges = cq.Shape.cast(operation.Shape()).Edges()
    return [w for w in cq.Wire.combine(edges, CLOSED) if w.IsClosed()]


def _areas(wires: list[Any], eye: Eye) -> list[tuple[Any, list[Any]]]:
    """What is material: wires that an even number of others goes round, each with the wires right inside it."""
    from shapely import Polygon

    rings = sorted(((w, Polygon(wire(w, eye))) for w in wires), key=lambda v: -v[1].area)
    depth: list[int] = []
    made: list[tuple[Any, list[Any]]] = []
    owner: list[int] = []
    for i, (w, ring) in enumerate(rings):
        inside = ring.representative_point()
        around = [j for j in range(i) if rings[j][1].contains(inside)]
        depth.append(len(around))
        if len(around) % 2 == 0:
            owner.append(len(made))
            made.append((w, []))
        else:
            holder = max(around, key=lambda j: depth[j])
            owner.append(owner[holder])
            made[owner[holder]][1].append(w)
    return made


def _cap(outside: Any, holes: list[Any], eye: Eye) -> Face:
    """Cut material as a face that looks at the eye."""
    face = cq.Face.makeFromWires(outside, holes)
    turned = dot(face.normalAt().toTuple(), eye.towards) < 0
    (cap,) = measured(face.wrapped.Reversed() if turned else face.wrapped, eye)
    return cap


def _behind(shape: Any, eye: Eye, at: float, size: float) -> Any:
    """What of some faces lies behind the plane."""
    n = eye.towards
    plane = cq.Plane(cq.Vector(*((at - size) * v for v in n)), cq.Vector(*eye.right), cq.Vector(*n))
    box = cq.Workplane(plane).box(2 * size, 2 * size, size, centered=(True, True, False)).val()
    return BRepAlgoAPI_Common(shape, box.wrapped).Shape()
