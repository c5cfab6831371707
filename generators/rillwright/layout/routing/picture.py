"""A routing in plan as SVG: the plate, what stands in it, and channels with their lands, by name and kind of line.

A loop is told by its tint, by the pattern of its middle line and by the name at its terminals. Lengths mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from html import escape

from ..features import Arc, Outline
from ..outline import arc_centre
from ..pockets import Path
from .problem import Circle, Net, Obstacle, Problem, Routing

TINTS = {
    "amber": "#c9871a", "teal": "#17877f", "violet": "#6f55b5", "rose": "#bf4a6b",
    "lime": "#6f9424", "sky": "#2f7fb8", "slate": "#5b6876", "coral": "#d2603f",
}  # fmt: skip
DASHES = ("", "6 2", "2 2", "8 2 2 2", "4 4", "10 2 2 2 2 2", "1 3", "12 4")
MARGIN = 12.0


def svg(
    problem: Problem, routing: Routing, tints: Mapping[str, str] | None = None, more: Mapping[int, str] | None = None
) -> str:
    """The plan of all levels, one below the other. `tints`: loop to tint; loops without one take the next free.

    more: what else is drawn on each level, as SVG in the plan's frame, mm.
    """
    loops = sorted({n.loop for n in problem.nets})
    look = _looks(loops, tints or {})
    x0, y0, x1, y1 = _box(problem.outline)
    wide, high = x1 - x0 + 2 * MARGIN, y1 - y0 + 2 * MARGIN + 8
    body = [
        f'<g transform="translate({MARGIN - x0:.3f} {level * high + MARGIN + 8 + y1:.3f}) scale(1 -1)">'
        + "".join(_level(problem, routing, look, level)) + (more or {}).get(level, "")
        + "</g>"
        + _caption(problem, level, level * high)
        for level in range(problem.levels)
    ]
    key = "".join(_key(loops, look, problem.levels * high))
    total = problem.levels * high + 8 * math.ceil(len(loops) / 4) + 6
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide:.1f} {total:.1f}" width="{wide * 3:.0f}" '
        f'height="{total * 3:.0f}" font-family="sans-serif" font-size="4.2" fill="#22282e">'
        f'<rect width="100%" height="100%" fill="#ffffff"/>{"".join(body)}{key}</svg>\n'
    )


def _looks(loops: list[str], tints: Mapping[str, str]) -> dict[str, tuple[str, str]]:
    free = [t for t in TINTS if t not in tints.values()] or list(TINTS)
    out = {}
    for i, loop in enumerate(loops):
        tint = tints.get(loop) or (free.pop(0) if free else list(TINTS)[i % len(TINTS)])
        out[loop] = (TINTS.get(tint, tint), DASHES[i % len(DASHES)])
    return out


def _caption(problem: Problem, level: int, top: float) -> str:
    if problem.levels == 1:
        return ""
    face = "seal face" if level == 0 else "outer face"
    return f'<text x="{MARGIN:.1f}" y="{top + MARGIN + 2:.1f}">level {level}: {face}, seen from the seal face</text>'


def _level(problem: Problem, routing: Routing, look: dict[str, tuple[str, str]], level: int) -> Iterator[str]:
    o = problem.outline
    yield f'<path d="{path_data(o)} Z" fill="#f4f3ef" stroke="#22282e" stroke-width="0.5"/>'
    for ob in problem.obstacles:
        if ob.on(level):
            yield _obstacle(ob)
    for net in problem.nets:
        colour, dash = look[net.loop]
        legs = [leg for leg in routing.paths.get(net.name, ()) if leg.level == level]
        data = " ".join(path_data(leg.path) for leg in legs)
        if data and net.margin:
            yield _stroke(data, 2 * net.half, colour, 0.18)
        yield from _ends(net, level, colour)
        if data:
            yield _stroke(data, net.width, colour, 0.62)
            broken = f' stroke-dasharray="{dash}"' if dash else ""
            yield f'<path d="{data}" fill="none" stroke="#22282e" stroke-width="0.35"{broken}/>'
    for via in routing.vias:
        colour = look[problem.net(via.net).loop][0]
        x, y, r = *via.at, via.diameter / 2
        yield f'<circle cx="{x:.3f}" cy="{y:.3f}" r="{r:.3f}" fill="{colour}" stroke="#22282e" stroke-width="0.4"/>'
        d = r * 0.7
        yield (f'<path d="M{x - d:.2f} {y - d:.2f} L{x + d:.2f} {y + d:.2f} M{x - d:.2f} {y + d:.2f} '
               f'L{x + d:.2f} {y - d:.2f}" stroke="#22282e" stroke-width="0.4"/>')  # fmt: skip
    yield from _names(problem, level)


def _stroke(data: str, width: float, colour: str, strong: float) -> str:
    return (f'<g opacity="{strong}"><path d="{data}" fill="none" stroke="{colour}" stroke-width="{width:g}" '
            f'stroke-linecap="round" stroke-linejoin="round"/></g>')  # fmt: skip


def _obstacle(o: Obstacle) -> str:
    style = 'fill="#dcdad3" stroke="#7d7a70" stroke-width="0.3"'
    title = f"<title>{escape(o.name)}</title>"
    if isinstance(o.shape, Circle):
        x, y = o.shape.centre
        return f'<circle cx="{x:.3f}" cy="{y:.3f}" r="{o.shape.radius:.3f}" {style}>{title}</circle>'
    points = " ".join(f"{x:.3f},{y:.3f}" for x, y in o.shape.points)
    return f'<polygon points="{points}" {style}>{title}</polygon>'


def _ends(net: Net, level: int, colour: str) -> Iterator[str]:
    for t in net.terminals:
        x, y = t.at
        mine = t.level in (None, level)
        fill = f'fill="{colour}" fill-opacity="0.62"' if mine else 'fill="none" stroke-dasharray="1 1"'
        yield f'<circle cx="{x:.3f}" cy="{y:.3f}" r="{t.radius:.3f}" {fill} stroke="#22282e" stroke-width="0.4"/>'
    for x, y in net.pins:
        yield (f'<path d="M{x - 2:.2f} {y:.2f} H{x + 2:.2f} M{x:.2f} {y - 2:.2f} V{y + 2:.2f}" stroke="#22282e" '
               f'stroke-width="0.5"/>')  # fmt: skip


def _names(problem: Problem, level: int) -> Iterator[str]:
    for net in problem.nets:
        for t in net.terminals:
            if t.level in (None, level):
                x, y = t.at[0], t.at[1] - t.radius - 4.4
                yield (f'<text transform="translate({x:.2f} {y:.2f}) scale(1 -1)" text-anchor="middle" '
                       f'stroke="#ffffff" stroke-width="0.9" paint-order="stroke">{escape(t.name)}</text>')  # fmt: skip


def _key(loops: list[str], look: dict[str, tuple[str, str]], top: float) -> Iterator[str]:
    for i, loop in enumerate(loops):
        x, y = MARGIN + (i % 4) * 70, top + 2 + 8 * (i // 4)
        colour, dash = look[loop]
        broken = f' stroke-dasharray="{dash}"' if dash else ""
        yield f'<rect x="{x:.1f}" y="{y - 3:.1f}" width="18" height="5" rx="2.5" fill="{colour}" fill-opacity="0.62"/>'
        yield f'<path d="M{x:.1f} {y - 0.5:.1f} h18" stroke="#22282e" stroke-width="0.35"{broken}/>'
        yield f'<text x="{x + 21:.1f}" y="{y + 1:.1f}">{escape(loop)}</text>'


def path_data(way: Path | Outline) -> str:
    """A line as the data of an SVG path, arcs as arcs, mm."""
    at = way.start
    out = [f"M{at[0]:.4f} {at[1]:.4f}"]
    for p in way.pieces:
        if isinstance(p, Arc):
            (x, y), r = arc_centre(at, p.middle, p.end)
            a, m, b = (math.atan2(q[1] - y, q[0] - x) for q in (at, p.middle, p.end))
            left = (m - a) % math.tau < (b - a) % math.tau
            turn = (b - a) % math.tau if left else (a - b) % math.tau
            out.append(f"A{r:.4f} {r:.4f} 0 {int(turn > math.pi)} {int(left)} {p.end[0]:.4f} {p.end[1]:.4f}")
        else:
            out.append(f"L{p.end[0]:.4f} {p.end[1]:.4f}")
        at = p.end
    return " ".join(out)


def _box(o: Outline) -> tuple[float, float, float, float]:
    points = [o.start, *(p.end for p in o.pieces), *(p.middle for p in o.pieces if isinstance(p, Arc))]
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)
