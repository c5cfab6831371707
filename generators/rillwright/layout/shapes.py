"""Windows, slots, slots for light and frames as pockets of one plate. Lengths in mm."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

from ..spec.plate import Outline as OutlineSpec
from ..spec.plate import Plate
from ..spec.shapes import Frame, Light, Slot, Window
from ..spec.sheet import ArcTo
from . import paths, profiles
from .features import Arc, Cut, Feature, Line, Outline
from .outline import Impossible, Loc, encloses, moved, outline
from .pockets import Area, Path, Pocket, PocketRole, Point2, Stroke

BOTH = ("seal", "outer")
FINE = 256  # chords a quarter turn, from which true arcs are told again


def shape_cuts(plate: Plate, edge: Outline, loc: Loc) -> list[Cut]:
    """Windows, slots and slots for light of a plate. Raises Impossible with the key of what does not fit."""
    made: list[Cut] = []
    for i, w in enumerate(plate.windows):
        made.append(_window(w, plate, edge, (*loc, "windows", i)))
    for i, s in enumerate(plate.slots):
        made.append(_slot(s, plate, (*loc, "slots", i)))
    for i, li in enumerate(plate.lights):
        made += _light(li, plate, edge, (*loc, "lights", i))
    return made


def _milled(
    name: str, role: PocketRole, shape: Stroke | Area, side: str, depth: float | None, plate: Plate, words: str, loc: Loc
) -> Pocket:
    t = plate.stock.thickness
    if depth is not None and depth >= t:
        raise Impossible((*loc, "depth"), f"{depth:g} mm deep in a plate of {t:g} mm",
                         "leave depth out to go through, or give less")  # fmt: skip
    mouths = BOTH if depth is None else (side,)
    deep = "through" if depth is None else f"× {depth:g}"
    return Pocket(name, role, side, shape, t if depth is None else depth, mouths, call_out=f"{words} {deep}")  # type: ignore[arg-type]


def _window(w: Window, plate: Plate, edge: Outline, loc: Loc) -> Pocket:
    if w.diameter is not None:
        hole = paths.circle(w.at, w.diameter / 2)
        shape, words = Outline(hole.start, hole.pieces), f"window Ø{w.diameter:g}"
    elif w.polygon is not None:
        shape, words = _polygon(w, loc), "window as drawn"
    else:
        flat = outline(OutlineSpec(length=w.length, width=w.width, corner_radius=w.corner_radius))
        shape, words = moved(flat, *w.at), f"window {w.length:g} × {w.width:g}, R{w.corner_radius:g}"
    role: PocketRole = "window" if w.depth is None else "recess"
    if w.depth is None and not all(encloses(edge, p) for p in _corners(shape)):
        raise Impossible((*loc, "at"), "the window runs off the plate", "move it, or draw it into the outline")
    return _milled(w.name, role, Area(shape), w.cut_from, w.depth, plate, words if w.depth is None else
                   words.replace("window", "pocket"), loc)  # fmt: skip


def _polygon(w: Window, loc: Loc) -> Outline:
    """A drawn window, its corners rounded inside."""
    import shapely

    from .fitted import areas

    assert w.polygon is not None
    raw = _line(w.polygon, loc, closed=True)
    flat = shapely.Polygon([(x + w.at[0], y + w.at[1]) for x, y in paths.polygon(raw).exterior.coords])
    if not flat.is_valid or flat.area < 1:
        raise Impossible((*loc, "polygon"), "the polygon encloses no single area", "give its corners in order")
    r = w.corner_radius
    rounded = flat.buffer(-r, quad_segs=paths.QUARTER, join_style="mitre").buffer(r, quad_segs=paths.QUARTER) if r else flat
    found = areas(rounded)
    if len(found) != 1:
        raise Impossible((*loc, "corner_radius"), f"an inside radius of {r:g} mm does not fit it", "give a smaller one")
    return found[0].outside


def _corners(o: Outline) -> list[Point2]:
    return [p for _, p, _ in paths.along(Path(o.start, o.pieces, closed=True), 5.0)]


def _line(points: Any, loc: Loc, closed: bool = False) -> Path:
    start = points[0]
    pieces = [Arc(p.through, p.to) if isinstance(p, ArcTo) else Line(p) for p in points[1:]]
    if closed and math.dist(pieces[-1].end, start) > 1e-9:
        pieces.append(Line(start))
    for a, b in zip([start, *(p.end for p in pieces)], pieces, strict=False):
        if math.dist(a, b.end) < 1e-6:
            raise Impossible(loc, f"the point {b.end[0]:g}, {b.end[1]:g} comes twice in its line", "leave one of them out")
    return Path(start, tuple(pieces), closed)


def _slot(s: Slot, plate: Plate, loc: Loc) -> Pocket:
    shape = Stroke(_line(s.line, (*loc, "line")), s.width)
    return _milled(s.name, "slot", shape, s.cut_from, s.depth, plate, f"slot {s.width:g} wide", loc)


def _light(li: Light, plate: Plate, edge: Outline, loc: Loc) -> list[Cut]:
    """The slot, its lip and the hole for its cable."""
    wide, high = li.strip.width + 2 * li.clearance, li.strip.height + li.clearance
    way = _line(li.line, (*loc, "line")) if li.line is not None else _all_round(edge, li.inset or 0.0, loc)
    depth = high + (li.lip.depth if li.lip else 0.0)
    slot = _milled(li.name, "light", Stroke(way, wide), li.face, depth, plate, f"light slot {wide:g} wide", loc)
    facts = {"bend": paths.smallest_radius(way), "bend_wanted": li.strip.bend_radius,
             "heat": li.strip.power * paths.length(way) / 1000}  # fmt: skip
    cuts: list[Cut] = [replace(slot, facts=facts)]
    if li.lip is not None:
        name = f"{li.name}.lip"
        step, words = Stroke(way, li.lip.width), f"lip {li.lip.width:g} wide"
        lip = _milled(name, "light", step, li.face, li.lip.depth, plate, words, loc)
        cuts = [replace(slot, facts=facts, joins=(name,)), replace(lip, joins=(li.name,))]
    if li.exit is not None:
        cuts.append(_cable(li, way, wide, plate, loc))
    return cuts


def _all_round(edge: Outline, inset: float, loc: Loc) -> Path:
    from .sealing.ring import around_plate

    try:
        return around_plate(edge, inset).path
    except Impossible as e:
        raise Impossible((*loc, "inset"), e.what, e.do) from e


def _cable(li: Light, way: Path, wide: float, plate: Plate, loc: Loc) -> Feature:
    assert li.exit is not None
    r, t = li.exit_diameter / 2, plate.stock.thickness
    if paths.distance(way, li.exit) > wide / 2:
        what = f"x {li.exit[0]:g}, y {li.exit[1]:g} lies beside the slot"
        raise Impossible((*loc, "exit"), what, "give a place on the slot's line")
    out = li.face == "outer"
    origin = (*li.exit, 0.0 if out else -t)  # from the other face, so that it ends in the slot
    axis = (0.0, 0.0, -1.0 if out else 1.0)
    far = "seal" if out else "outer"
    return Feature(
        f"{li.name}.cable", "screw", origin, axis, profiles.stepped([(r, t + profiles.STAND_OUT)], "flat"), far, BOTH,
        call_out=f"Ø{2 * r:g} through for the cable", joins=(li.name, f"{li.name}.lip"),
        facts={"hole_radius": r},
    )  # fmt: skip


def frame_windows(frame: Frame, edge: Outline, made: list[Cut], plate: Plate, loc: Loc) -> list[Pocket]:
    """What is cut out of a plate so that border, strips and pads stay."""
    import shapely

    from .fitted import areas

    fine = {"quad_segs": FINE}
    whole = paths.polygon(edge)
    stays = [whole.difference(whole.buffer(-frame.border, join_style="mitre"))]
    stays += [shapely.LineString(s).buffer(frame.strip / 2, **fine) for s in frame.strips]
    for f in made:
        if isinstance(f, Pocket) and isinstance(f.shape, Stroke):
            stays.append(paths.line_string(f.shape.path).buffer(f.shape.width / 2 + frame.pad, **fine))
        elif isinstance(f, Pocket):
            stays.append(paths.region(f).buffer(frame.pad, join_style="mitre"))
        elif abs(f.axis[2]) > 0.9:
            stays.append(shapely.Point(f.origin[:2]).buffer(f.radius + frame.pad, **fine))
        else:
            stays.append(shapely.LineString([f.origin[:2], f.at(f.depth)[:2]]).buffer(f.radius + frame.pad, **fine))
    # Opened by half the smallest opening, then with the inside radius of the cutter.
    r, least = frame.corner_radius, frame.smallest / 2
    rest = whole.difference(shapely.union_all(stays))
    roomy = rest.buffer(-least, **fine).buffer(least * 1.5, **fine).intersection(rest) if least > r else rest
    left = roomy.buffer(-r, **fine).buffer(r, **fine).simplify(0)
    found = areas(left)
    if not found:
        what = "nothing is left to cut out between its strips"
        raise Impossible((*loc, "frame"), what, "make border, strips or pads narrower")
    return [_milled(f"frame-{n}", "window", a, "outer", None, plate, f"opening {n} of the frame", loc)
            for n, a in enumerate(found, 1)]  # fmt: skip


def require_one_piece(edge: Outline, cuts: list[Cut], others: list[Feature], loc: Loc) -> None:
    """Raise Impossible where what goes through the plate parts it, naming the holes in the loose pieces."""
    import shapely

    through = [paths.region(c) for c in cuts if isinstance(c, Pocket) and len(c.mouths) == 2]
    if not through:
        return
    left = paths.polygon(edge).difference(shapely.union_all(through).buffer(1e-6))
    pieces = sorted((p for p in getattr(left, "geoms", [left]) if p.area > 1.0), key=lambda p: -p.area)
    if len(pieces) < 2:
        return
    loose = shapely.union_all(pieces[1:])
    holes = [f.name for f in others if loose.distance(shapely.Point(f.origin[:2])) < f.radius]
    spots = ", ".join(f"x {p.centroid.x:.0f}, y {p.centroid.y:.0f}" for p in pieces[1:6])
    carried = f", with {', '.join(holes[:8])}" if holes else ""
    what = f"it falls apart: {len(pieces) - 1} loose piece{'s' if len(pieces) > 2 else ''} at {spots}{carried}"
    raise Impossible(loc, what, "lead a strip of the frame there, or make an opening or slot smaller")
