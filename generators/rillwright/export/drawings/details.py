"""Sections of single features at scale, made from their profiles: gland, countersink, port. Lengths in mm.

A section stands with the face that the feature is cut from on top; one with features from both plane faces has the seal
face on top.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from ...layout.features import Feature, PlateLayout
from ...layout.pockets import Pocket, Stroke
from ...standards import threads
from . import dims
from .behind import ON, Bore, Note, Way, draw_notes, draw_thread, draw_way, rim, way_behind
from .canvas import Canvas, Point
from .hatching import hatch
from .symbols import surface_sign
from .tags import Group, short
from .views import Spot

SCALES = (5.0, 2.0, 1.0, 0.5, 0.2)  # ISO 5455
MARGIN = 3.0  # mm of part round what is cut
BOX = (66.0, 62.0)  # what a section may take at most, mm of paper, dimensions not included


@dataclass(slots=True)
class Cutaway:
    """One section: the hollow as polygons of (across, down from the top face), and what is dimensioned."""

    title: str
    hollow: list[list[Point]]
    left: float
    right: float
    down: float  # to here it is drawn
    floor: bool  # the plate ends there
    widths: list[tuple[float, float, float, str]] = field(default_factory=list)  # from, to, at depth, text
    depths: list[tuple[float, float, str]] = field(default_factory=list)  # from across, to depth, text
    thread: Bore | None = None  # major radius, from, to
    cones: list[tuple[float, float]] = field(default_factory=list)  # points on 90° cones
    rough: Point | None = None
    cord: tuple[float, float, float] | None = None  # across, down, diameter
    behind: Way | None = None  # what goes on behind a bore
    notes: list[Note] = field(default_factory=list)  # leaders from below

    @property
    def scale(self) -> float:
        for s in SCALES:
            if (self.right - self.left) * s <= BOX[0] and self.down * s <= BOX[1]:
                return s
        return SCALES[-1]


def cutaways(found: list[Group], plate: PlateLayout, cords: dict[str, float]) -> list[Cutaway]:
    """A section for each kind of feature that needs one. `cords`: diameter of the cord in a tube channel, by name."""
    made = []
    for g in _merged(found):
        f = g.first
        if isinstance(f, Pocket):
            if isinstance(f.shape, Stroke):
                made.append(_stroke(g, f, f.shape, plate))
        elif f.role in ("tube-channel",):
            made.append(_gland(g, f, cords.get(f.name)))
        elif f.role == "strut-seat":
            made.append(_strut(g, f, found, plate))
        elif f.role in ("port", "plug", "mounting") or (f.role == "screw" and "mouth_radius" in f.facts):
            made.append(_bored(g, f, plate, found))
    return made


def _merged(found: list[Group]) -> list[Group]:
    """Kinds that differ in the face they are cut from only, as ports do, share a section."""
    alike: dict[object, list[Group]] = {}
    for g in found:
        f = g.first
        shared = isinstance(f, Feature) and f.role in ("port", "plug", "mounting")
        key = (f.role, f.profile, f.thread, len(f.mouths)) if shared and isinstance(f, Feature) else g.letter
        alike.setdefault(key, []).append(g)
    return [Group(v[0].letter, tuple(m for g in v for m in g.members)) for v in alike.values()]


def _title(g: Group, scale: float) -> str:
    ratio = f"{scale:g}:1" if scale >= 1 else f"1:{1 / scale:g}"
    return f"{g.tags}  ({ratio})"


def _mirrored(f: Feature, plate: PlateLayout, from_seal: bool) -> list[list[Point]]:
    """A profile on both sides of its axis, down from the top face."""
    turned = f.face == "outer" and from_seal
    half = [(r, plate.thickness - z if turned else z) for r, z in f.profile]
    return [half, [(-r, z) for r, z in half]]


def _gland(g: Group, f: Feature, cord: float | None) -> Cutaway:
    a, b, deep = f.facts["inner_radius"], f.facts["outer_radius"], f.facts["depth"]
    floor = max(z for _, z in f.profile)  # below the channel's where a groove is stepped into it
    c = Cutaway("", [list(f.profile)], a - MARGIN, b + MARGIN, floor + MARGIN, False)
    c.widths.append((a, b, 0.0, f"{b - a:.2f}  Ø{2 * a:.2f} / Ø{2 * b:.2f}"))
    c.depths.append((b, deep, f"{deep:g} ±{f.tolerance:g}"))
    if floor > deep + 1e-6:
        step = [r for r, z in f.profile if z > deep + 1e-6]
        c.widths.append((min(step), max(step), floor, f"{max(step) - min(step):.2f}  Ø{2 * min(step):.2f} / "
                         f"Ø{2 * max(step):.2f}"))  # fmt: skip
        c.depths.append((b, floor, f"{floor:g} ±{f.tolerance:g}"))
    c.rough = ((a + b) / 2, floor)
    if cord is not None:
        c.cord = ((a + b) / 2, floor - cord / 2, cord)
    c.title = f"Gland {_title(g, c.scale)}" + (f", cord Ø{cord:g}" if cord is not None else "")
    return c


def _stroke(g: Group, p: Pocket, s: Stroke, plate: PlateLayout) -> Cutaway:
    a, b, deep, r = -s.width / 2, s.width / 2, min(p.depth, plate.thickness), p.floor_radius
    through = p.depth >= plate.thickness - 1e-9
    corner = [(b, deep - r), (b - 0.3 * r, deep - 0.3 * r), (b - r, deep), (a + r, deep),
              (a + 0.3 * r, deep - 0.3 * r), (a, deep - r)] if r else [(b, deep), (a, deep)]  # fmt: skip
    c = Cutaway("", [[(a, -1.0), (b, -1.0), *corner]], a - MARGIN, b + MARGIN, deep + (0 if through else MARGIN), through)
    c.widths.append((a, b, 0.0, f"{s.width:g}"))
    if not through:
        c.depths.append((b, deep, f"{deep:g} ±{p.tolerance:g}"))
    if r:
        c.notes.append((b - 0.3 * r, deep - 0.3 * r, f"R{short(r)} along the floor"))
    if p.role == "groove":
        c.rough = (0.0, deep)
        if cord := p.facts.get("cord_diameter"):
            c.cord = (0.0, deep - cord / 2, cord)
    c.title = f"{p.role.capitalize()} {_title(g, c.scale)}" + (f", cord Ø{c.cord[2]:g}" if c.cord else "")
    return c


def _strut(g: Group, seat: Feature, found: list[Group], plate: PlateLayout) -> Cutaway:
    """Seat, screw hole and groove of a strut, which lie on one axis."""
    axis = (round(seat.origin[0], 6), round(seat.origin[1], 6))
    own = [(h, m.item) for h in found for m in h.members if isinstance(m.item, Feature)
           and m.item.role in ("strut-seat", "strut-screw", "strut-groove")
           and (round(m.item.origin[0], 6), round(m.item.origin[1], 6)) == axis]  # fmt: skip
    t, wide = plate.thickness, max(f.radius for _, f in own) + MARGIN
    c = Cutaway("", [p for _, f in own for p in _mirrored(f, plate, True)], -wide, wide, t, True)
    for _, f in own:
        if f.role == "strut-seat":
            r, d = f.facts["radius"], f.facts["depth"]
            c.widths.append((-r, r, 0.0, f"Ø{2 * r:.2f}"))
            c.depths.append((r, d, f"{d:g} ±{f.tolerance:g}"))
        elif f.role == "strut-groove":
            c.depths.append((f.facts["outer_radius"], f.facts["depth"], f"{f.facts['depth']:g} ±{f.tolerance:g}"))
        else:
            hole, mouth = f.facts["hole_radius"], f.facts["mouth_radius"]
            c.widths += [(-hole, hole, t * 0.55, f"Ø{2 * hole:g}"), (-mouth, mouth, t, f"Ø{2 * mouth:.2f}")]
            c.cones.append((mouth, t - f.facts["counterbore"] - f.facts["below"]))
    letters = " + ".join(dict.fromkeys(h.letter for h, _ in own))
    c.title = f"Strut {letters}{_title(g, c.scale).removeprefix(g.tags)}"
    return c


def _bored(g: Group, f: Feature, plate: PlateLayout, found: list[Group]) -> Cutaway:
    facts, through = f.facts, len(f.mouths) == 2
    deep = plate.thickness if through else f.depth + MARGIN
    wide = f.radius + MARGIN
    c = Cutaway("", _mirrored(f, plate, False), -wide, wide, deep, through)
    if (on := None if through else way_behind(g, plate, found)) is not None:
        c.behind, c.down = on[0], deep + ON
        c.notes.append((on[0][0], c.down - 1.0, on[1]))
    bore = facts.get("bore_radius", facts.get("hole_radius", 0.0))
    if spot := facts.get("spotface_depth"):
        c.widths.append((-facts["spotface_radius"], facts["spotface_radius"], 0.0, f"Ø{2 * facts['spotface_radius']:g}"))
        c.depths.append((facts["spotface_radius"], spot, f"{spot:g}"))
    _threaded(c, f, plate, through)
    c.widths.append((-bore, bore, deep * 0.75 if through else deep - MARGIN - 1.5 * bore, f"Ø{2 * bore:g}"))
    if not through:
        long = facts.get("bore_depth", max(z for r, z in f.profile if r > 0))
        c.depths.append((bore, long, short(long)))
    _headed(c, facts)
    c.title = f"{f.role.capitalize()} {_title(g, c.scale)}"
    return c


def _threaded(c: Cutaway, f: Feature, plate: PlateLayout, through: bool) -> None:
    """Thread of a port, plug or tapped hole, with its length where it ends in the material."""
    facts, deep = f.facts, plate.thickness if through else f.depth
    if f.role in ("port", "plug") and f.thread:
        full = min(facts["full_thread"], deep)
        major = threads.pipe(f.thread).major_diameter / 2
        c.thread = (major, facts["spotface_depth"], full)
        if full < deep - 1e-9 or not through:
            c.depths.append((major, full, f"{full:g} thread"))
        c.widths.append((-major, major, 0.0, f.thread))
    elif f.role == "mounting":
        major = threads.metric(f.thread).diameter / 2
        full = facts.get("full_thread", plate.thickness if through else max(z for r, z in f.profile if r > 0))
        c.thread = (major, 0.0, full)
        if "full_thread" in facts:
            c.depths.append((major, full, f"{short(full)} thread"))
        c.widths.append((-major, major, 0.0, f.thread))


def _headed(c: Cutaway, facts: dict[str, float]) -> None:
    """Countersink or counterbore for a screw's head."""
    if "countersink_end" in facts:
        c.cones.append((facts["mouth_radius"], 0.0))
    if mouth := facts.get("mouth_radius"):
        c.widths.append((-mouth, mouth, 0.0, f"Ø{2 * mouth:.4g}"))
    if bored := facts.get("counterbore"):
        c.depths.append((facts["mouth_radius"], bored, f"{bored:g}"))


