"""Setup sheets: one document for each clamping of a plate, in the order of `layout.setups`. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ...layout.dowels import Dowels
from ...layout.nesting import blank_sides
from ...layout.operations import Operation, milled
from ...layout.setups import PlateSetups, Setup, plate_setups
from ..sheets.cautions import applying
from .canvas import Canvas
from .frames import Eye, edge_eye, face_eye, in_part
from .openings import cut_round, tabs
from .paper import Beside, Blanks, Block, Column, Document, Figure, Heading, Items, Table, Text
from .part import PartDrawing
from .setup_picture import picture
from .tags import Tagged, edge_name, number, short, span
from .tooling import Step, reach_words, tool_words, width_words

CAUTIONS = {
    "plastic": (
        "Eye protection, always. Chips are sharp and fly far.",
        "Suck chips off as they come: they melt onto the cutter, and dust of plastics must not be breathed.",
        "Sharp single-flute cutters, climb cut, no dwell: heat melts the wall and leaves stresses that craze later.",
        "Peck the drills and clear them; back a through hole with scrap, or the far side breaks out.",
        "No solvent, alcohol or cutting oil on acrylic or polycarbonate: water or air only.",
    ),
    "metal": (
        "Eye protection, always. Chips are sharp and hot.",
        "Cool the cutter and clear the chips; do not reach in while the spindle turns.",
        "Peck the drills and clear them; let no chip fall into a finished passage.",
        "Deburr each mouth before the next clamping: a burr under the plate tilts it.",
    ),
}  # fmt: skip
HOLDING = (
    "Clamp outside the outline only, on an even bed; a part that is bent while clamped springs back out of depth.",
    "Measure the depth with the part still clamped: it cannot be put back to the same hundredth.",
)


def setup_pages(part: PartDrawing) -> list[Document]:
    """A document for each clamping of the part's plate."""
    whole = plate_setups(part.plate, part.job.machine)
    return [SetupSheet(part, whole, i).page() for i in range(len(whole.setups))]


