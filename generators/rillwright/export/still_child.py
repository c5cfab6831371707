"""The process that draws: `python -m rillwright.export.still_child`, with an `Order` on stdin.

Prints the name of every picture once it lies there whole. Its last word on trouble begins with `picture: `.
"""

from __future__ import annotations

import pickle
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from ..layout.features import PlateLayout
from ..layout.job_layout import JobLayout
from ..layout.machine import Stance
from ..layout.pockets import Pocket
from .placed import Rgba
from .still import Order, face_names, picture_names
from .still_names import name_ports
from .still_scene import TINTS, Drawn, Floats, at_home, by_loop, legend, read_glb, together
from .still_section import section
from .still_vtk import GREY, Colour, Easel, NoDrawing, Sheet

if TYPE_CHECKING:
    from ..layout.phantoms import Phantom

STEEL = (0.25, 0.27, 0.3)
CLEAR_LOOK = 0.16  # opacity of clear plates and tubes in the assembly
ROOM_LOOK = 0.05  # opacity of what mounted parts take up
BOXES = "clear boxes: room that mounted parts take up"
ROOM = (0.30, 0.36, 0.52)  # its outline on a face
PLATE_LOOK = 0.52  # opacity of a clear plate on its own: its near face reads first, what lies inside shows through


class Pictures:
    """All pictures of one job; the file is read and its surfaces are told apart once."""

    def __init__(self, order: Order) -> None:
        self.order, self.layout = order, order.layout
        every = {p.name: p for p in read_glb(order.folder / "assembly.glb")}
        self.rooms = _rooms(self.layout)
        self.parts = {name: p for name, p in every.items() if name not in self.rooms}
        self.taken = [every[name] for name in self.rooms]
        seen = [p for p in self.layout.plates if {*picture_names(self.layout)[:2], *face_names(p)} & set(order.wanted)]
        self.pieces = {
            p.name: by_loop(p, self.parts[p.name], order.deflection, self.layout.stance(p.name)) for p in seen
        }

    def draw_all(self) -> None:
        """Every picture, each announced when it is there."""
        steps: list[Callable[[], Sheet]] = [self.assembly, lambda: section(self.layout, self.parts, self.pieces)]
        for plate in self.layout.plates:
            steps += [lambda p=plate: self.plate(p, seal=True), lambda p=plate: self.plate(p, seal=False)]  # type: ignore[misc]
        easel = Easel()
        for name, step in zip(picture_names(self.layout), steps, strict=True):
            if name not in self.order.wanted:
                continue
            easel.save(step(), self.order.folder / name)
            print(name, flush=True)

    def assembly(self) -> Sheet:
        """Three-quarter view from the front, right and above."""
        sheet = Sheet()
        for plate in self.layout.plates:
            self._plate_into(sheet, plate, CLEAR_LOOK)
        self._bought_into(sheet)
        for room in self.taken:
            sheet.surface(room, room.colour[:3], ROOM_LOOK, shine=0.0, back=9.0)
            sheet.lines(room.edges, room.colour[:3], 1.0, 0.7)
        sheet.look((0.62, -1.0, 0.50), (0, 0, 1), parallel=False)
        sheet.caption(f"{self.layout.name}: assembly", BOXES if self.taken else "", legend(self.layout))
        return sheet

    def _bought_into(self, sheet: Sheet) -> None:
        """Bought parts; those of one colour at once."""
        alike: dict[Rgba, list[Drawn]] = {}
        edges: dict[Colour, list[Floats]] = {}
        for part in self.layout.hardware:
            drawn = self.parts[part.name]
            colour, opacity = drawn.colour[:3], drawn.colour[3]
            if part.kind == "tube" and part.loop and opacity < 1:
                colour = _mixed(TINTS[self.layout.loops[part.loop]], 0.35)
            if opacity < 1:
                sheet.surface(drawn, colour, 0.20, shine=0.3)
            else:
                alike.setdefault((*colour, opacity), []).append(drawn)
            edges.setdefault(GREY if part.kind == "tube" else STEEL, []).append(drawn.edges)
        for (red, green, blue, _), drawn_alike in alike.items():
            sheet.surface(together(drawn_alike), (red, green, blue), shine=0.3)
        for line, ends in edges.items():
            sheet.lines(np.concatenate(ends), line, 1.0, 0.8)

    def plate(self, plate: PlateLayout, *, seal: bool) -> Sheet:
        """One face straight on but for a slight tilt, so that edges tell how thick the plate is."""
        sheet = Sheet()
        opaque, hides = self.parts[plate.name].colour[3] == 1, _hides(plate, seal)
        self._plate_into(sheet, plate, PLATE_LOOK, home=True, anyhow=hides)
        above = seal == plate.seal_up
        sheet.look((0.0, -0.42, 1.0 if above else -1.0), (0, 1, 0))
        name_ports(sheet, plate, ("outer" if seal else "seal") if opaque and not hides else "")
        _axes(sheet, above)
        kind = "seal face" if seal else "outer face"
        side = "seen from above" if above else "seen from below: x runs to the left"
        side += "; drawn clear to show its passages" if opaque and hides else ""
        lies = self._outlines(sheet, plate, "seal" if seal else "outer")
        side += "; thin outlines: mounted parts" if lies else ""
        title, more = f"plate {plate.name}, {kind}", f"{plate.material}, {plate.thickness:g} mm; {side}"
        sheet.caption(f"{self.layout.name}: {title}", more, legend(self.layout))
        return sheet

    def _outlines(self, sheet: Sheet, plate: PlateLayout, face: str) -> bool:
        """Outlines of what lies on a face by foot prints, on the face itself; whether there are any."""
        lies = [r for r in self.rooms.values() if (r.plate, r.face) == (plate.name, face)]
        for r in lies:
            ring = np.array([(x, y, r.z(plate, 0.05)) for x, y in (*r.ring, r.ring[0])])
            sheet.lines(np.stack([ring[:-1], ring[1:]], axis=1), ROOM, 1.4, 0.9)
        return bool(lies)

    def _plate_into(self, sheet: Sheet, plate: PlateLayout, clear: float, home: bool = False, anyhow: bool = False) -> None:
        """A plate where it stands in the machine, or at home in its own assembly's frame; `anyhow`: clear in any case."""
        stance = self.layout.stance(plate.name) if home else Stance()
        part = at_home(self.parts[plate.name], stance)
        opacity = clear if part.colour[3] < 1 or anyhow else 1.0
        for loop, drawn in self.pieces[plate.name].items():
            piece = at_home(drawn, stance)
            if loop is None:
                sheet.surface(piece, part.colour[:3], opacity, shine=0.25)
            else:
                sheet.surface(piece, TINTS[self.layout.loops[loop]], back=6.0)
        sheet.lines(part.edges, (0.22, 0.27, 0.32), 1.2, 0.75 if opacity < 1 else 1.0)