def draw(c: Cutaway, canvas: Canvas, at: Point, roughness: float) -> None:
    """Draw one section with its top left corner of material at `at`."""
    from shapely import Polygon, box, unary_union

    s = Spot(canvas, (at[0] - c.left * c.scale, at[1]), c.scale)
    hollow = unary_union([Polygon([s.at((x, -z)) for x, z in p]) for p in c.hollow])
    low, high = s.at((c.left, -c.down)), s.at((c.right, 0.0))
    block = box(low[0], low[1], high[0], high[1])
    solid = block.difference(hollow)
    rim(canvas, solid, block, c.floor)
    if c.thread is not None:
        draw_thread(s, c.thread, c.down)
    hatch(canvas, solid, 2.0)
    if c.behind is not None:
        draw_way(s, c.behind, c.down)
    _dimension(c, canvas, s, roughness)
    draw_notes(s, c.notes, low[1] - 6.5 * sum(_row(c, w) == "below" for w in c.widths))
    canvas.label((low[0], high[1] + 6 + 6.5 * _rows_above(c)), c.title, 3.0, "left", strong=True)


def _row(c: Cutaway, width: tuple[float, float, float, str]) -> Literal["above", "below", "inside"]:
    """Where a width is written: one too narrow for its words not inside, where other lines would cross them."""
    a, b, z, text = width
    if z < c.down / 4:
        return "above"
    room = len(text) * dims.TEXT * 0.68 + 1
    return "below" if z > c.down * 0.99 or (b - a) * c.scale <= room else "inside"


