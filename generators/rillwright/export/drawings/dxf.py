"""`NAME-FACE.dxf`: what is cut from one face in one clamping, in 2-D, on layers by operation and depth. mm.

Frame: as one looks at that face as it lies on the machine, X right, Y up, as the setup sheets have it. Circles and
arcs are true.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import ezdxf
from ezdxf import units

from ...layout import paths
from ...layout.dowels import Dowels, extent
from ...layout.features import Feature, PlateLayout
from ...layout.operations import Operation, inward
from ...layout.pockets import Pocket, Stroke
from ...layout.setups import Setup, plate_setups
from ...layout.strokes import boundary, smooth
from ...spec.machine import Machine
from ..bundle import Bundle
from ..placed import ascii_name
from .canvas import Point
from .frames import Eye, edge_eye, face_eye, in_part
from .openings import cut_round
from .revision import revision
from .tags import edge_name

VERSION = "R2010"
WORDS = {"pocket": "POCKET", "spotface": "SPOTFACE", "counterbore": "COUNTERBORE", "drill": "BORE",
         "countersink": "COUNTERSINK-90", "thread": "THREAD"}  # fmt: skip


def write_dxf(bundle: Bundle) -> None:
    """Write a DXF for each face of each plate that something is cut from."""
    for plate in bundle.layout.plates:
        whole = plate_setups(plate, bundle.job.machine)
        for setup in whole.setups:
            told = [f"JOB {bundle.job.job}   PART {plate.name}   REVISION {revision(bundle.job)}   {plate.material}"]
            text = dxf_text(plate, setup, bundle.job.machine, told, whole.dowels)
            (bundle.folder / f"{plate.name}-{setup.face}.dxf").write_text(text, encoding="ascii")


def bench_eye(plate: PlateLayout, face: str, machine: Machine) -> Eye:
    """X and Y of the machine as a face looks at the spindle."""
    return face_eye(plate, face, machine) if face in ("seal", "outer") else edge_eye(plate, face)


def dxf_text(plate: PlateLayout, setup: Setup, machine: Machine, told: list[str], pins: Dowels | None = None) -> str:
    """One drawing as text; `pins`: what locates the plate when it is turned over."""
    drawing = _Drawing(plate, bench_eye(plate, setup.face, machine))
    drawing.outline(setup.face)
    items: dict[str, Feature | Pocket] = {i.name: i for i in plate.cuts}
    for o in setup.operations:
        drawing.operation(o, items[o.feature])
    if pins is not None and setup.face in ("seal", "outer"):
        drawing.dowels(pins, first=setup.face == "seal")
    drawing.tell([*told, *frame_words(plate, setup.face, drawing.eye)])
    return drawing.text()


def frame_words(plate: PlateLayout, face: str, eye: Eye) -> list[str]:
    """The frame of a clamping in words."""
    said = [_axis_words(name, v) for name, v in (("X", eye.right), ("Y", eye.up))]
    zero = "middle of the outline" if face in ("seal", "outer") else "where x or y of the part is 0, at the seal face"
    if face not in ("seal", "outer"):
        said[1] = "Y = z of the part: 0 on the seal face, negative below it"
    on = f"the {face} face" if face in ("seal", "outer") else f"the {edge_name(face)}"
    return [
        f"AS ONE LOOKS AT {on.upper()}, mm. X right, Y up. {said[0]}. {said[1]}.",
        f"X0 Y0: {zero}. Depths are from {on}; plate thickness {plate.thickness:g} nominal, measure it.",
        "LAYERS: OUTLINE; D-DEPTH-OPERATION, depth in mm from this face (THROUGH: through the plate); POINTS: centres.",
        "R0.50 IN A LAYER'S NAME: radius between wall and floor, the cutter's own. OPENING: cut round, leave tabs.",
        "DOWELS: drill these first, into the bed. DOWELS-IN-PLACE: where the pins stand now; nothing is cut there.",
    ]


def _axis_words(name: str, v: tuple[float, float, float]) -> str:
    for axis, part in zip("xy", v[:2], strict=True):
        if abs(part) > 0.9999:
            return f"{name} = {axis} of the part" if part > 0 else f"{name} = -{axis} of the part"
    return f"{name} = {v[0]:.5f} x {'+' if v[1] >= 0 else '-'} {abs(v[1]):.5f} y of the part"


@contextmanager
def _same_bytes() -> Iterator[None]:
    """No date and no random number in the file: the same drawing is the same file."""
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


class _Drawing:
    """One DXF in the making."""

    def __init__(self, plate: PlateLayout, eye: Eye) -> None:
        self.plate, self.eye = plate, eye
        with _same_bytes():
            self.doc = ezdxf.new(VERSION, units=units.MM)
        self.space = self.doc.modelspace()
        self.low = 0.0
        self.points: set[Point] = set()

    def layer(self, name: str, colour: int = 7) -> dict[str, Any]:
        if name not in self.doc.layers:
            self.doc.layers.add(name, color=colour)
        return {"layer": name}

    def at(self, p: Point, z: float = 0.0) -> Point:
        x, y = self.eye.sees(in_part(self.plate, (p[0], p[1], z)))
        return (x + 0.0, y + 0.0)

    def outline(self, face: str) -> None:
        on = self.layer("OUTLINE")
        x, y, t = extent(self.plate)
        if face in ("seal", "outer"):
            self.way(self.plate.outline, on)
            self.low = -abs(self.at((x / 2, y / 2))[1])
            return
        n = inward(self.plate, face)
        wide = [self.at((a * x / 2, b * y / 2))[0] for a in (-1, 1) for b in (-1, 1)] if max(map(abs, n)) > 0.999 else [
            self.at(p.end)[0] for p in self.plate.outline.pieces]  # fmt: skip
        a, b = min(wide), max(wide)
        self.space.add_lwpolyline([(a, 0.0), (b, 0.0), (b, -t), (a, -t)], close=True, dxfattribs=on)
        self.low = -t

    def way(self, way: paths.Way, on: dict[str, Any]) -> None:
        """Lines and arcs of a path or outline."""
        whole = paths.pieces(way)
        vertices = [v for p in whole for v in self.run(p)]
        closed = math.dist(whole[0].start, whole[-1].end) < 1e-6
        if not closed:
            vertices.append((*self.at(whole[-1].end), 0.0))
        self.space.add_lwpolyline(vertices, format="xyb", close=closed, dxfattribs=on)

    def run(self, p: paths.Straight | paths.Bow) -> list[tuple[float, float, float]]:
        """Vertices of a piece without its end: x, y and bulge, the tangent of a quarter of the angle, + to the left."""
        if isinstance(p, paths.Straight):
            return [(*self.at(p.start), 0.0)]
        parts = math.ceil(abs(p.sweep) / math.pi - 1e-9)  # half a circle at most: a whole one has no bulge
        step = p.sweep / parts
        hand = math.copysign(1.0, self.eye.right[0] * self.eye.up[1] - self.eye.right[1] * self.eye.up[0])
        return [(*self.at(p.on(p.first + i * step)), hand * math.tan(step / 4)) for i in range(parts)]

    def dowels(self, pins: Dowels, first: bool) -> None:
        """Holes of the flip, on a layer of their own; after it where the pins stand."""
        on = self.layer("DOWELS" if first else "DOWELS-IN-PLACE", 30)
        for pin in pins.pins:
            self.space.add_circle(self.at(pin.at), pin.diameter / 2, dxfattribs=on)

    def operation(self, o: Operation, item: Feature | Pocket) -> None:
        plane = o.face in ("seal", "outer")
        through = plane and o.perpendicular and o.depth >= self.plate.thickness - 1e-6
        word = "OPENING" if cut_round(item, self.plate, o.tool) else WORDS[o.kind]
        name = f"D-{'THROUGH' if through else f'{o.depth:.2f}'}-{word}{'' if o.perpendicular else '-SLANTED'}"
        if isinstance(item, Pocket) and item.floor_radius:
            name += f"-R{item.floor_radius:.2f}"
        if o.kind == "thread" and isinstance(item, Feature):
            name += "-" + item.thread.replace("/", "_")
        if isinstance(item, Pocket):
            self.pocket(item, name)
            return
        on = self.layer(name, _colour(o))
        centre = self.at((item.origin[0], item.origin[1]), item.origin[2])
        if o.kind == "pocket" and "inner_radius" in item.facts:
            for key in ("outer_radius", "inner_radius"):
                self.space.add_circle(centre, item.facts[key], dxfattribs=on)
        else:
            self.space.add_circle(centre, o.width / 2, dxfattribs=on)
        if centre not in self.points:
            self.points.add(centre)
            self.space.add_point(centre, dxfattribs=self.layer("POINTS", 1))

    def pocket(self, pocket: Pocket, name: str) -> None:
        on = self.layer(name, 5)
        shape = pocket.shape
        if isinstance(shape, Stroke):
            self.way(shape.path, self.layer(f"{name}-MIDDLE", 4))
            if not smooth(shape):
                return  # the middle line and the cutter's width say it all; a run round it has corners
            outside, islands = boundary(shape)
        else:
            outside, islands = shape.outside, shape.islands
        for way in (outside, *islands):
            self.way(way, on)

    def tell(self, lines: list[str]) -> None:
        on = self.layer("INFO", 8)
        for i, line in enumerate(lines):
            text = self.space.add_text(ascii_name(line), height=3.0, dxfattribs=on)
            text.set_placement((-extent(self.plate)[0] / 2, self.low - 10.0 - 5.0 * i))

    def text(self) -> str:
        stream = io.StringIO()
        with _same_bytes():
            self.doc.write(stream)
        return stream.getvalue()


def _colour(o: Operation) -> int:
    return {"pocket": 5, "spotface": 6, "counterbore": 6, "drill": 7, "countersink": 3, "thread": 2}[o.kind]