def _rooms(layout: JobLayout) -> dict[str, Phantom]:
    """Room that mounted parts take up, by name; what places it is loaded only where there is any."""
    if not layout.footprints:
        return {}
    from ..layout.phantoms import phantoms

    return {p.name: p for p in phantoms(layout)}


def _mixed(colour: tuple[float, float, float], white: float) -> tuple[float, float, float]:
    red, green, blue = (c + (1 - c) * white for c in colour)
    return (red, green, blue)


def _hides(plate: PlateLayout, seal: bool) -> bool:
    """Whether an opaque plate has passages that its face, as it is, does not show."""
    face = "seal" if seal else "outer"
    wet = [c for c in plate.cuts if c.wet]
    return bool(wet) and not any(isinstance(c, Pocket) and c.face == face for c in wet)


def _axes(sheet: Sheet, above: bool) -> None:
    """Arrows for the file's x and y near the lower left corner."""
    turn = 1 if above else -1
    x, y = (44 if above else 104), 40
    sheet.shape([(x - turn, y - 1), (x + 46 * turn, y - 1), (x + 46 * turn, y + 1), (x - turn, y + 1)], GREY)
    sheet.shape([(x + 46 * turn, y - 5), (x + 60 * turn, y), (x + 46 * turn, y + 5)], GREY)
    sheet.shape([(x - 1, y), (x + 1, y), (x + 1, y + 46), (x - 1, y + 46)], GREY)
    sheet.shape([(x - 5, y + 46), (x + 5, y + 46), (x, y + 60)], GREY)
    sheet.text("x", (x + 70 * turn - 4, y + 1), 16, GREY)
    sheet.text("y", (x + 10, y + 56), 16, GREY)


def main() -> int:
    """Draw what is asked for on stdin; 0 if every picture was made."""
    order: Order = pickle.load(sys.stdin.buffer)
    try:
        Pictures(order).draw_all()
    except NoDrawing as error:
        print(f"picture: {error}", file=sys.stderr)
        return 1
    except Exception as error:
        print(f"picture: {type(error).__name__}: {' '.join(str(error).split())}", file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