def _rows_above(c: Cutaway) -> int:
    return sum(_row(c, w) == "above" for w in c.widths)


def _dimension(c: Cutaway, canvas: Canvas, s: Spot, roughness: float) -> None:
    if c.left < 0 < c.right and c.cord is None:
        canvas.line(s.at((0.0, 2.0 / c.scale)), s.at((0.0, -c.down - 2.0 / c.scale)), "centre")
    top, low = s.at((0, 0))[1], s.at((0, -c.down))[1]
    above = below = 0
    for a, b, z, text in sorted(c.widths, key=lambda w: w[1] - w[0]):
        p, q = s.at((a, -z)), s.at((b, -z))
        where = _row(c, (a, b, z, text))
        if where == "above":
            above += 1
            dims.across(canvas, p, q, top + 6.5 * above - 1.5, text)
        elif where == "below":
            below += 1
            dims.across(canvas, p, q, low - 6.5 * below - 1.0, text)
        else:
            dims.across(canvas, p, q, p[1], text)
    edge = s.at((c.right, 0))[0]
    for i, (x, z, text) in enumerate(sorted(c.depths, key=lambda d: d[1]), 1):
        dims.upright(canvas, s.at((x, -z)), s.at((c.right, 0.0)), edge + 7.0 * i - 1.0, text)
    if c.floor:
        left = s.at((c.left, 0))[0]
        dims.upright(canvas, s.at((c.left, -c.down)), s.at((c.left, 0.0)), left - 6.0, f"{c.down:g}")
    _signs(c, canvas, s, roughness)