class SetupSheet:
    """One clamping on paper."""

    def __init__(self, part: PartDrawing, whole: PlateSetups, index: int) -> None:
        self.part, self.whole, self.index = part, whole, index
        self.setup: Setup = whole.setups[index]
        self.plate, self.machine = part.plate, part.job.machine
        face = self.setup.face
        self.plane = face in ("seal", "outer")
        self.eye: Eye = face_eye(self.plate, face, self.machine) if self.plane else edge_eye(self.plate, face)
        self.tagged: dict[str, Tagged] = {m.item.name: m for g in part.groups for m in g.members}
        self.steps = _steps(self.setup.operations, self.tagged)

    @property
    def cut(self) -> list[Tagged]:
        """Everything that this clamping cuts, once each, in the order of the tags."""
        every = {o.feature: self.tagged[o.feature] for o in self.setup.operations}
        return sorted(every.values(), key=lambda m: _in_order(m.tag))

    @property
    def what(self) -> str:
        return f"{self.setup.face} face" if self.plane else edge_name(self.setup.face)

    def page(self) -> Document:
        n, of = self.index + 1, len(self.whole.setups)
        title = self.part.title(f"setup {n} of {of}: {self.what}", "not to scale")
        critical = self.critical()
        blocks: list[Block] = [
            Heading(f"{self.plate.name}, setup {n} of {of}: {self.what} to the spindle"),
            Figure(self.picture()), Beside((*self.lying(),), (*self.stock(),), 0.58),
            Heading("Cuts, in this order"), self.cuts(),
        ]  # fmt: skip
        if critical:
            blocks += [Heading("Critical: measure before unclamping"), *critical]
        blocks += [Heading("Before unclamping"), Items(self.last(), tick=True), Heading("Cautions")]
        family = _family(self.plate.material)
        blocks += [Items((*applying(CAUTIONS[family], (self.plate.material,)), *HOLDING)), *self.places()]
        return Document("A4", title, tuple(blocks))

    def lying(self) -> list[Block]:
        """How the plate lies, its zero, and the flip."""
        face, dowels = self.setup.face, self.whole.dowels
        said = [f"X right, Y up as in the picture. {_axes(self.eye)}"]
        if self.plane:
            said.append(f"X0 Y0: middle of the outline. Z0: the {face} face, which is up.")
        else:
            said.append(f"Plate stands on the edge opposite, seal face to the far side (+Y). Y0: the seal face. "
                        f"X0: where {_zero(self.eye)} of the part is 0. Z0: the {self.what}, which is up.")  # fmt: skip
            said.append(self._on_end())
        if dowels is not None and self.plane:
            said.append(_flip(dowels, first=face == "seal"))
        return [Text(t) for t in said]

    def _on_end(self) -> str:
        """What standing on an edge asks of machine and clamping."""
        high, deep = self.setup.size[2], max(o.depth for o in self.setup.operations)
        here = self.machine.work_area
        reach = f"Under the spindle: {short(high)} of plate, and the tool for {short(deep)} deep above it. "
        if here is not None and high > here[2]:
            reach += f"The machine travels {short(here[2])} in z only. "
        return (f"{reach}Hold it against an angle plate, over the end of the bed or through it; where that is not to be "
                "had, drill and tap on a drill press in a jig: a block bored on the machine that is clamped over the "
                "edge.")  # fmt: skip

    def stock(self) -> list[Block]:
        x, y, z = self.setup.size
        said = [Text(f"Part as it lies: {short(x)} × {short(y)} × {short(z)} high.")]
        if self.index:
            return [*said, Blanks((("Thickness, measured", "mm"),))]
        if self.plane:
            wide, deep = self._blank()
            said.append(Text(f"Blank: {wide:g} × {deep:g} or more."))
        again = Text(f"Not {short(self.plate.thickness)}? Put it into the file, run again.")
        return [*said, Blanks((("Sheet, thickest corner", "mm"), ("Sheet, thinnest corner", "mm"))), again]

    def _blank(self) -> tuple[float, float]:
        """Least blank, mm, whole millimetres."""
        sides = blank_sides(self.plate, self.part.job.buying.allowance, self.machine)
        return math.ceil(sides[0]), math.ceil(sides[1])

    def picture(self) -> Canvas:
        look = self.part.face_look(self.setup.face, self.eye)
        dowels = self.whole.dowels if self.plane else None
        return picture(self.plate, self.eye, look, self.part.groups, self.cut, dowels, not self.index)

    def cuts(self) -> Table:
        columns = (
            Column("step", "right", 8), Column("tags", width=24), Column("cut", width=23), Column("tool"),
            Column("Ø/width", "right", 19), Column("from", "right", 11), Column("to depth", "right", 15),
            Column("reach", "right", 11), Column("±", "right", 10), Column("", width=6),
        )  # fmt: skip
        rows = [
            (str(i), _span(s.tags), self._kind(s), tool_words(s, self.machine, self._tabs(s)), width_words(s),
             f"{s.operation.start:.2f}" if s.operation.start else "0", f"{s.operation.depth:.2f}",
             reach_words(s.operation, self.machine), f"{s.item.tolerance:g}", "!" if s.operation.accurate else "")
            for i, s in enumerate(self.steps, 1)
        ]  # fmt: skip
        return Table(columns, (*rows, *self._outline(len(rows))))

    def _tabs(self, s: Step) -> int:
        """Tabs of each opening of a step that is cut round."""
        return cut_round(s.item, self.plate, s.operation.tool)

    def _kind(self, s: Step) -> str:
        return "opening, cut round" if self._tabs(s) else s.operation.kind

    def _outline(self, before: int) -> list[tuple[str, ...]]:
        """The edge break of this face, and the outline as the last cut before the edges: dowels stand in its waste."""
        if not self.plane:
            return []
        cuts = []
        planes = [s for s in self.whole.setups if s.face in ("seal", "outer")]
        if self.setup is planes[-1]:
            t = self.plate.thickness
            mill = milled(math.inf, t, self.machine.cutters)
            left = f"leave {tabs(self.plate.outline)} tabs"
            tool = f"end mill Ø{mill.diameter:g}, reach {mill.reach:g}; {left}" if mill else "saw it; no cutter reaches"
            cuts.append(("-", "outline", tool, "-", "0", f"{t:.2f}", f"{t:.1f}", "0.1", ""))
        if broken := self.plate.outline.chamfer:
            last = self.setup is planes[-1]
            tool = "chamfer mill 90°" if last else "chamfer mill 90°, slot first"
            cuts.append(("-", "edge break", tool, "-", "0", f"{broken:.2f}", "-", "0.2", ""))
        return [(str(before + i), *c) for i, c in enumerate(cuts, 1)]

    def critical(self) -> list[Block]:
        """What must be right, and lines to enter what was measured."""
        fine = [s for s in self.steps if s.operation.accurate]
        if not fine:
            return []
        rows = tuple(
            (f"{s.tags[i]} {s.operation.kind} depth {s.operation.depth:.2f} ±{s.item.tolerance:g}", "mm")
            for s in fine for i in range(len(s.tags))
        )  # fmt: skip
        tube = any(s.item.role in ("tube-channel", "strut-seat") for s in fine)
        where = " The file takes them under measured:." if tube else ""
        why = Text(f"Marked ! above: depths that set the squeeze of a cord. Write them down.{where}", strong=True)
        half = math.ceil(len(rows) / 2)
        return [why, Beside((Blanks(rows[:half]),), (Blanks(rows[half:]),))]

    def last(self) -> tuple[str, ...]:
        said = ["Every cut of the table done; places checked against the drawing (two holes furthest apart)."]
        if any(s.operation.kind == "thread" for s in self.steps):
            said.append("Each thread tried with its fitting or gauge; spotfaces square and without marks.")
        if any(s.operation.kind == "countersink" for s in self.steps):
            said.append("Each countersink tried with its screw: the head lies at or under the face.")
        if any(s.operation.accurate for s in self.steps):
            said.append("Floors that a cord lies on: smooth to the finger nail, no step, no chip welded on.")
        said.append("Mouths deburred, passages blown and sucked clean.")
        return tuple(said)

    def places(self) -> list[Block]:
        """Where each tag is in the axes of this clamping."""
        cells = []
        for m in self.cut:
            x, y = self.eye.sees(in_part(self.plate, m.at))
            cells.append((m.tag, number(x, 3), number(y, 3)))
        across = 3
        high = math.ceil(len(cells) / across)
        rows = [
            tuple(v for k in range(across) for v in (cells[i + k * high] if i + k * high < len(cells) else ("", "", "")))
            for i in range(high)
        ]  # fmt: skip
        columns = tuple(c for _ in range(across) for c in (Column("tag"), Column("X", "right"), Column("Y", "right")))
        return [Heading("Places in the axes of this setup"), Table(columns, tuple(rows))]


