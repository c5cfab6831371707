"""The drawing of one plate: views, section, details and tables, as pages."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import partial
from typing import Any

from ...layout.dowels import extent
from ...layout.features import Line, PlateLayout
from ...layout.job_layout import JobLayout
from ...spec.job import Job
from . import details, dims, lines, marks
from .arrange import SCALES, Arranged, SideView, arranged, ratio
from .canvas import Canvas
from .crowd import FAINT, Crowd
from .cut import Cut, cut_at, cut_line, draw_section, second_cut
from .frames import Eye, edge_eye, edge_side, face_eye
from .mounted import draw_mounted
from .notes import numbered, sold
from .paper import EDGE, TITLE, Column, Document, Heading, Sheet, Size, Table, Text, Title, frame, paper
from .revision import revision
from .slices import section
from .symbols import datum, datum_beside
from .tags import HOLE_COLUMNS, edge_name, groups, hole_rows, kind_rows, number
from .views import Chain, Seen, Spot, edge_seen, seen, turned_to

Page = Sheet | Document
ROW = 3.5  # height of a row of a table, mm


class PartDrawing:
    """All pages of one plate. `solid` is its cq.Solid in the part frame."""

    def __init__(self, job: Job, layout: JobLayout, plate: PlateLayout, solid: Any) -> None:
        self.job, self.layout, self.plate, self.solid = job, layout, plate, solid
        self.groups = groups(plate)
        self.spec, self.revision = job.drawing, revision(job)
        self.eyes = {face: face_eye(plate, face, job.machine) for face in ("seal", "outer")}
        self.looks: dict[str, tuple[Eye, Seen]] = {}

    def look(self, name: str, eye: Eye, hidden: bool) -> Seen:
        if name not in self.looks:
            self.looks[name] = (eye, seen(self.solid, eye, hidden) if hidden else edge_seen(self.solid, eye))
        return self.looks[name][1]

    def face_look(self, face: str, eye: Eye) -> Seen:
        """What is seen of a face or edge in another position on the paper; what was found before is turned."""
        if face in self.looks:
            known, found = self.looks[face]
            return turned_to(found, known, eye)
        return self.look(face, eye, hidden=False)

    def pages(self) -> list[Page]:
        return [self.seal_sheet(), self.outer_sheet(), *self.edge_sheets(), *self.detail_sheets(), self.tables()]

    def title(self, kind: str, scale: str) -> Title:
        p = self.plate
        return Title(
            self.job.job, p.name, kind, self.revision, p.material, f"thickness {p.thickness:g}", scale,
            f"ISO 2768-1 {self.spec.general_tolerance} unless stated; ± in tables and details goes before",
            self.spec.projection,
        )  # fmt: skip

    def edges(self) -> list[str]:
        """Edges that something is cut from, or the front (or first) one, which shows the thickness."""
        used = [g.first.face for g in self.groups if g.first.face not in ("seal", "outer")]
        return list(dict.fromkeys(used)) or ([] if self.polygon else ["front"])

    @property
    def polygon(self) -> bool:
        """Whether the edges have numbers instead of names."""
        ends = [self.plate.outline.start, *(p.end for p in self.plate.outline.pieces)]
        sides = [(a, p.end) for a, p in zip(ends, self.plate.outline.pieces, strict=False) if isinstance(p, Line)]
        return len(sides) != 4 or any(min(abs(a[0] - b[0]), abs(a[1] - b[1])) > 1e-9 for a, b in sides)

    def seal_sheet(self) -> Sheet:
        eye = self.eyes["seal"]
        views = []
        for edge in self.edges():
            side = edge_side(self.plate, edge, eye)
            if side is not None:
                turned = eye.turned(side)
                views.append(SideView(side, edge, turned, self.look(edge, turned, hidden=False)))
        a = arranged(self.plate, eye, views, self.spec.projection, self.spec.size)
        crowd = Crowd(a.canvas.width, a.canvas.height)
        self._face(a, "seal", crowd)
        for view, spot, box in a.sides:
            self._edge(view, spot, box, crowd)
        told = draw_mounted(self.layout, self.plate, "seal", eye, a.main, a.box, crowd)
        marks.tag_all(self.plate, eye, a.main, marks.on_face(self.groups, "seal"), crowd)
        numbered(a.canvas, [*self._notes(), *told])
        return Sheet(a.size, self.title("part drawing: seal face", a.ratio), a.canvas)

    def _face(self, a: Arranged, face: str, crowd: Crowd) -> None:
        """The main view of a sheet with its dimensions."""
        eye, plate, c = self.eyes[face], self.plate, a.canvas
        look = self.look(face, eye, hidden=True)
        a.main.draw(look.hidden, "hidden")
        a.main.draw(look.visible, "visible")
        crowd.curves(a.main, look.hidden, FAINT)
        crowd.curves(a.main, look.visible)
        marks.axes(plate, eye, a.main, self.groups)
        marks.centres(plate, eye, a.main, marks.opening(self.groups, face), face, crowd)
        x, y, _ = extent(plate)
        marks.overall(c, a.box, x, y, crowd)
        faces = [face, *(self.edges() if face == "seal" else [])]
        level = [f for f in faces if f not in ("left", "right")]
        upright = [f for f in faces if f not in ("front", "back")]
        dims.running(c, marks.along(plate, eye, a.main, self.groups, level, 0), a.box[1], "x", -1)
        dims.running(c, marks.along(plate, eye, a.main, self.groups, upright, 1), a.box[0], "y", -1, 5.0)
        crowd.box(a.box[0], a.box[1] - 22, a.box[2], a.box[1] - 1)
        crowd.box(a.box[0] - 27, a.box[1], a.box[0] - 1, a.box[3])
        marks.origin(eye, a.main, (a.box[0] - 18, a.box[1] - 12), crowd)
        c.label((a.box[0] + 3, a.box[3] + 3), f"{face} face, as one looks at it", 2.5, "left", 0, True, True)
        marks.corners(plate, eye, a.main, crowd)

    def _edge(self, view: SideView, spot: Spot, box: tuple[float, float, float, float], crowd: Crowd) -> None:
        plate, c = self.plate, spot.canvas
        members = marks.on_face(self.groups, view.name)
        spot.draw(view.seen.hidden, "hidden")
        spot.draw(view.seen.visible, "visible")
        crowd.curves(spot, view.seen.hidden, FAINT)
        crowd.curves(spot, view.seen.visible)
        marks.centres(plate, view.eye, spot, members, view.name, crowd)
        left, low, right, high = box
        tall = view.side in ("left", "right")
        if tall:
            dims.across(c, (left, high), (right, high), high + 6, f"{plate.thickness:g}")
            dims.running(c, marks.levels(plate, view.eye, spot, self.groups, view.name, tall), low, "x", -1)
            c.label(((left + right) / 2, low - 20), edge_name(view.name), 2.5, strong=True)
        else:
            dims.upright(c, (right, low), (right, high), right + 8, f"{plate.thickness:g}")
            dims.running(c, marks.levels(plate, view.eye, spot, self.groups, view.name, tall), left, "y", -1)
            c.label((left + 12, high + 3), edge_name(view.name), 2.5, "left", strong=True)
        self._datum(view, spot, box, crowd)
        marks.tag_all(plate, view.eye, spot, members, crowd)

    def _datum(self, view: SideView, spot: Spot, box: tuple[float, float, float, float], crowd: Crowd) -> None:
        """Datum A: the seal face, from which every depth goes."""
        p = spot.at(view.eye.sees((0.0, 0.0, 0.0)))
        if view.side in ("below", "above"):
            datum(spot.canvas, (box[2] - 12, p[1]), "A", 5.0 if p[1] > (box[1] + box[3]) / 2 else -5.0)
            return
        out = 5.0 if p[0] > (box[0] + box[2]) / 2 else -5.0
        datum_beside(spot.canvas, (p[0], box[3] - 8.0), "A", out)
        crowd.box(p[0] - 10, box[3] - 11, p[0] + 10, box[3] - 5)

    def edge_sheets(self) -> list[Sheet]:
        """Edges at an angle to the main view, each seen square to it, one under the other."""
        slanted = [e for e in self.edges() if edge_side(self.plate, e, self.eyes["seal"]) is None]
        size: Size = "A3" if self.spec.size == "auto" else self.spec.size
        left, _, right, high = frame(size)
        sheets: list[Canvas] = []
        y = 0.0
        x, wide, t = extent(self.plate)
        scale = next((s for s in SCALES if s * math.hypot(x, wide) < right - left - 60), SCALES[-1])
        for edge in slanted:
            if not sheets or y - scale * t - 40 < EDGE + TITLE[1]:
                sheets.append(Canvas(*paper(size)))
                y = high - 16
            self._slanted(edge, Spot(sheets[-1], ((left + right) / 2, y), scale))
            y -= scale * t + 45
        return [Sheet(size, self.title("part drawing: slanted edges", ratio(scale)), c) for c in sheets]

    def _slanted(self, edge: str, spot: Spot) -> None:
        eye = edge_eye(self.plate, edge)
        crowd = Crowd(spot.canvas.width, spot.canvas.height)
        look = self.look(edge, eye, hidden=False)
        xs = [p[0] for c in look.visible if isinstance(c, Chain) for p in c.points]
        middle, half = (min(xs) + max(xs)) / 2, (max(xs) - min(xs)) / 2
        spot = Spot(spot.canvas, (spot.origin[0] - spot.scale * middle, spot.origin[1]), spot.scale)
        left, top = spot.at((middle - half, 0.0))
        right, low = spot.at((middle + half, -self.plate.thickness))
        self._edge(SideView("below", edge, eye, look), spot, (left, low, right, top), crowd)
        values = marks.from_middle(self.plate, eye, spot, self.groups, edge)
        dims.running(spot.canvas, values, low, "x", -1)

    def sections(self, eye: Eye, side: str) -> list[Cut]:
        """A-A across the most of what matters, and B-B square to it where that leaves a kind of cut unseen."""
        axis = 1 if side == "below" else 0
        first = Cut("A-A", side, eye.turned(side), cut_at(self.plate, eye, axis))
        other = "right" if side == "below" else "below"
        at = second_cut(self.plate, eye, axis, first.at)
        return [first] if at is None else [first, Cut("B-B", other, eye.turned(other), at)]

    def outer_sheet(self) -> Sheet:
        eye, plate = self.eyes["outer"], self.plate
        x, y, _ = extent(plate)
        side = "below" if x >= y else "right"
        cuts = self.sections(eye, side)
        a = arranged(plate, eye, [c.view(None) for c in cuts], self.spec.projection, self.spec.size)
        if len(cuts) > 1:
            alone = arranged(plate, eye, [cuts[0].view(None)], self.spec.projection, self.spec.size)
            cuts = cuts if a.scale == alone.scale else cuts[:1]  # a second one is not worth a smaller drawing
        views = [c.view(section(self.solid, c.eye, c.towards, 2 * (x + y + plate.thickness))) for c in cuts]
        a = arranged(plate, eye, views, self.spec.projection, self.spec.size)
        crowd = Crowd(a.canvas.width, a.canvas.height)
        self._face(a, "outer", crowd)
        for c in cuts:
            view, spot, box = next(s for s in a.sides if s[0].name == c.name)
            draw_section(plate, view, spot, box)
            marks.cut_threads(plate, c.eye, spot, self.groups, partial(c.lies_in, eye))
            cut_line(a, c.at, c.side, crowd, c.name[0])
        told = draw_mounted(self.layout, plate, "outer", eye, a.main, a.box, crowd)
        marks.tag_all(plate, eye, a.main, marks.on_face(self.groups, "outer"), crowd)
        numbered(a.canvas, [*self._notes(), *told])
        return Sheet(a.size, self.title("part drawing: outer face", a.ratio), a.canvas)

    def detail_sheets(self) -> list[Sheet]:
        """Sections of single features, row by row: on one small sheet, or on as many as they need."""
        cords = {f"{s.reservoir}.tube-channel": s.cord_bought for s in self.layout.seals}
        cuts = details.cutaways(self.groups, self.plate, cords)
        if self.spec.size != "auto":
            return self._details(self.spec.size, cuts)
        left, low, right, high = frame("A4")
        area = sum(wide * tall for wide, tall in map(details.needs, cuts))
        small = area < 0.8 * (right - left) * (high - low - TITLE[1]) and len(made := self._details("A4", cuts)) == 1
        return made if small else self._details("A3", cuts)

    def _details(self, size: Size, cuts: Sequence[details.Cutaway]) -> list[Sheet]:
        left, _, right, high = frame(size)
        sheets: list[Canvas] = []
        x = y = row = 0.0
        low = EDGE + TITLE[1] + 4
        for c in cuts:
            wide, tall = details.needs(c)
            if not sheets or x + wide > right - 4:
                x, y = left + 4, y - row
                row = 0.0
            if not sheets or y - tall < low:
                sheets.append(Canvas(*paper(size)))
                x, y, row = left + 4, high - 6, 0.0
            details.draw(c, sheets[-1], details.corner(c, (x, y)), self.spec.seal_roughness)
            x, row = x + wide, max(row, tall)
        title = self.title("part drawing: details", "as stated")
        made = [Sheet(size, title, c) for c in sheets]
        kinds = self.kinds()
        if made and y - row - ROW * (len(kinds.rows) + 1) > low:
            made[-1] = Sheet(size, title, sheets[-1], ((left + 4, y - row, min(240.0, right - left - 8), kinds),))
        return made

    def kinds(self) -> Table:
        return Table(
            (Column("tags", width=24), Column("no.", "right", 8), Column("what", width=25), Column("call-out"),
             Column("±", "right", 10), Column("face", width=12)),
            tuple(kind_rows(self.groups)),
        )  # fmt: skip

    def tables(self) -> Document:
        where = Text(
            "x, y: from the middle of the outline, as in the machine seen from above, whichever face is drawn; the axes "
            "stand beside each view. z: out of the material from the seal face (datum A), 0 on it, negative inside. "
            "Depth: from the face it is cut from, drill's point not included. Of an area: its middle, Ø or length × width."
        )
        holes = Table(HOLE_COLUMNS, tuple(hole_rows(self.groups, self.plate)))
        blocks = (Heading("Kinds of feature"), self.kinds(), *self._cords(), Heading("Hole table"), where, holes,
                  *lines.tables(self.plate, self.groups, self.polygon))  # fmt: skip
        return Document("A4", self.title("part drawing: tables", "-"), blocks)

    def _cords(self) -> tuple[Heading | Table, ...]:
        mine = [r for r in self.layout.rings if r.plate == self.plate.name]
        if not mine:
            return ()
        columns = (Column("seal", width=34), Column("cord Ø", "right", 14), Column("material", width=20),
                   Column("Shore A", "right", 14), Column("cut length", "right", 20), Column("joint beside"),
                   Column("joint x", "right", 16), Column("joint y", "right", 16))  # fmt: skip
        rows = tuple(
            (r.seal, f"{r.cord.diameter:g}", r.cord.material, f"{r.cord.hardness:g}", f"{r.length:.1f}", r.beside,
             number(r.joint[0]), number(r.joint[1])) for r in mine
        )  # fmt: skip
        return Heading("O-ring cord for the grooves of this part"), Table(columns, rows)

    def _notes(self) -> list[str]:
        p, o = self.plate, self.plate.outline
        broken = f"edges of both faces broken {o.chamfer:g} × 45°" if o.chamfer else "edges of both faces broken 0.2 to 0.5"
        allowed = sold(p)
        return [
            f"Thickness {p.thickness:g}{allowed}: measure the sheet before cutting.",
            "Depths go from the seal face (datum A) where cut from it, never from the bed.",
            "Patterns: outermost places dimensioned; every place in the hole table.",
            f"{broken[0].upper()}{broken[1:]}; bores deburred, no chips left in passages.",
            f"Floors that a cord lies on: Ra {self.spec.seal_roughness:g} µm, no marks across the cord.",
        ]