def _signs(c: Cutaway, canvas: Canvas, s: Spot, roughness: float) -> None:
    """Angles of countersinks, the surface that a cord lies on, and the cord."""
    top, low, edge = s.at((0, 0))[1], s.at((0, -c.down))[1], s.at((c.right, 0))[0]
    for r, z in c.cones:
        tip = s.at((r * 0.75, -z + (r * 0.25 if z > c.down / 2 else -r * 0.25)))
        dims.leader(canvas, tip, (tip[0] + 5, low - 4.0 if z > c.down / 2 else top - 9), "90°")
    if c.rough is not None:
        out = edge + 7.0 * len(c.depths) + 4.0
        floor = s.at((0.0, -c.rough[1]))[1]
        canvas.line((edge, floor), (out + 2, floor))
        surface_sign(canvas, (out, floor), f"Ra {roughness:g}", 2.0)
    if c.cord is not None:
        x, z, d = c.cord
        canvas.circle(s.at((x, -z)), d / 2 * c.scale, "phantom")


def needs(c: Cutaway) -> tuple[float, float]:
    """Room that a section takes with its dimensions and title, mm of paper."""
    below = sum(_row(c, w) == "below" for w in c.widths)
    wide = (c.right - c.left) * c.scale + (12 if c.floor else 6) + 7 * len(c.depths) + (26 if c.rough else 12)
    title = len(c.title) * 3.0 * 0.68 + 20
    return max(wide, title), c.down * c.scale + 6.5 * (_rows_above(c) + below) + 18 + 5.5 * len(c.notes)


def corner(c: Cutaway, at: Point) -> Point:
    """Top left corner of the material where the room of a section has its own at `at`."""
    return at[0] + (12 if c.floor else 8), at[1] - 9 - 6.5 * _rows_above(c)