def _steps(operations: Sequence[Operation], tagged: dict[str, Tagged]) -> list[Step]:
    """Operations that are alike in kind, size and feature as one step, in the order of their first."""
    alike: dict[tuple[object, ...], list[Operation]] = {}
    for o in operations:
        key = (tagged[o.feature].tag.rstrip("0123456789"), o.kind, round(o.width, 4), round(o.depth, 4), o.tool)
        alike.setdefault(key, []).append(o)
    return [
        Step(v[0], tuple(sorted((tagged[o.feature].tag for o in v), key=_in_order)), tagged[v[0].feature].item)
        for v in alike.values()
    ]


def _in_order(tag: str) -> tuple[str, int]:
    letter = tag.rstrip("0123456789")
    return letter, int(tag.removeprefix(letter))


def _span(tags: tuple[str, ...]) -> str:
    return tags[0] if len(tags) == 1 else f"{span(list(tags))} ({len(tags)})"


def _axes(eye: Eye) -> str:
    said = []
    for name, v in (("X", eye.right), ("Y", eye.up)):
        axis = "xyz"[max(range(3), key=lambda i: abs(v[i]))]
        exact = max(abs(a) for a in v) > 0.9999
        sign = "-" if v["xyz".index(axis)] < 0 else ""
        if axis == "z":
            said.append(f"{name} = z of the part (0 on the seal face, negative inside)")
        elif exact:
            said.append(f"{name} = {sign}{axis} of the part")
        else:
            said.append(f"{name}: along the edge")
    return ", ".join(said) + "."


def _zero(eye: Eye) -> str:
    return "x" if abs(eye.right[0]) > 0.9999 else "y" if abs(eye.right[1]) > 0.9999 else "x and y"


def _flip(dowels: Dowels, first: bool) -> str:
    a, b = dowels.pins
    pins = f"dowels Ø{a.diameter:g} and Ø{b.diameter:g}, {short(dowels.apart)} apart, through blank and into the bed"
    if first:
        return f"Drill for the {pins}, before anything else. Next setup: {dowels.flip}."
    return f"Plate {dowels.flip} on the {pins}; the two diameters let it go on in one way only."


def _family(material: str) -> str:
    from ...standards.materials import material as known

    return "metal" if known(material).family not in CAUTIONS and known(material).family != "plastic" else "plastic"
