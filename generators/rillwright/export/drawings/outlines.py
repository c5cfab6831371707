"""Plane faces of a solid as areas on the paper, at full size, mm."""

from __future__ import annotations

import math
from typing import Any

import cadquery as cq
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepTools import BRepTools_WireExplorer
from OCP.GeomAbs import GeomAbs_Circle, GeomAbs_Line
from OCP.TopAbs import TopAbs_REVERSED

from .canvas import Point
from .frames import Eye

BENDS = 12  # chords of a curve that is neither line nor circle
OFF = 0.02  # mm: how far the chords of an arc stray from it


def rings(face: Any, eye: Eye) -> list[list[Point]]:
    """Outer wire of a plane face (TopoDS_Face), then its holes."""
    shape = cq.Face(face)
    return [wire(w, eye) for w in (shape.outerWire(), *shape.innerWires())]


def region(face: Any, eye: Eye) -> Any:
    """A plane face (TopoDS_Face) as a shapely polygon."""
    from shapely import Polygon

    outside, *holes = rings(face, eye)
    return Polygon(outside, holes)


def wire(of: Any, eye: Eye) -> list[Point]:
    """A closed wire (cq.Wire) as points on the paper, the last not being the first."""
    out: list[Point] = []
    explorer = BRepTools_WireExplorer(of.wrapped)
    while explorer.More():
        edge = explorer.Current()
        a = BRepAdaptor_Curve(edge)
        first, last = a.FirstParameter(), a.LastParameter()
        n = chords(a, first, last)
        values = [a.Value(first + (last - first) * i / n) for i in range(n + 1)]
        if edge.Orientation() == TopAbs_REVERSED:
            values.reverse()
        out += [eye.sees((p.X(), p.Y(), p.Z())) for p in values[:-1]]
        explorer.Next()
    return out


def chords(a: Any, first: float, last: float) -> int:
    """Number of chords for a curve between two parameters."""
    kind = a.GetType()
    if kind == GeomAbs_Line:
        return 1
    if kind == GeomAbs_Circle:
        bend = 2 * math.acos(max(0.0, 1 - OFF / a.Circle().Radius()))
        return max(2, math.ceil(abs(last - first) / bend))
    return BENDS
